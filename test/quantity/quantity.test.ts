import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { normalQuantile } from '../../src/quantity/normal-quantile.ts';
import { exact, quantile, ranged, scaled, spreadOf } from '../../src/quantity/quantity.ts';

describe('quantiles', () => {
  // Source: Abramowitz and Stegun, Handbook of Mathematical Functions (1964), Table 26.5, percentage points of
  // the normal distribution: printed to five decimals; from memory.
  it.each([[0.5, 0], [0.75, 0.67449], [0.9, 1.28155], [0.95, 1.64485], [0.975, 1.95996], [0.99, 2.32635], [0.999, 3.09023]])(
    'the normal quantile of %d is %d', (u, z) => {
      expect(Math.abs(normalQuantile(u) - z)).toBeLessThan(6e-6);
      expect(Math.abs(normalQuantile(1 - u) + z)).toBeLessThan(6e-6);
    });

  // Law by definition: the log-normal's 5 %, 50 % and 95 % points are low, value and high; z from the table above.
  it('puts a class default\'s ends at 5 and 95 % and cuts it at 1 and 99 %', () => {
    const q = ranged('capacitance', 2e-3, 1e-3, 8e-3, 'class default');
    expect(quantile(q, 0.05) / 1e-3).toBeCloseTo(1, 12);
    expect(quantile(q, 0.5)).toBe(2e-3);
    expect(quantile(q, 0.95) / 8e-3).toBeCloseTo(1, 12);
    expect(quantile(q, 0.99) / (2e-3 * 4 ** (2.32635 / 1.64485))).toBeCloseTo(1, 4);
    expect(quantile(q, 0.01) / (2e-3 * 0.5 ** (2.32635 / 1.64485))).toBeCloseTo(1, 4);
    expect([quantile(q, 0.9999), quantile(q, 1e-12)]).toEqual([quantile(q, 0.99), quantile(q, 0.01)]);
  });

  it('spreads a tolerance evenly on each side of its value', () => {
    const q = ranged('time', 20, 10, 60, 'stated');
    expect([0.25, 0.5, 0.75].map((u) => quantile(q, u))).toEqual([15, 20, 40]);
    expect(quantile(exact('time', 20), 0.9)).toBe(20);
  });

  it('refuses shares outside 0 to 1', () => {
    for (const u of [0, 1, -0.1, NaN]) {
      for (const q of [exact('time', 1), ranged('time', 2, 1, 3, 'stated')]) expect(() => quantile(q, u)).toThrow(RangeError);
      expect(() => normalQuantile(u)).toThrow(RangeError);
    }
  });

  it('never fall as the share grows (seed 20263)', () => {
    const share = fc.double({ min: 1e-9, max: 1 - 1e-9, noNaN: true });
    const law = fc.constantFrom('stated' as const, 'class default' as const);
    fc.assert(fc.property(share, share, fc.double({ min: 0, max: 1, noNaN: true }), law, (a, b, part, origin) => {
      const q = ranged('resistance', 1 + part, 1, 3, origin);
      expect(quantile(q, Math.min(a, b))).toBeLessThanOrEqual(quantile(q, Math.max(a, b)) * (1 + 1e-15));
    }), { seed: 20263, numRuns: 5000 });
  });
});

describe('making quantities', () => {
  it('gives the relative half width', () => {
    expect(spreadOf(ranged('voltage', 10, 8, 12, 'stated'))).toBe(0.2);
    expect(spreadOf(ranged('voltage', -10, -12, -8, 'stated'))).toBe(0.2);
    expect(spreadOf(exact('voltage', 0))).toBe(0);
  });

  it('scales numbers, keeps origin, and turns the ends round under a negative factor', () => {
    const cell = ranged('voltage', 4, 3, 4.2, 'class default', true);
    expect(scaled(cell, 10)).toMatchObject({ value: 40, low: 30, high: 42, origin: 'class default', perCell: true, law: 'lognormal', text: '40 V per cell (30 to 42 V), class default' });
    expect(scaled(cell, -1)).toMatchObject({ value: -4, low: -4.2, high: -3, law: 'uniform' });
    expect(scaled(cell, 0)).toMatchObject({ value: 0, low: 0, high: 0, law: 'exact' });
  });

  it('refuses numbers that are not finite and ends in the wrong order', () => {
    for (const value of [NaN, Infinity]) {
      expect(() => exact('voltage', value)).toThrow(RangeError);
      expect(() => scaled(exact('voltage', 1), value)).toThrow(RangeError);
    }
    expect(() => ranged('voltage', 1, 2, 3, 'stated')).toThrow(RangeError);
  });
});
