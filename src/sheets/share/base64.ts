const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** Bytes as base64 (RFC 4648, section 4), in lines of 76 characters. */
export function toBase64(bytes: Uint8Array): string {
  const groups: string[] = [];
  for (let at = 0; at < bytes.length; at += 3) {
    const left = bytes.length - at;
    const [a = 0, b = 0, c = 0] = bytes.subarray(at, at + 3);
    const word = (a << 16) | (b << 8) | c;
    const letter = (shift: number): string => LETTERS.charAt((word >> shift) & 63);
    groups.push(`${letter(18)}${letter(12)}${left > 1 ? letter(6) : '='}${left > 2 ? letter(0) : '='}`);
  }
  return groups.join('').replace(/.{76}/g, '$&\n');
}

/** Bytes of a base64 text, blanks aside; undefined when it is none. */
export function fromBase64(text: string): Uint8Array | undefined {
  const letters = text.replace(/\s+/g, '');
  if (!/^(?:[A-Za-z0-9+/]{4})*(?:[A-Za-z0-9+/]{2}==|[A-Za-z0-9+/]{3}=)?$/.test(letters)) return undefined;
  const padding = letters.endsWith('==') ? 2 : letters.endsWith('=') ? 1 : 0;
  const bytes = new Uint8Array((letters.length / 4) * 3 - padding);
  for (let at = 0, to = 0; at < letters.length; at += 4, to += 3) {
    const word = [0, 1, 2, 3].reduce((sum, k) => (sum << 6) | Math.max(0, LETTERS.indexOf(letters.charAt(at + k))), 0);
    if (to < bytes.length) bytes[to] = word >> 16;
    if (to + 1 < bytes.length) bytes[to + 1] = (word >> 8) & 255;
    if (to + 2 < bytes.length) bytes[to + 2] = word & 255;
  }
  return bytes;
}

/** Bytes of a text in UTF-8 (RFC 3629); half a surrogate pair becomes U+FFFD, which no machine file holds. */
export function utf8Bytes(text: string): Uint8Array {
  const bytes: number[] = [];
  for (const char of text) {
    const whole = char.codePointAt(0) ?? 0;
    const code = whole >= 0xd800 && whole < 0xe000 ? 0xfffd : whole;
    if (code < 0x80) bytes.push(code);
    else if (code < 0x800) bytes.push(0xc0 | (code >> 6), 0x80 | (code & 63));
    else if (code < 0x10000) bytes.push(0xe0 | (code >> 12), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63));
    else bytes.push(0xf0 | (code >> 18), 0x80 | ((code >> 12) & 63), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63));
  }
  return Uint8Array.from(bytes);
}

/** The text of UTF-8 bytes; undefined when they are none. */
export function utf8Text(bytes: Uint8Array): string | undefined {
  const pieces: string[] = [];
  for (let at = 0; at < bytes.length; ) {
    const lead = bytes[at] ?? 0;
    const length = lead < 0x80 ? 1 : lead >= 0xc2 && lead < 0xe0 ? 2 : lead >= 0xe0 && lead < 0xf0 ? 3 : lead >= 0xf0 && lead < 0xf5 ? 4 : 0;
    if (length === 0 || at + length > bytes.length) return undefined;
    let code = length === 1 ? lead : lead & (0x7f >> length);
    for (let k = 1; k < length; k += 1) {
      const next = bytes[at + k] ?? 0;
      if ((next & 0xc0) !== 0x80) return undefined;
      code = (code << 6) | (next & 63);
    }
    const least = [0, 0, 0x80, 0x800, 0x10000][length] ?? 0;
    if (code < least || code > 0x10ffff || (code >= 0xd800 && code < 0xe000)) return undefined;
    pieces.push(String.fromCodePoint(code));
    at += length;
  }
  return pieces.join('');
}
