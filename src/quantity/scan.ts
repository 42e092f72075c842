/** A place in a normalised text. Every reader moves it forward or leaves it where it was. */
export interface Cursor {
  readonly text: string;
  at: number;
}

/**
 * One spelling for the many code points that look alike: ohm and micro signs, full-width letters,
 * squared unit signs, spaces, minus signs. Superscripts and fractions other than ² and ³ stay as they
 * are, because NFKC would turn 10³ into 103 and 4½ into 41⁄2. Micro becomes the Greek U+03BC.
 */
export function normalise(text: string): string {
  let plain = '';
  for (const char of text) {
    plain += /[\u00B2\u00B3\u00B9\u00BC-\u00BE\u2070-\u209F\u2150-\u218F]/u.test(char) ? char : char.normalize('NFKC');
  }
  return plain
    .replace(/\u2212/g, '-')
    .replace(/[\u2012-\u2015]/g, '–')
    .replace(/[*\u22C5\u2219\u2022\u00D7]/g, '·')
    .replace(/[\t\u00A0]/g, ' ');
}

/** `"2.2 mF"` for messages: control and invisible characters escaped, long texts cut. */
export function quoted(text: string): string {
  const chars = [...text.slice(0, 80)];
  const shown = chars.slice(0, 60).map((char) =>
    /[\p{Cc}\p{Cf}\p{Cs}\p{Co}\p{Cn}\p{Zl}\p{Zp}]/u.test(char) ? `\\u{${(char.codePointAt(0) ?? 0).toString(16)}}` : char);
  return `"${shown.join('')}${text.length > shown.length && chars.length > 60 ? '…' : ''}"`;
}

export function skipSpaces(cursor: Cursor): void {
  while (cursor.text[cursor.at] === ' ') cursor.at += 1;
}

export function atEnd(cursor: Cursor): boolean {
  skipSpaces(cursor);
  return cursor.at >= cursor.text.length;
}

/** Moves past the first of these that stands here, after spaces. */
export function take(cursor: Cursor, ...tokens: readonly string[]): string | undefined {
  skipSpaces(cursor);
  const token = tokens.find((one) => cursor.text.startsWith(one, cursor.at));
  if (token !== undefined) cursor.at += token.length;
  return token;
}

/** Unsigned decimal number, `2`, `.5`, `4.05e-4`, or undefined. An `e` counts only with digits after it. */
export function takeNumber(cursor: Cursor): string | undefined {
  skipSpaces(cursor);
  const { text } = cursor;
  let at = afterDigits(text, cursor.at);
  let digits = at - cursor.at;
  if (text[at] === '.') {
    const end = afterDigits(text, at + 1);
    digits += end - at - 1;
    at = end;
  }
  if (digits === 0) return undefined;
  if (text[at] === 'e' || text[at] === 'E') {
    const sign = text[at + 1] === '+' || text[at + 1] === '-' ? 1 : 0;
    const end = afterDigits(text, at + 1 + sign);
    if (end > at + 1 + sign) at = end;
  }
  const number = text.slice(cursor.at, at);
  cursor.at = at;
  return number;
}

/** The words from here to the next number, sign, comma or bracket, at most six, each with its end. */
export function wordsAhead(cursor: Cursor): readonly { readonly word: string; readonly end: number }[] {
  const words = [];
  let at = cursor.at;
  while (words.length < 6) {
    while (cursor.text[at] === ' ') at += 1;
    if (isDigit(cursor.text, at)) break;
    const start = at;
    while (at < cursor.text.length && !/[\s,;()[\]+±–-]/u.test(cursor.text.charAt(at))) at += 1;
    if (at === start) break;
    words.push({ word: cursor.text.slice(start, at), end: at });
  }
  return words;
}

export function isDigit(text: string, at: number): boolean {
  const char = text.charAt(at);
  return char >= '0' && char <= '9';
}

function afterDigits(text: string, from: number): number {
  let at = from;
  while (isDigit(text, at)) at += 1;
  return at;
}
