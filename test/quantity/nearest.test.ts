import { describe, expect, it } from 'vitest';
import { nearest } from '../../src/quantity/nearest.ts';

const KEYS = ['capacitance', 'resistance', 'rating', 'length', 'section'];

describe('the nearest word', () => {
  // Common practice, no source: the four slips of typing that F. Damerau (Communications of the ACM 7, 1964,
  // 171–176) found to make up four errors in five: one letter wrong, missing, extra, or two swapped.
  it.each([['lenght', 'length'], ['legnth', 'length'], ['lngth', 'length'], ['lengthh', 'length'], ['lemgth', 'length'], ['LENGTH', 'length'], ['capacitence', 'capacitance'], ['resistanse', 'resistance'], ['ratin', 'rating']])(
    '%s meant %s', (word, meant) => expect(nearest(word, KEYS)).toBe(meant));

  it('is none when nothing is near', () => {
    for (const word of ['', 'x', 'voltage', 'colour', 'lxxxth', 'rxxxng', 'z'.repeat(10_000)]) expect(nearest(word, KEYS)).toBeUndefined();
  });

  it('lets case and the first letter decide between equals', () => {
    expect(nearest('mw', ['MW', 'kW', 'mW'])).toBe('mW');
    expect(nearest('ax', ['bx', 'ay'])).toBe('ay');
  });
});
