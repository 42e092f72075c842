// 1/e as the sum of two doubles: x + 1/e must keep its digits near the branch point.
const INVERSE_E_HIGH = 0.36787944117144233;
const INVERSE_E_LOW = -1.2428753672788363e-17;

// W around its branch point in powers of p = √(2(ex + 1)), p < 0 for the lower branch.
// R. M. Corless et al., On the Lambert W function, Adv. Comput. Math. 5 (1996) 329, eq. 4.22 to 4.24.
const BRANCH_SERIES = [
  -1,
  1,
  -1 / 3,
  11 / 72,
  -43 / 540,
  769 / 17280,
  -221 / 8505,
  680863 / 43545600,
  -1963 / 204120,
  226287557 / 37623398400,
] as const;

/**
 * Principal branch of Lambert's W: the w ≥ −1 with w·e^w = x. Accurate to a few units in the 15th digit.
 * @throws RangeError below −1/e, where none exists (NaN included)
 * @see Corless et al. 1996; Halley's step, their eq. 5.9
 */
export function lambertW0(x: number): number {
  const p = branchDistance(x);
  if (p < 0.05) return branchSeries(p);
  if (x === Infinity) return Infinity;
  // e^w overflows late in the iteration otherwise, and the logarithm is well conditioned here.
  if (x > Math.E) return wrightOmega(Math.log(x));
  return halley(x, p < 1 ? branchSeries(p) : Math.log1p(x) * (x > 0.5 ? 0.7 : 0.9));
}

/**
 * Lower branch of Lambert's W: the w ≤ −1 with w·e^w = x, for −1/e ≤ x < 0.
 * @throws RangeError elsewhere (NaN included)
 */
export function lambertWminus1(x: number): number {
  if (!(x < 0)) throw new RangeError(`x: expected −1/e to below 0, got ${x}`);
  const p = branchDistance(x);
  if (p < 0.05) return branchSeries(-p);
  const logarithm = Math.log(-x);
  let w = p < 1 ? branchSeries(-p) : logarithm - Math.log(-logarithm);
  // w + ln(−w) = ln(−x): Newton on it converges from either side and never forms e^w.
  for (let pass = 0; pass < 50; pass++) {
    const step = ((w + Math.log(-w) - logarithm) * w) / (1 + w);
    w -= step;
    if (Math.abs(step) <= 1e-15 * Math.abs(w)) break;
  }
  return w;
}

/**
 * Wright's omega for a real argument: the ω > 0 with ω + ln ω = z, that is W₀(e^z) without forming e^z.
 * The diode behind a resistor is this function.
 * @throws RangeError when z is NaN
 * @see P. W. Lawrence, R. M. Corless, D. J. Jeffrey, Algorithm 917, ACM Trans. Math. Softw. 38 (2012) 20; F. N. Fritsch,
 *      R. E. Shafer, W. P. Crowley, Algorithm 443, Comm. ACM 16 (1973) 123: the fourth-order step used here
 */
export function wrightOmega(z: number): number {
  if (Number.isNaN(z)) throw new RangeError('z: expected a number, got NaN');
  if (z === Infinity) return Infinity;
  // The residual z − ω − ln ω loses digits for large negative z, w·e^w = e^z does not.
  if (z < 1) return lambertW0(Math.exp(z));
  let w = z - Math.log(z) * (1 - 1 / (1 + z));
  for (let pass = 0; pass < 3; pass++) {
    const r = z - w - Math.log(w);
    const q = 2 * (1 + w) * (1 + w + (2 * r) / 3);
    w *= 1 + ((r / (1 + w)) * (q - r)) / (q - 2 * r);
    if (Math.abs(r) <= 1e-15 * w) break;
  }
  return w;
}

function branchDistance(x: number): number {
  const distance = x + INVERSE_E_HIGH + INVERSE_E_LOW;
  // The double nearest −1/e lies 1.2e-17 below it and still counts.
  if (!(distance >= -2e-17)) throw new RangeError(`x: expected at least −1/e, got ${x}`);
  return Math.sqrt(2 * Math.E * Math.max(0, distance));
}

function branchSeries(p: number): number {
  let sum = 0;
  for (let k = BRANCH_SERIES.length - 1; k >= 0; k--) sum = sum * p + BRANCH_SERIES[k]!;
  return sum;
}

function halley(x: number, guess: number): number {
  let w = guess;
  for (let pass = 0; pass < 50; pass++) {
    const e = Math.exp(w);
    const residual = w * e - x;
    const step = residual / (e * (w + 1) - ((w + 2) * residual) / (2 * w + 2));
    w -= step;
    if (Math.abs(step) <= 1e-15 * Math.abs(w)) break;
  }
  return w;
}
