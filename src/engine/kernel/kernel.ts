import type { Tableau } from '../tableau.ts';
import type { BoundStep, StepArrays } from './step.ts';

/**
 * What the solver asks of a compiled system. The same plan is carried out by generated code or, where a content policy
 * forbids generating code, by an interpreter; both do the same operations in the same order.
 *
 * Arrays: `p` parameters followed by values derived from them, `y` unknowns, `f` right-hand sides, `J` the nonzeros of
 * ∂f/∂y in the plan's order, `LU` the factors of diag(d) − J, `w` watched scalars.
 */
export interface Kernel {
  /** Fills the derived part of `p`; to be called after every change of a parameter. */
  prepare(p: Float64Array): void;
  rates(t: number, y: Float64Array, p: Float64Array, f: Float64Array): void;
  ratesAndJacobian(t: number, y: Float64Array, p: Float64Array, f: Float64Array, J: Float64Array): void;
  /** ∂f/∂t with the unknowns held; leaves zeros where there is none. */
  timeSlopes(t: number, y: Float64Array, p: Float64Array, f: Float64Array): void;
  watch(t: number, y: Float64Array, p: Float64Array, w: Float64Array): void;
  /** Stored energy, J, in `out[0]`. */
  stored(t: number, y: Float64Array, p: Float64Array, out: Float64Array): void;
  /** Factors the states' part of diag(d) − J. */
  factor(J: Float64Array, d: Float64Array, LU: Float64Array): void;
  /** Solves (diag(d) − J) x = b in place. */
  solve(LU: Float64Array, b: Float64Array): void;
  /** Makes a method's inner loop that works in these arrays alone. */
  bind(tableau: Tableau, arrays: StepArrays): BoundStep;
}
