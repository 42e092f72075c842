import type { Tableau } from '../tableau.ts';

/** Arrays that one step works in; their owner makes them once and may look at them between calls. */
export interface StepArrays {
  /** Accepted state, and the one that the last attempt proposes. */
  readonly y: Float64Array;
  readonly yNew: Float64Array;
  /** Parameters and what is derived from them. */
  readonly p: Float64Array;
  /** Right-hand sides, their slopes in time, and their nonzero derivatives at the start of the step. */
  readonly f0: Float64Array;
  readonly ft: Float64Array;
  readonly J: Float64Array;
  /** Diagonal of the stages' matrix, and the factors of diag(d) − J. */
  readonly d: Float64Array;
  readonly LU: Float64Array;
  /** Argument, memory and right-hand sides of a stage, and each stage's solution. */
  readonly X: Float64Array;
  readonly R: Float64Array;
  readonly F: Float64Array;
  readonly U: readonly Float64Array[];
  /** What the step adds to quadratures over its length, and the error of it. */
  readonly gathered: Float64Array;
  readonly missed: Float64Array;
  /** 1 for unknowns that follow a differential equation, otherwise 0. */
  readonly mass: Float64Array;
  /** Tolerances: one for each unknown, and in `relative[0]` the relative one. */
  readonly absolute: Float64Array;
  readonly relative: Float64Array;
}

/** The inner loop of one method on one system, bound to its arrays. */
export interface BoundStep {
  /** Right-hand sides and Jacobian at (t, y). */
  begin(t: number): void;
  /**
   * Tries a step of length h from (t, y), where `begin` was, into `yNew`.
   * @returns the estimated error over the tolerance, not finite when a value is not
   */
  attempt(t: number, h: number): number;
  /** Factors diag(d) − J. */
  factor(): void;
  /** Solves (diag(d) − J) x = b in place. */
  solve(b: Float64Array): void;
}

/** Row of weights that make a stage's argument; none where it is the argument before plus its solution. */
export function argumentWeights(tableau: Tableau, stage: number): readonly number[] | undefined {
  return tableau.a[stage - 1];
}
