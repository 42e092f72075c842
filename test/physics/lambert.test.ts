import { describe, expect, it } from 'vitest';
import { lambertW0, lambertWminus1, wrightOmega } from '../../src/physics/lambert.ts';
import { external } from '../external.ts';

// mpmath 1.3.0, lambertw at 40 digits, a general-purpose library.
const source = 'mpmath 1.3.0, lambertw at 40 digits';

describe('Lambert W', () => {
  it.each([
    [-0.36787944117, -0.999997199763411022],
    [-0.3678, -0.979360714957830517],
    [-0.36, -0.806084315970817624],
    [-0.3, -0.489402227180214934],
    [-0.1, -0.111832559158962972],
    [-1e-5, -1.00001000015000275e-5],
    [1e-10, 9.99999999900000036e-11],
    [0.1, 0.0912765271608622689],
    [0.5, 0.351733711249195826],
    [1, 0.567143290409783873],
    [2, 0.852605502013725491],
    [3, 1.04990889496403996],
    [10, 1.74552800274069938],
    [1000, 5.24960285240159623],
    [1e10, 20.0286854133049508],
    [1e100, 224.843106445118502],
    [1e300, 684.247208629760849],
  ])('W0(%d)', (x, w) => {
    external({ source, what: `W0(${x})`, expected: w, got: lambertW0(x), unit: '1', relative: 1e-14 });
  });

  it.each([
    [-0.36787944117, -1.00000280024181654],
    [-0.3678, -1.02092723940942546],
    [-0.36, -1.22277013397850616],
    [-0.3, -1.7813370234216277],
    [-0.1, -3.57715206395729714],
    [-1e-5, -14.1636008158101829],
    [-1e-10, -26.2952388192469257],
    [-1e-100, -235.721158875685314],
    [-1e-300, -697.322776295460161],
  ])('W−1(%d)', (x, w) => {
    external({ source, what: `W−1(${x})`, expected: w, got: lambertWminus1(x), unit: '1', relative: 1e-14 });
  });

  it.each([
    [-700, 9.85967654375977086e-305],
    [-50, 1.92874984796391778e-22],
    [-5, 0.00669300049773099327],
    [-1, 0.278464542761073795],
    [0, 0.567143290409783873],
    [0.5, 0.766248608161750259],
    [0.99, 0.99500625520505693],
    [1, 1],
    [1.5, 1.26495972012550054],
    [3, 2.207940031569323],
    [10, 7.92942009501969735],
    [100, 95.4414866455758318],
    [1e6, 999986.184503257628],
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
