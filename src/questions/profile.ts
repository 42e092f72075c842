/** Minus twice the log-likelihood of some parameters, and the residuals in standard deviations, uncorrelated, behind it. */
export interface Misfit {
  readonly total: number;
  readonly deviations: readonly number[];
}

export type MisfitOf = (parameters: readonly number[]) => Misfit;

export interface Box {
  readonly low: readonly number[];
  readonly high: readonly number[];
}

export interface Minimum {
  readonly at: readonly number[];
  readonly misfit: Misfit;
}

/** An interval of one parameter; an end is open where the box ends before the likelihood says so. */
export interface Interval {
  readonly low: number;
  readonly high: number;
  readonly lowOpen: boolean;
  readonly highOpen: boolean;
}

const DIFFERENCE = 1e-4;
const MOST_ITERATIONS = 40;
const LARGEST_STEP = 1;
const ENOUGH = 1e-7;

/**
 * Descends to a minimum within a box: Gauss–Newton curvature with the gradient of the whole misfit, damped after
 * Levenberg and Marquardt. The gradient is not that of the squares alone, because variances move with the parameters.
 * @param free  indices of the parameters that may move
 * @see D. W. Marquardt, Journal of the Society for Industrial and Applied Mathematics 11 (1963), 431–441
 */
export function descend(misfitOf: MisfitOf, start: readonly number[], free: readonly number[], box: Box): Minimum {
  let at = within(start, box);
  let misfit = misfitOf(at);
  let damping = 1e-3;
  for (let iteration = 0; iteration < MOST_ITERATIONS && damping < 1e8; iteration += 1) {
    const slopes = free.map((j) => slopeAlong(misfitOf, at, j));
    // A parameter that stands at the box and wants out stays there.
    const moving = free.map((j, k) => ({ j, ...slopes[k]! })).filter(({ j, total }) => !(at[j]! <= box.low[j]! && total > 0) && !(at[j]! >= box.high[j]! && total < 0));
    if (moving.length === 0) break;
    const curvature = moving.map((a) => moving.map((b) => dot(a.deviations, b.deviations)));
    let gained = 0;
    while (damping < 1e8) {
      const step = solve(curvature.map((row, i) => row.map((c, k) => (i === k ? c * (1 + damping) + 1e-9 : c))), moving.map(({ total }) => -total / 2));
      const next = [...at];
      moving.forEach(({ j }, k) => (next[j] = at[j]! + Math.max(-LARGEST_STEP, Math.min(LARGEST_STEP, step[k]!))));
      const tried = within(next, box);
      const found = misfitOf(tried);
      if (found.total < misfit.total) {
        gained = misfit.total - found.total;
        at = tried;
        misfit = found;
        damping = Math.max(1e-9, damping / 5);
        break;
      }
      damping *= 5;
    }
    if (gained < ENOUGH) break;
  }
  return { at, misfit };
}

/**
 * The interval of one parameter in which the others can keep the misfit within `rise` of its minimum (profile
 * likelihood; 3.84 for 95 %).
 * @throws BetterMinimum when a lower misfit than `minimum` turns up on the way
 */
