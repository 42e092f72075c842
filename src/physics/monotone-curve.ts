/** A smooth curve through measured points that rises or falls wherever the points do. */
export interface MonotoneCurve {
  /** Value at x; beyond the ends the curve goes on straight. */
  readonly at: (x: number) => number;
  /** Derivative at x; continuous. */
  readonly slopeAt: (x: number) => number;
  /** The x at which a strictly rising curve has the value y. */
  readonly inverse: (y: number) => number;
}

/**
 * Piecewise cubic through the points with slopes limited so that it never overshoots them.
 * A simulator integrates across these curves, so a kink at each point would cost it steps: hence cubic, not straight.
 *
 * @param xs  strictly rising
 * @param ys  one per x, strictly rising or strictly falling
 * @throws RangeError when the lists differ in length, are shorter than 2 or xs does not rise
 * @see F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300: harmonic-mean slopes
 */
export function monotoneCurve(xs: readonly number[], ys: readonly number[]): MonotoneCurve {
  const last = xs.length - 1;
  if (!(last >= 1 && ys.length === xs.length)) {
    throw new RangeError(`points: expected two lists of one length, at least 2, got ${xs.length} and ${ys.length}`);
  }
  const x = Float64Array.from(xs);
  const y = Float64Array.from(ys);
  const secant = new Float64Array(last);
  for (let k = 0; k < last; k++) {
    const width = x[k + 1]! - x[k]!;
    if (!(width > 0)) throw new RangeError(`points: expected x to rise, got ${x[k]} then ${x[k + 1]}`);
    secant[k] = (y[k + 1]! - y[k]!) / width;
  }
  const slope = limitedSlopes(x, secant);

  const segmentOf = (target: number, list: Float64Array): number => {
    let low = 0;
    let high = last;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (list[middle]! <= target) low = middle;
      else high = middle;
    }
    return low;
  };

  const at = (target: number): number => {
    if (Number.isNaN(target)) throw new RangeError('x: expected a number, got NaN');
    if (target <= x[0]!) return y[0]! + slope[0]! * (target - x[0]!);
    if (target >= x[last]!) return y[last]! + slope[last]! * (target - x[last]!);
    const k = segmentOf(target, x);
    const h = x[k + 1]! - x[k]!;
    const s = (target - x[k]!) / h;
    const r = 1 - s;
    return (
      r * r * ((1 + 2 * s) * y[k]! + s * h * slope[k]!) + s * s * ((1 + 2 * r) * y[k + 1]! - r * h * slope[k + 1]!)
    );
  };

  const slopeAt = (target: number): number => {
    if (Number.isNaN(target)) throw new RangeError('x: expected a number, got NaN');
    if (target <= x[0]!) return slope[0]!;
    if (target >= x[last]!) return slope[last]!;
    const k = segmentOf(target, x);
    const s = (target - x[k]!) / (x[k + 1]! - x[k]!);
    const r = 1 - s;
    return 6 * s * r * secant[k]! + r * (r - 2 * s) * slope[k]! + s * (s - 2 * r) * slope[k + 1]!;
  };

  const inverse = (target: number): number => {
    if (Number.isNaN(target)) throw new RangeError('y: expected a number, got NaN');
    if (target <= y[0]!) return x[0]! + (target - y[0]!) / slope[0]!;
    if (target >= y[last]!) return x[last]! + (target - y[last]!) / slope[last]!;
    const k = segmentOf(target, y);
    let low = x[k]!;
    let high = x[k + 1]!;
    let guess = low + ((target - y[k]!) / (y[k + 1]! - y[k]!)) * (high - low);
    // Newton, kept inside a shrinking bracket: a limited slope may be nearly flat.
    for (let pass = 0; pass < 60 && high - low > 4e-16 * Math.abs(high); pass++) {
      const error = at(guess) - target;
      if (error === 0) return guess;
      if (error > 0) high = guess;
      else low = guess;
      const newton = guess - error / slopeAt(guess);
      const next = newton > low && newton < high ? newton : (low + high) / 2;
      if (next === guess) return guess;
      guess = next;
    }
    return guess;
  };

  return { at, slopeAt, inverse };
}

function limitedSlopes(x: Float64Array, secant: Float64Array): Float64Array {
  const last = secant.length;
  const slope = new Float64Array(last + 1);
  // One-sided secants at the ends keep the straight continuation monotone and away from zero slope.
  slope[0] = secant[0]!;
  slope[last] = secant[last - 1]!;
  for (let k = 1; k < last; k++) {
    const before = secant[k - 1]!;
    const after = secant[k]!;
    if (!(before * after > 0)) continue;
    const widthBefore = x[k]! - x[k - 1]!;
    const widthAfter = x[k + 1]! - x[k]!;
    const share = (1 + widthAfter / (widthBefore + widthAfter)) / 3;
    slope[k] = (before * after) / (share * after + (1 - share) * before);
  }
  return slope;
}
