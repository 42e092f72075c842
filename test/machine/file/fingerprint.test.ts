import { describe, expect, it } from 'vitest';
import { fingerprint, fnv1a64 } from '../../../src/machine/file/fingerprint.ts';
import { BENCH } from './demos.ts';

describe('the fingerprint', () => {
  // Source: Internet-Draft draft-eastlake-fnv, test vectors of FNV-1a with 64 bits, without a trailing zero (from memory).
  it.each([['', 0xcbf29ce484222325n], ['a', 0xaf63dc4c8601ec8cn], ['foobar', 0x85944171f73967e8n]])('of %j is the published one', (text, hash) => {
    expect(fnv1a64(new TextEncoder().encode(text))).toBe(hash);
  });

  // The same algorithm as the draft writes it, with the product in one piece.
  it('multiplies in limbs as it would in one piece, over UTF-8 as the platform encodes it', () => {
    const text = 'Ωµ²€ 16 mm² 🤖 ~';
    let hash = 0xcbf29ce484222325n;
    for (const byte of new TextEncoder().encode(text)) hash = ((hash ^ BigInt(byte)) * 0x100000001b3n) % 2n ** 64n;
    const digits = '0123456789abcdefghjkmnpqrstvwxyz';
    const expected = Array.from({ length: 10 }, (_, k) => digits[Number((hash >> BigInt(59 - 5 * k)) & 31n)]).join('');
    expect(fingerprint(text)).toBe(expected);
  });

  it('does not depend on line ends, and does on everything else', () => {
    expect(fingerprint(BENCH.replaceAll('\n', '\r\n'))).toBe(fingerprint(BENCH));
    expect(fingerprint(BENCH.replace('33 Ω', '34 Ω'))).not.toBe(fingerprint(BENCH));
    expect(fingerprint(BENCH)).toMatch(/^[0-9a-hjkmnp-tv-z]{10}$/);
  });
});
