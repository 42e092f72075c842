import { describe, expect, it } from 'vitest';
import { monotoneCurve } from '../../src/physics/monotone-curve.ts';

describe('monotone curve', () => {
  it('passes through its points, is straight where they are, and does not overshoot a step', () => {
    const line = monotoneCurve([0, 1, 3], [1, 3, 7]);
    for (const x of [-2, 0.3, 1, 2.2, 5]) expect(line.at(x)).toBeCloseTo(1 + 2 * x, 12);
    const step = monotoneCurve([0, 1, 2, 3], [0, 0.001, 0.999, 1]);
    for (let k = 0; k < 300; k++) {
      expect(step.at((k + 1) / 100)).toBeGreaterThan(step.at(k / 100));
      expect(step.at(k / 100)).toBeLessThan(1);
    }
  });
  it('has a continuous slope and inverts', () => {
    const curve = monotoneCurve([0, 1, 1.5, 4], [0, 0.2, 3, 3.1]);
    for (const knot of [0, 1, 1.5, 4]) expect(curve.slopeAt(knot - 1e-9)).toBeCloseTo(curve.slopeAt(knot + 1e-9), 6);
    for (let x = -1; x < 5; x += 0.07) expect(curve.inverse(curve.at(x))).toBeCloseTo(x, 10);
  });
  it('refuses lists it cannot join', () => {
    expect(() => monotoneCurve([0], [1])).toThrow(/at least 2/);
    expect(() => monotoneCurve([0, 0], [1, 2])).toThrow(/x to rise/);
    expect(() => monotoneCurve([0, NaN], [1, 2])).toThrow(/x to rise/);
    expect(() => monotoneCurve([0, 1], [1, 2]).at(NaN)).toThrow(/NaN/);
  });
});
