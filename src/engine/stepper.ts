import type { Kernel } from './kernel/kernel.ts';
import type { BoundStep, StepArrays } from './kernel/step.ts';
import type { Model } from './model.ts';
import type { UnknownKind } from './system.ts';
import type { Tableau } from './tableau.ts';

/** Room for those who look at a run; kept with the stepper, because a short run would spend a third of its time on making it. */
export interface Scratch {
  readonly atStart: Float64Array;
  readonly located: Float64Array;
  readonly inside: Float64Array;
  readonly rates: Float64Array;
  readonly ratesAtEnd: Float64Array;
  readonly watched: Float64Array;
  readonly watchedInside: Float64Array;
}

/**
 * One step of a Rosenbrock method on a compiled model, with its error estimate and dense output.
 * All arrays are made once; `y` is the accepted state, `yNew` the one proposed by the last attempt.
 */
export class Stepper {
  readonly y: Float64Array;
  readonly yNew: Float64Array;
  /** Right-hand sides at the start of the step. */
  readonly f0: Float64Array;
  /** Parameters and what is derived from them; the run changes them, and `prepare`s the kernel then. */
  readonly p: Float64Array;
  readonly n: number;
  readonly scratch: Scratch;
  evaluations = 0;
  private readonly arrays: StepArrays;
  private readonly bound: BoundStep;
  private readonly flatDense: Float64Array;
  private readonly states: number;
  private kept: Float64Array | undefined;

  /** A stepper that no run is using: its code is optimised already, and its arrays are there. */
  static take(model: Model, tableau: Tableau, relative: number): Stepper {
    const free = idle.get(model.kernel);
    const at = free?.findIndex((one) => one.tableau === tableau) ?? -1;
    const found = at < 0 ? undefined : free?.splice(at, 1)[0];
    if (found === undefined) return new Stepper(model, tableau, relative);
    found.evaluations = 0;
    found.measureBy(model, relative);
    return found;
  }

  /** Gives a stepper back; nobody may use its arrays after that. */
  static giveBack(stepper: Stepper): void {
    const free = idle.get(stepper.kernel);
    if (free === undefined) idle.set(stepper.kernel, [stepper]);
    else if (free.length < MOST_IDLE) free.push(stepper);
  }

  private readonly kernel: Kernel;

  constructor(
    model: Model,
    private readonly tableau: Tableau,
    relative: number,
  ) {
    const { plan, kernel } = model;
    const n = plan.unknowns;
    const vector = (): Float64Array => new Float64Array(n);
    this.kernel = kernel;
    this.n = n;
    this.states = plan.states;
    this.arrays = {
      y: vector(),
      yNew: vector(),
      p: new Float64Array(plan.parameters + plan.derived.length),
      f0: vector(),
      ft: vector(),
      J: new Float64Array(plan.jacobian.length),
      d: vector(),
      LU: new Float64Array(plan.factors.size),
      X: vector(),
      R: vector(),
      F: vector(),
      U: Array.from({ length: tableau.stages }, vector),
      gathered: vector(),
      missed: vector(),
      mass: vector(),
      absolute: vector(),
      relative: new Float64Array(1),
    };
    const watches = (): Float64Array => new Float64Array(plan.watches.length);
    this.scratch = { atStart: vector(), located: vector(), inside: vector(), rates: vector(), ratesAtEnd: vector(), watched: watches(), watchedInside: watches() };
    this.y = this.arrays.y;
    this.yNew = this.arrays.yNew;
    this.f0 = this.arrays.f0;
    this.p = this.arrays.p;
    this.bound = kernel.bind(tableau, this.arrays);
    this.flatDense = new Float64Array(3 * tableau.stages);
    tableau.dense.forEach((row, k) => this.flatDense.set(row, k * tableau.stages));
    this.measureBy(model, relative);
  }

  /** Models that share a kernel may differ in what their unknowns are. */
  private measureBy({ system }: Model, relative: number): void {
    const { mass, absolute } = this.arrays;
    this.arrays.relative[0] = relative;
    for (let k = 0; k < this.n; k++) {
      const unknown = system.unknowns[k]!;
      mass[k] = unknown.differential ? 1 : 0;
      absolute[k] = relative * absoluteScale(unknown.kind, unknown.scale);
    }
  }

  /** Right-hand sides and Jacobian at (t, y): to be called before attempts from there. */
  begin(t: number): void {
    this.bound.begin(t);
    this.evaluations++;
  }

  /** The largest change of a state, in units of what a step may be off by here. */
  largestState(change: Float64Array): number {
    const { absolute, relative } = this.arrays;
    let most = 0;
    for (let k = 0; k < this.states; k++) {
      const size = Math.abs(change[k]!) / (absolute[k]! + relative[0]! * Math.abs(this.y[k]!));
      if (!(size <= most)) most = size;
    }
    return most;
  }

