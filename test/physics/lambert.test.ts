import { describe, expect, it } from 'vitest';
import { lambertW0, lambertWminus1, wrightOmega } from '../../src/physics/lambert.ts';
import { external } from '../external.ts';

// mpmath 1.3.0, lambertw at 40 digits, a general-purpose library; values rounded to the nearest double.
const source = 'mpmath 1.3.0, lambertw at 40 digits';

describe('Lambert W', () => {
  it.each([
    [-0.36787944117, -0.9999971997634111],
    [-0.3678, -0.9793607149578305],
    [-0.36, -0.8060843159708176],
    [-0.3, -0.4894022271802149],
    [-0.1, -0.11183255915896297],
    [-1e-5, -1.0000100001500027e-05],
    [1e-10, 9.999999999e-11],
    [0.1, 0.09127652716086226],
    [0.5, 0.35173371124919584],
    [1, 0.5671432904097838],
    [2, 0.8526055020137255],
    [3, 1.04990889496404],
    [10, 1.7455280027406994],
    [1000, 5.249602852401596],
    [1e10, 20.028685413304952],
    [1e100, 224.8431064451185],
    [1e300, 684.2472086297608],
  ])('W0(%d)', (x, w) => {
    external({ source, what: `W0(${x})`, expected: w, got: lambertW0(x), unit: '1', relative: 1e-14 });
  });

  it.each([
    [-0.36787944117, -1.0000028002418166],
    [-0.3678, -1.0209272394094255],
    [-0.36, -1.2227701339785062],
    [-0.3, -1.7813370234216277],
    [-0.1, -3.577152063957297],
    [-1e-5, -14.163600815810183],
    [-1e-10, -26.295238819246926],
    [-1e-100, -235.72115887568532],
    [-1e-300, -697.3227762954601],
  ])('W−1(%d)', (x, w) => {
    external({ source, what: `W−1(${x})`, expected: w, got: lambertWminus1(x), unit: '1', relative: 1e-14 });
  });

  it.each([
    [-700, 9.85967654375977e-305],
    [-50, 1.9287498479639178e-22],
    [-5, 0.006693000497730993],
    [-1, 0.2784645427610738],
    [0, 0.5671432904097838],
    [0.5, 0.7662486081617502],
    [0.99, 0.9950062552050569],
    [1, 1],
    [1.5, 1.2649597201255005],
    [3, 2.207940031569323],
    [10, 7.929420095019697],
    [100, 95.44148664557584],
    [1e6, 999986.1845032576],
  ])('ω(%d)', (z, w) => {
    external({ source, what: `ω(${z})`, expected: w, got: wrightOmega(z), unit: '1', relative: 1e-14 });
  });

  it('satisfies w·e^w = x on both branches over the whole range', () => {
    // The residual of an exact w rounds to (1 + |w|) units in the last place.
    for (let k = 0; k <= 2000; k++) {
      const w = -1 + (k / 2000) ** 2 * 600;
      const x = w * Math.exp(w);
      if (x > -1 / Math.E) {
        const again = lambertW0(x);
        expect(Math.abs(again * Math.exp(again) - x)).toBeLessThanOrEqual(1e-15 * (2 + Math.abs(again)) * Math.abs(x));
      }
      const low = -1 - (k / 2000) ** 2 * 700;
      const y = low * Math.exp(low);
      if (y > -1 / Math.E && y < 0) {
        const again = lambertWminus1(y);
        expect(Math.abs(again * Math.exp(again) - y)).toBeLessThanOrEqual(1e-15 * (2 + Math.abs(again)) * Math.abs(y));
      }
    }
  });

  it('satisfies ω + ln ω = z and joins up at its switch of method', () => {
    for (let z = -30; z < 60; z += 0.0371) {
      const w = wrightOmega(z);
      expect(Math.abs(w + Math.log(w) - z)).toBeLessThan(1e-14 * Math.max(1, Math.abs(z)));
    }
    expect(wrightOmega(1 - 1e-12)).toBeLessThan(1);
    expect(wrightOmega(1 + 1e-12)).toBeGreaterThan(1);
  });

  it('knows its ends and refuses what has no answer', () => {
    expect(lambertW0(0)).toBe(0);
    expect(lambertW0(-1 / Math.E)).toBeCloseTo(-1, 7);
    expect(lambertW0(Infinity)).toBe(Infinity);
    expect(wrightOmega(Infinity)).toBe(Infinity);
    for (const x of [-0.4, NaN]) expect(() => lambertW0(x)).toThrow(RangeError);
    for (const x of [-0.4, 0, 1, NaN]) expect(() => lambertWminus1(x)).toThrow(RangeError);
    expect(() => wrightOmega(NaN)).toThrow(RangeError);
  });
});
