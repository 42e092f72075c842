import { describe, expect, it } from 'vitest';
import { E12, E24, E96, nearestPreferred } from '../../src/physics/preferred.ts';

describe('preferred values', () => {
  it('has the E96 list of IEC 60063: each a rounded 96th root of ten', () => {
    expect(E96).toHaveLength(96);
    E96.forEach((value, k) => expect(value).toBe(Math.round(100 * 10 ** (k / 96)) / 100));
  });
  it('has the E24 list with its eight historic exceptions, and E12 as every second one', () => {
    const historic = E24.filter((value, k) => value !== Math.round(10 * 10 ** (k / 24)) / 10);
    expect(historic).toEqual([2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 8.2]);
    expect(E24.filter((_, k) => k % 2 === 0)).toEqual(E12);
  });
  it.each([
    [E12, 38, 'below', 33],
    [E12, 38, 'above', 39],
    [E24, 0.00995, 'nearest', 0.01],
    [E24, 950, 'nearest', 910],
    [E24, 960, 'nearest', 1000],
    [E96, 65.8, 'below', 64.9],
    [E24, 4700, 'below', 4700],
    [E24, 4700, 'above', 4700],
    [E12, 9.5, 'above', 10],
    [E12, 3 * 1.1, 'below', 3.3],
    [E12, 1e-3, 'below', 1e-3],
  ] as const)('%#: %s', (series, value, side, expected) => {
    expect(nearestPreferred(series, value, side)).toBe(expected);
  });
  it('refuses zero and NaN', () => {
    for (const value of [0, -1, NaN]) expect(() => nearestPreferred(E12, value, 'nearest')).toThrow(/value/);
  });
});
