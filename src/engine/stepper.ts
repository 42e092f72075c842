import { quadratureWeights } from './quadrature-weights.ts';
import { stageCombinations, type StageCombination } from './kernel/stages.ts';
import type { Model } from './model.ts';
import type { UnknownKind } from './system.ts';
import type { Tableau } from './tableau.ts';

/**
 * One step of a Rosenbrock method on a compiled model, with its error estimate and dense output.
 * All arrays are made once; `y` is the accepted state, `yNew` the one proposed by the last attempt.
 */
export class Stepper {
  readonly y: Float64Array;
  readonly yNew: Float64Array;
  /** Right-hand sides at the start of the step. */
  readonly f0: Float64Array;
  private readonly fs: Float64Array;
  private readonly ft: Float64Array;
  private readonly J: Float64Array;
  private readonly LU: Float64Array;
  private readonly d: Float64Array;
  private readonly U: readonly Float64Array[];
  private readonly memory: Float64Array;
  private readonly combine: readonly StageCombination[];
  private readonly argument: Float64Array;
  private readonly mass: Float64Array;
  private readonly absolute: Float64Array;
  private readonly flatDense: Float64Array;
  /** Solution and error estimate of quadratures: weights of their stages. */
  private readonly solution: Float64Array;
  private readonly estimate: Float64Array;
  private readonly gathered: Float64Array;
  private readonly missed: Float64Array;
  private readonly differential: number;
  private readonly states: number;
  readonly n: number;
  /** Parameters and what is derived from them; the run changes them, and `prepare`s the kernel then. */
  readonly p: Float64Array;
  evaluations = 0;

  /** A stepper that no run is using, made when there is none: short runs would spend a third of their time on its arrays. */
  static take(model: Model, tableau: Tableau, relative: number): Stepper {
    const free = idle.get(model);
    const at = free?.findIndex((one) => one.tableau === tableau && one.relative === relative) ?? -1;
    const found = at < 0 ? undefined : free?.splice(at, 1)[0];
    if (found === undefined) return new Stepper(model, tableau, relative);
    found.evaluations = 0;
    return found;
  }

  /** Gives a stepper back; nobody may use its arrays after that. */
  static giveBack(stepper: Stepper): void {
    const free = idle.get(stepper.model);
    if (free === undefined) idle.set(stepper.model, [stepper]);
    else if (free.length < MOST_IDLE) free.push(stepper);
  }

  constructor(
    private readonly model: Model,
    private readonly tableau: Tableau,
    private readonly relative: number,
  ) {
    this.p = new Float64Array(model.plan.parameters + model.plan.derived.length);
    const n = model.plan.unknowns;
    const s = tableau.stages;
    this.n = n;
    this.differential = model.system.layout.differential;
    this.states = model.system.layout.states;
    const weights = quadratureWeights(tableau);
    this.solution = weights.solution;
    this.estimate = weights.estimate;
    this.gathered = new Float64Array(n);
    this.missed = new Float64Array(n);
    this.y = new Float64Array(n);
    this.yNew = new Float64Array(n);
    this.f0 = new Float64Array(n);
    this.fs = new Float64Array(n);
    this.ft = new Float64Array(n);
    this.d = new Float64Array(n);
    this.argument = new Float64Array(n);
    this.U = Array.from({ length: s }, () => new Float64Array(n));
    this.memory = new Float64Array(n);
    this.combine = stageCombinations(tableau);
    this.J = new Float64Array(model.plan.jacobian.length);
    this.LU = new Float64Array(model.plan.factors.size);
    this.mass = Float64Array.from(model.system.unknowns, (u) => (u.differential ? 1 : 0));
    this.absolute = Float64Array.from(model.system.unknowns, (u) => relative * absoluteScale(u.kind, u.scale));
    this.flatDense = new Float64Array(3 * s);
    tableau.dense.forEach((row, k) => row.forEach((value, j) => (this.flatDense[k * s + j] = value)));
  }

  /** Right-hand sides and Jacobian at (t, y): to be called before attempts from there. */
  begin(t: number): void {
    this.model.kernel.ratesAndJacobian(t, this.y, this.p, this.f0, this.J);
    if (this.model.dependsOnTime) this.model.kernel.timeSlopes(t, this.y, this.p, this.ft);
    this.evaluations++;
  }

