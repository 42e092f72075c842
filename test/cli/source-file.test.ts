import { isUtf8 } from 'node:buffer';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { firstInvalidByte } from '../../src/cli/source-file.ts';

const SEED = 1407;

describe('firstInvalidByte', () => {
  // Source: The Unicode Standard 15.0, Table 3-7, Well-Formed UTF-8 Byte Sequences: the first and last of each row.
  it.each([
    [[0x00]], [[0x7f]], [[0xc2, 0x80]], [[0xdf, 0xbf]], [[0xe0, 0xa0, 0x80]], [[0xe0, 0xbf, 0xbf]], [[0xec, 0xbf, 0xbf]], [[0xed, 0x80, 0x80]], [[0xed, 0x9f, 0xbf]],
    [[0xee, 0x80, 0x80]], [[0xf0, 0x90, 0x80, 0x80]], [[0xf3, 0xbf, 0xbf, 0xbf]], [[0xf4, 0x80, 0x80, 0x80]], [[0xf4, 0x8f, 0xbf, 0xbf]],
  ])('takes %j', (bytes) => {
    expect(firstInvalidByte(Uint8Array.from(bytes))).toBeUndefined();
  });

  // Source: the same table, just outside each row: overlong forms, surrogates, above U+10FFFF, a stray or missing follower.
  it.each([
    [[0x80]], [[0xc0, 0xaf]], [[0xc1, 0xbf]], [[0xe0, 0x9f, 0xbf]], [[0xed, 0xa0, 0x80]], [[0xf0, 0x8f, 0xbf, 0xbf]], [[0xf4, 0x90, 0x80, 0x80]], [[0xf5, 0x80, 0x80, 0x80]], [[0xff]],
    [[0xc2]], [[0xe2, 0x84]], [[0xf0, 0x9f, 0x98]], [[0xc2, 0x41]],
  ])('refuses %j after two good bytes, at offset 2', (bytes) => {
    expect(firstInvalidByte(Uint8Array.from([0x41, 0x42, ...bytes]))).toBe(2);
  });

  it(`agrees with Node's own check on any bytes (seed ${SEED})`, () => {
    const pieces = fc.oneof(fc.uint8Array({ maxLength: 3 }), fc.string({ unit: 'binary', maxLength: 4 }).map((text) => new TextEncoder().encode(text)));
    fc.assert(fc.property(fc.array(pieces), (list) => {
      const bytes = Uint8Array.from(list.flatMap((piece) => [...piece]));
      const offset = firstInvalidByte(bytes);
      expect(offset === undefined).toBe(isUtf8(bytes));
      if (offset !== undefined) expect(isUtf8(bytes.subarray(0, offset))).toBe(true);
    }), { seed: SEED, numRuns: 500 });
  });
});
