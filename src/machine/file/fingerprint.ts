const ALPHABET = '0123456789abcdefghjkmnpqrstvwxyz';

/**
 * Ten characters that tell one machine file from another; the same for any line endings. For identification only:
 * whoever wants to can make another file with the same one.
 * @see Internet-Draft draft-eastlake-fnv, FNV-1a with 64 bits; the upper 50 are written in base 32
 */
export function fingerprint(text: string): string {
  const bits = fnv1a64(utf8(text.replace(/\r\n?/g, '\n'))) >> 14n;
  let written = '';
  for (let place = 45n; place >= 0n; place -= 5n) written += ALPHABET.charAt(Number((bits >> place) & 31n));
  return written;
}

/** FNV-1a, 64 bits. The product with the prime 2^40 + 0x1b3 is formed in four limbs of 16 bits. */
export function fnv1a64(bytes: Iterable<number>): bigint {
  let [a, b, c, d] = [0x2325, 0x8422, 0x9ce4, 0xcbf2];
  for (const byte of bytes) {
    a ^= byte;
    const low = a * 0x1b3;
    const second = b * 0x1b3 + (low >>> 16);
    const third = c * 0x1b3 + (a << 8) + (second >>> 16);
    d = (d * 0x1b3 + (b << 8) + Math.floor(third / 65536)) & 0xffff;
    [a, b, c] = [low & 0xffff, second & 0xffff, third & 0xffff];
  }
  return (BigInt(d) << 48n) | (BigInt(c) << 32n) | (BigInt(b) << 16n) | BigInt(a);
}

/** Bytes of a text in UTF-8 (RFC 3629); half a surrogate pair is written like any other three-byte character. */
function* utf8(text: string): Generator<number> {
  for (const char of text) {
    const code = char.codePointAt(0) ?? 0;
    if (code < 0x80) {
      yield code;
      continue;
    }
    const trail = code < 0x800 ? 1 : code < 0x10000 ? 2 : 3;
    yield ((0xf0 << (3 - trail)) & 0xff) | (code >> (6 * trail));
    for (let k = trail - 1; k >= 0; k -= 1) yield 0x80 | ((code >> (6 * k)) & 0x3f);
  }
}