  /**
   * Tries a step of length h from (t, y) into `yNew`.
   * @returns the estimated error over the tolerance (accept when ≤ 1), Infinity when a value is not finite
   */
  attempt(t: number, h: number): number {
    const { n, differential, states, y, yNew, U, argument, memory, fs, f0, ft, mass, d, LU, absolute, relative, gathered, missed, solution, estimate } = this;
    const { stages, gamma, c } = this.tableau;
    const slopes = this.tableau.d;
    const kernel = this.model.kernel;
    const timed = this.model.dependsOnTime;
    const inverse = 1 / (h * gamma);
    const perStep = 1 / h;
    for (let k = 0; k < differential; k++) d[k] = mass[k]! * inverse;
    for (let k = differential; k < states; k++) d[k] = 0;
    kernel.factor(this.J, d, LU);
    for (let k = states; k < n; k++) {
      gathered[k] = 0;
      missed[k] = 0;
    }
    for (let k = 0; k < differential; k++) memory[k] = 0;

    for (let i = 0; i < stages; i++) {
      const stage = U[i]!;
      const slope = timed ? slopes[i]! * h : 0;
      let f = f0;
      if (i > 0) {
        this.combine[i - 1]!(U, y, argument, memory, mass, perStep, differential, states);
        kernel.rates(t + c[i]! * h, argument, this.p, fs);
        f = fs;
      }
      kernel.solveStage(LU, f, memory, slope, ft, stage);
      // A quadrature's stage needs no system: what it adds is its integrand, carried to the stage by its own row of ∂f/∂y.
      if (states < n) kernel.gather(this.J, f, slope, ft, stage, solution[i]!, estimate[i]!, gathered, missed);
    }

    const last = U[stages - 1]!;
    let sum = 0;
    for (let k = 0; k < states; k++) {
      const error = last[k]!;
      const reached = argument[k]! + error;
      yNew[k] = reached;
      const share = error / (absolute[k]! + relative * Math.max(Math.abs(y[k]!), Math.abs(reached)));
      sum += share * share;
    }
    for (let k = states; k < n; k++) {
      const reached = y[k]! + h * gathered[k]!;
      yNew[k] = reached;
      const share = (h * missed[k]!) / (absolute[k]! + relative * Math.max(Math.abs(y[k]!), Math.abs(reached)));
      sum += share * share;
    }
    const norm = Math.sqrt(sum / n);
    return norm < Infinity ? norm : Infinity;
  }

  /** State at t + θ h inside the last attempt; quadratures, which nothing looks at on the way, on a straight line. */
  interpolate(theta: number, out: Float64Array): void {
    const { n, states, y, yNew, U, flatDense } = this;
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

  accept(): void {
    this.y.set(this.yNew);
  }

  /** Largest residual of the algebraic equations at the last `begin`, in their unit (A). */
  algebraicResidual(): number {
    const { n, f0, mass } = this;
    let worst = 0;
    for (let k = 0; k < n; k++) if (mass[k] === 0) worst = Math.max(worst, Math.abs(f0[k]!));
    return worst;
  }

  /**
   * Brings the algebraic unknowns of `y` into agreement with the differential ones (Newton with halved steps).
   * @returns the residual left; NaN never
   */
  project(t: number, tolerance: number): number {
    const { n, y, f0, d, LU, mass, argument, fs } = this;
    for (let k = 0; k < this.states; k++) d[k] = mass[k] === 0 ? 0 : HELD;
    this.begin(t);
    let residual = this.algebraicResidual();
    for (let pass = 0; pass < NEWTON_PASSES && residual > tolerance; pass++) {
      this.model.kernel.factor(this.J, d, LU);
      for (let k = 0; k < n; k++) fs[k] = mass[k] === 0 ? f0[k]! : 0;
      this.model.kernel.solve(LU, fs);
      argument.set(y);
      let share = 1;
      let reached = Infinity;
      for (let halving = 0; halving < NEWTON_HALVINGS; halving++, share /= 2) {
        for (let k = 0; k < n; k++) y[k] = argument[k]! + share * fs[k]!;
        this.begin(t);
        reached = this.algebraicResidual();
        if (reached < residual || reached <= tolerance) break;
      }
      if (!(reached < residual)) {
        // The last digits: rounding, not the step, decides. Keep the better of the two.
        y.set(argument);
        this.begin(t);
        break;
      }
      residual = reached;
    }
    return Number.isNaN(residual) ? Infinity : residual;
  }
}

const idle = new WeakMap<Model, Stepper[]>();
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
