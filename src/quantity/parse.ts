import { type Amount, amountToSI, isTrouble, takeAmount, type Trouble, UNITLESS } from './amount.ts';
import type { Dimension, Origin, Quantity } from './kinds.ts';
import { nearest } from './nearest.ts';
import { ranged } from './quantity.ts';
import { atEnd, type Cursor, isDigit, normalise, quoted, skipSpaces, take, wordsAhead } from './scan.ts';
import { type Bounds, middle } from './spread.ts';
import { type Reading, takeTolerance } from './tolerance.ts';
import { expectation, type Unit } from './units.ts';

/** `expected` and `found` complete the sentence "expected …, found …"; `hint` is a sentence of its own. */
export type Parsed =
  | { readonly ok: true; readonly quantity: Quantity }
  | { readonly ok: false; readonly expected: string; readonly found: string; readonly hint?: string };

const LONGEST = 200;

const ORIGINS: ReadonlyMap<string, Origin> = new Map([
  ['class default', 'class default'], ['default', 'class default'], ['data sheet', 'datasheet'],
  ['datasheet', 'datasheet'], ['measured', 'measured'], ['assumed', 'assumed'], ['derived', 'derived'],
  ['stated', 'stated'],
]);

/**
 * Reads a quantity as builders write it: `2.2 mF ±20 %`, `1.5 to 3 mF`, `20 ms (10 to 40)`, `8 AWG`,
 * `4k7`, `4.0 V per cell`, `2.2 mF -20 % +50 %, measured`. What can be read in two ways is refused, with
 * both readings in the hint. Signs and sizes that make no sense for a field are the field's business.
 * Never throws; takes time in proportion to the text, which may have 200 characters.
 */
export function parseQuantity(text: string, dimension: Dimension, options: { readonly perCell?: boolean } = {}): Parsed {
  if (text.length > LONGEST) return failed(text, dimension, { trouble: `${text.length} characters, at most ${LONGEST} are read` });
  const cursor: Cursor = { text: normalise(text), at: 0 };
  if (atEnd(cursor)) return failed(text, dimension, { trouble: 'nothing' });
  const read = takeQuantity(cursor, dimension);
  if (isTrouble(read)) return failed(text, dimension, read);
  if (read.perCell && options.perCell !== true) {
    return failed(text, dimension, { trouble: 'a value per cell', hint: 'this value is for the whole part: leave out "per cell"' });
  }
  const { value, low, high, origin, perCell } = read;
  return { ok: true, quantity: ranged(dimension, value, low, high, origin ?? 'stated', perCell, text) };
}

function failed(text: string, dimension: Dimension, { trouble, hint }: Trouble): Parsed {
  const found = text.trim() === '' ? 'nothing' : `${quoted(text)} (${trouble})`;
  return { ok: false, expected: expectation(dimension), found, ...(hint === undefined ? {} : { hint }) };
}

function takeQuantity(cursor: Cursor, dimension: Dimension): Reading | Trouble {
  const head = takeHead(cursor, dimension);
  if (isTrouble(head)) return head;
  let reading = head;
  let depth = 0;
  while (!atEnd(cursor)) {
    const separator = take(cursor, ',', ';', '(', '[', ')', ']');
    if (separator === '(' || separator === '[') depth += 1;
    if (separator === ')' || separator === ']') depth -= 1;
    if (depth < 0 || depth > 1) return { trouble: 'brackets that do not match' };
    if (separator === ')' || separator === ']') continue;
    if (separator !== undefined && (atEnd(cursor) || ',;)]'.includes(cursor.text.charAt(cursor.at)))) {
      return { trouble: `nothing after "${separator}"` };
    }
    const next = takeRemark(cursor, dimension, reading, separator !== undefined);
    if (isTrouble(next)) return next;
    reading = next;
  }
  return depth === 0 ? reading : { trouble: 'brackets that do not match' };
}

/** The value, or the range that stands in its place. */
function takeHead(cursor: Cursor, dimension: Dimension): Reading | Trouble {
  const vague = take(cursor, '~', '≈', '<', '>', '≤', '≥');
  if (vague !== undefined) {
    return { trouble: `"${vague}"`, hint: 'write what is known as a spread, like "±20 %" or "1.5 to 3", and add "assumed" if it is a guess' };
  }
  const sign = takeSign(cursor);
  const first = takeAmount(cursor, dimension);
  if (isTrouble(first)) return first;
  if (!takesRange(cursor, dimension, first)) {
    const value = amountToSI(sign, first, first.unit, dimension);
    if (typeof value !== 'number') return value;
    return { value, low: value, high: value, unit: first.unit, perCell: first.perCell, spread: false, origin: undefined };
  }
  const range = takeRangeEnd(cursor, dimension, sign, first, undefined);
  if (isTrouble(range)) return range;
  return { ...range, value: middle(range.low, range.high, dimension), spread: true, origin: undefined };
}