export function profileInterval(misfitOf: MisfitOf, minimum: Minimum, parameter: number, box: Box, rise: number): Interval {
  const others = minimum.at.map((_, j) => j).filter((j) => j !== parameter);
  const slope = slopeAlong(misfitOf, minimum.at, parameter);
  const scale = Math.sqrt(rise / Math.max(dot(slope.deviations, slope.deviations), 1e-6));
  const side = (sign: 1 | -1): { end: number; open: boolean } => {
    const wall = sign > 0 ? box.high[parameter]! : box.low[parameter]!;
    const reach = Math.abs(wall - minimum.at[parameter]!);
    let last = minimum.at;
    // Root of the rise: close to proportional to the distance, so that a secant finds its end in a few steps.
    const height = (distance: number): number => {
      const start = last.map((x, j) => (j === parameter ? minimum.at[parameter]! + sign * distance : x));
      const found = descend(misfitOf, start, others, box);
      if (found.misfit.total < minimum.misfit.total - 1e-4) throw new BetterMinimum(found);
      last = found.at;
      return Math.sqrt(Math.max(0, found.misfit.total - minimum.misfit.total)) - Math.sqrt(rise);
    };
    let inner = { distance: 0, height: -Math.sqrt(rise) };
    let outer = inner;
    for (let distance = Math.min(scale, reach); ; distance = Math.min(distance * 1.6, reach)) {
      outer = { distance, height: height(distance) };
      if (outer.height >= 0) break;
      if (distance >= reach) return { end: wall, open: true };
      inner = outer;
    }
    for (let k = 0; k < 12 && outer.distance - inner.distance > 1e-3 * outer.distance; k += 1) {
      const share = -inner.height / (outer.height - inner.height);
      const distance = inner.distance + Math.min(0.95, Math.max(0.05, share)) * (outer.distance - inner.distance);
      const found = { distance, height: height(distance) };
      if (found.height >= 0) outer = found;
      else inner = found;
      if (Math.abs(found.height) < 1e-3) break;
    }
    return { end: minimum.at[parameter]! + sign * (Math.abs(outer.height) < Math.abs(inner.height) ? outer.distance : inner.distance), open: false };
  };
  const [below, above] = [side(-1), side(1)];
  return { low: below.end, high: above.end, lowOpen: below.open, highOpen: above.open };
}

/** A profile came upon a lower misfit than the minimum it started from. */
export class BetterMinimum extends Error {
  constructor(readonly minimum: Minimum) {
    super('a lower misfit was found');
  }
}

function slopeAlong(misfitOf: MisfitOf, at: readonly number[], j: number): Misfit {
  const moved = (by: number): Misfit => misfitOf(at.map((x, k) => (k === j ? x + by : x)));
  const [above, below] = [moved(DIFFERENCE), moved(-DIFFERENCE)];
  return {
    total: (above.total - below.total) / (2 * DIFFERENCE),
    deviations: above.deviations.map((x, k) => (x - below.deviations[k]!) / (2 * DIFFERENCE)),
  };
}

function within(at: readonly number[], { low, high }: Box): readonly number[] {
  return at.map((x, j) => Math.max(low[j]!, Math.min(high[j]!, x)));
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, x, k) => sum + x * b[k]!, 0);
}

/** Solves a small symmetric positive definite system. */
function solve(matrix: readonly (readonly number[])[], right: readonly number[]): readonly number[] {
  const lower = cholesky(matrix);
  const forward = forwardSolved(lower, right);
  const x = [...forward];
  for (let i = x.length - 1; i >= 0; i -= 1) {
    for (let k = i + 1; k < x.length; k += 1) x[i]! -= lower[k]![i]! * x[k]!;
    x[i]! /= lower[i]![i]!;
  }
  return x;
}

/**
 * Lower triangle L of a symmetric positive definite matrix A = L·Lᵀ (Cholesky).
 * @throws RangeError when the matrix is not positive definite (NaN included)
 */
export function cholesky(matrix: readonly (readonly number[])[]): number[][] {
  const lower = matrix.map(() => new Array<number>(matrix.length).fill(0));
  matrix.forEach((row, i) => {
    for (let j = 0; j <= i; j += 1) {
      let sum = row[j]!;
      for (let k = 0; k < j; k += 1) sum -= lower[i]![k]! * lower[j]![k]!;
      if (i === j && !(sum > 0)) throw new RangeError(`matrix: expected a positive definite one, got a pivot of ${sum}`);
      lower[i]![j] = i === j ? Math.sqrt(sum) : sum / lower[j]![j]!;
    }
  });
  return lower;
}

/** Solves L·x = b for a lower triangle. */
export function forwardSolved(lower: readonly (readonly number[])[], right: readonly number[]): number[] {
  const x: number[] = [];
  right.forEach((b, i) => {
    let sum = b;
    for (let k = 0; k < i; k += 1) sum -= lower[i]![k]! * x[k]!;
    x.push(sum / lower[i]![i]!);
  });
  return x;
}