  /**
   * Tries a step of length h from (t, y) into `yNew`.
   * @returns the estimated error over the tolerance (accept when ≤ 1), Infinity when a value is not finite
   */
  attempt(t: number, h: number): number {
    const error = this.bound.attempt(t, h);
    return error < Infinity ? error : Infinity;
  }

  /** State at t + θ h inside the last attempt; quadratures, which nothing looks at on the way, on a straight line. */
  interpolate(theta: number, out: Float64Array): void {
    const { n, states, y, yNew, flatDense } = this;
    const { U } = this.arrays;
    const s = this.tableau.stages;
    for (let k = states; k < n; k++) out[k] = (1 - theta) * y[k]! + theta * yNew[k]!;
    for (let k = 0; k < states; k++) {
      let k1 = 0;
      let k2 = 0;
      let k3 = 0;
      for (let j = 0; j < s; j++) {
        const u = U[j]![k]!;
        k1 += flatDense[j]! * u;
        k2 += flatDense[s + j]! * u;
        k3 += flatDense[2 * s + j]! * u;
      }
      out[k] = (1 - theta) * y[k]! + theta * (yNew[k]! + (1 - theta) * (k1 + theta * (k2 + theta * k3)));
    }
  }

  /** Remembers the last attempt, so that another can be made from the same point. */
  keep(): void {
    this.kept ??= new Float64Array((this.tableau.stages + 1) * this.n);
    this.kept.set(this.yNew);
    this.arrays.U.forEach((stage, i) => this.kept!.set(stage, (i + 1) * this.n));
  }

  /** Puts back what `keep` remembered. */
  restore(): void {
    const { kept, n } = this;
    if (kept === undefined) throw new Error('nothing was kept');
    for (let k = 0; k < n; k++) this.yNew[k] = kept[k]!;
    this.arrays.U.forEach((stage, i) => {
      for (let k = 0; k < n; k++) stage[k] = kept[(i + 1) * n + k]!;
    });
  }

  accept(): void {
    this.y.set(this.yNew);
  }

  /** Largest residual of the algebraic equations at the last `begin`, in their unit (A). */
  algebraicResidual(): number {
    const { n, f0 } = this;
    const { mass } = this.arrays;
    let worst = 0;
    for (let k = 0; k < n; k++) if (mass[k] === 0) worst = Math.max(worst, Math.abs(f0[k]!));
    return worst;
  }

  /**
   * Brings the algebraic unknowns of `y` into agreement with the differential ones (Newton with halved steps).
   * @returns the residual left; NaN never
   */
  project(t: number, tolerance: number): number {
    const { n, y, f0, bound } = this;
    const { d, mass, X, F } = this.arrays;
    for (let k = 0; k < this.states; k++) d[k] = mass[k] === 0 ? 0 : HELD;
    this.begin(t);
    let residual = this.algebraicResidual();
    for (let pass = 0; pass < NEWTON_PASSES && residual > tolerance; pass++) {
      bound.factor();
      for (let k = 0; k < n; k++) F[k] = mass[k] === 0 ? f0[k]! : 0;
      bound.solve(F);
      X.set(y);
      let share = 1;
      let reached = Infinity;
      for (let halving = 0; halving < NEWTON_HALVINGS; halving++, share /= 2) {
        for (let k = 0; k < n; k++) y[k] = X[k]! + share * F[k]!;
        this.begin(t);
        reached = this.algebraicResidual();
        if (reached < residual || reached <= tolerance) break;
      }
      if (!(reached < residual)) {
        // The last digits: rounding, not the step, decides. Keep the better of the two.
        y.set(X);
        this.begin(t);
        break;
      }
      residual = reached;
    }
    return Number.isNaN(residual) ? Infinity : residual;
  }
}

const idle = new WeakMap<Kernel, Stepper[]>();
const MOST_IDLE = 4;
/** Pivot that keeps a differential unknown where it is while the algebraic ones are solved for. */
const HELD = 1e30;
const NEWTON_PASSES = 60;
const NEWTON_HALVINGS = 30;

/**
 * Absolute tolerance of a kind of unknown, as a multiple of the relative one: about what can be told apart on a meter.
 * Ten to thirty amps per unit of relative tolerance for currents lets fast currents go that carry no charge.
 */
function absoluteScale(kind: UnknownKind, scale: number): number {
  switch (kind) {
    case 'voltage':
      return 1;
    case 'current':
      return 30;
    case 'temperature':
      return 1;
    case 'charge state':
      return 1e-2;
    case 'speed':
      return 10;
    case 'energy':
    case 'quadrature':
      return scale;
  }
}