/** `to`, an en dash, dots, or a hyphen straight after a number without its unit (`1.5-3 mF`). */
function takesRange(cursor: Cursor, dimension: Dimension, first: Amount): boolean {
  skipSpaces(cursor);
  const [word] = wordsAhead(cursor);
  if (word?.word.toLowerCase() === 'to') {
    cursor.at = word.end;
    return true;
  }
  if (first.unit === undefined && !UNITLESS.has(dimension) && take(cursor, '-') !== undefined) return true;
  const { text, at } = cursor;
  // A dash after a space and before a digit is a minus sign: "2.2 mF –20 % +50 %".
  if (text[at] === '–' && text[at - 1] === ' ' && text[at + 1] !== ' ') return false;
  return take(cursor, '–', '...', '..') !== undefined;
}

function takeRangeEnd(
  cursor: Cursor, dimension: Dimension, sign: number, first: Amount, fallback: Unit | undefined,
): (Bounds & Pick<Reading, 'unit' | 'perCell'>) | Trouble {
  const endSign = takeSign(cursor);
  const second = takeAmount(cursor, dimension);
  if (isTrouble(second)) return second;
  if (first.unit !== undefined && second.unit !== undefined && first.perCell !== second.perCell) {
    return { trouble: 'a range with one end per cell' };
  }
  const unit = second.unit ?? first.unit ?? fallback;
  const start = amountToSI(sign, first, first.unit ?? unit, dimension);
  if (typeof start !== 'number') return start;
  const end = amountToSI(endSign, second, unit, dimension);
  if (typeof end !== 'number') return end;
  // A thicker wire has a smaller gauge: "8 to 10 AWG" runs downwards and is meant as it stands.
  const gauges = unit?.gauge === true;
  if (start > end && !gauges) return { trouble: 'a range that runs downwards', hint: 'write the smaller number first' };
  return { low: Math.min(start, end), high: Math.max(start, end), unit, perCell: first.perCell || second.perCell };
}

/** What may follow the value: a range, a tolerance, `per cell`, an origin. */
function takeRemark(cursor: Cursor, dimension: Dimension, reading: Reading, separated: boolean): Reading | Trouble {
  const start = cursor.at;
  if (take(cursor, '±', '+-', '+/-') !== undefined) return takeTolerance(cursor, dimension, reading, 'both');
  const sign = take(cursor, '+', '-', '–');
  if (!isDigit(cursor.text, cursor.at) && cursor.text[cursor.at] !== '.' && sign === undefined) return takeWords(cursor, reading);
  if (sign === undefined && !separated) {
    return { trouble: 'a second number', hint: 'a range after the value goes in brackets: "20 ms (10 to 40 ms)"' };
  }
  if (sign !== undefined && !(separated && startsRange(cursor, dimension))) {
    return takeTolerance(cursor, dimension, reading, sign === '+' ? 'above' : 'below');
  }
  cursor.at = start;
  return takeRange(cursor, dimension, reading);
}

/** Tells `(-5 to 3 V)` from `(-20 % +50 %)`, without moving. */
function startsRange(cursor: Cursor, dimension: Dimension): boolean {
  const ahead: Cursor = { text: cursor.text, at: cursor.at };
  const first = takeAmount(ahead, dimension);
  return !isTrouble(first) && takesRange(ahead, dimension, first);
}

function takeRange(cursor: Cursor, dimension: Dimension, reading: Reading): Reading | Trouble {
  if (reading.spread) return { trouble: 'two spreads' };
  const sign = takeSign(cursor);
  const first = takeAmount(cursor, dimension);
  if (isTrouble(first)) return first;
  if (!takesRange(cursor, dimension, first)) return { trouble: 'a second number', hint: 'a range has two ends: "10 to 40 ms"' };
  const range = takeRangeEnd(cursor, dimension, sign, first, reading.unit);
  if (isTrouble(range)) return range;
  if (!(range.low <= reading.value && reading.value <= range.high)) {
    return { trouble: 'a value outside its own range' };
  }
  return { ...reading, low: range.low, high: range.high, perCell: reading.perCell || range.perCell, spread: true };
}

function takeWords(cursor: Cursor, reading: Reading): Reading | Trouble {
  const words = wordsAhead(cursor);
  const [first, second] = words;
  if (first === undefined) return { trouble: `${quoted(cursor.text.slice(cursor.at))} is not understood` };
  const one = first.word.toLowerCase();
  const two = `${one} ${second?.word.toLowerCase() ?? ''}`;
  if (one === '/cell' || two === 'per cell' || two === '/ cell') {
    if (reading.perCell) return { trouble: '"per cell" twice' };
    cursor.at = one === '/cell' ? first.end : second?.end ?? first.end;
    return { ...reading, perCell: true };
  }
  const origin = ORIGINS.get(two) ?? ORIGINS.get(one);
  if (origin !== undefined) {
    if (reading.origin !== undefined) return { trouble: 'two origins' };
    cursor.at = ORIGINS.has(two) ? second?.end ?? first.end : first.end;
    return { ...reading, origin };
  }
  const meant = nearest(two.trim(), [...ORIGINS.keys()]) ?? nearest(first.word, [...ORIGINS.keys(), 'per cell']);
  return {
    trouble: `${quoted(first.word)} is not understood`,
    hint: meant === undefined ? 'after the value: a spread, "per cell", or where it comes from (datasheet, measured, assumed, class default)' : `did you mean "${meant}"?`,
  };
}

function takeSign(cursor: Cursor): number {
  const sign = take(cursor, '+', '-', '–');
  return sign === undefined || sign === '+' ? 1 : -1;
}
