import type { Automaton, RunControl } from './automaton.ts';
import type { Model } from './model.ts';

/** A state in which nothing changes any more. */
export interface Rest {
  readonly unknowns: Float64Array;
  readonly parameters: Float64Array;
  readonly watched: Float64Array;
  /** How it was found. */
  readonly by: 'Newton' | 'relaxation';
  readonly passes: number;
  /** Largest step that Newton would still take, in tolerances. */
  readonly residual: number;
}

export type RestOutcome =
  | { readonly status: 'rest'; readonly rest: Rest }
  | { readonly status: 'none'; readonly why: 'a load starts and stops for ever' | 'no balance was found'; readonly where: string };

export interface RestRequest {
  readonly model: Model;
  readonly parameters: Float64Array;
  /** Where to start: constant-power loads have several equilibria, and the one nearest along the way is found. */
  readonly guess: Float64Array;
  readonly automata: readonly Automaton[];
}

const NEWTON_PASSES = 40;
const RELAXATION_PASSES = 600;
const FIRST_STEP_S = 1e-7;
const LAST_STEP_S = 1e9;
/** Relative size of a step at which a state counts as at rest. */
const AT_REST = 1e-10;
const SWITCHINGS = 60;

/**
 * Finds the steady state that a circuit comes to rest in: Newton where the guess is near, otherwise relaxation, implicit
 * steps in a pseudo-time that grows as long as they go well (continuation). The latches are then looked at, and as long
 * as one wants to switch, it does and the search goes on from there.
 *
 * Quadratures and charge states have no rest and stay as they are.
 * @see C. T. Kelley, D. E. Keyes, Convergence analysis of pseudo-transient continuation, SIAM J. Numer. Anal. 35 (1998) 508
 */
export function findRest(request: RestRequest): RestOutcome {
  return new Search(request).run();
}

class Search {
  private readonly p: Float64Array;
  private readonly y: Float64Array;
  private readonly f: Float64Array;
  private readonly J: Float64Array;
  private readonly d: Float64Array;
  private readonly LU: Float64Array;
  private readonly watched: Float64Array;
  private readonly trial: Float64Array;
  private readonly frozen: readonly boolean[];
  private readonly mass: readonly number[];
  private passes = 0;
  private by: Rest['by'] = 'Newton';
  private left = Infinity;

  constructor(private readonly request: RestRequest) {
    const { model } = request;
    const n = model.plan.unknowns;
    this.p = Float64Array.from(request.parameters);
    this.y = Float64Array.from(request.guess);
    this.f = new Float64Array(n);
    this.d = new Float64Array(n);
    this.trial = new Float64Array(n);
    this.J = new Float64Array(model.plan.jacobian.length);
    this.LU = new Float64Array(model.plan.factors.size);
    this.watched = new Float64Array(model.plan.watches.length);
    this.frozen = model.system.unknowns.map((u) => u.kind === 'quadrature' || u.kind === 'charge state');
    this.mass = model.system.unknowns.map((u) => (u.differential ? 1 : 0));
  }

  run(): RestOutcome {
    const { model, automata } = this.request;
    let last = '';
    for (let switching = 0; switching < SWITCHINGS; switching++) {
      model.kernel.prepare(this.p);
      if (!this.settle()) return { status: 'none', why: 'no balance was found', where: this.worst() };
      model.kernel.watch(LONG_AFTER_S, this.y, this.p, this.watched);
      const eager = automata.find((a) => a.distance(this.watched, this.p) >= 0);
      if (eager === undefined) return { status: 'rest', rest: this.found() };
      last = eager.name;
      eager.fire(this.control());
    }
    return { status: 'none', why: 'a load starts and stops for ever', where: last };
  }

  private settle(): boolean {
    const start = Float64Array.from(this.y);
    if (this.newton()) return true;
    this.y.set(start);
    this.by = 'relaxation';
    return this.relax();
  }

  private newton(): boolean {
    for (let k = 0; k < NEWTON_PASSES; k++) {
      const size = this.step(Infinity);
      if (!(size < Infinity)) return false;
      this.y.set(this.trial);
      this.left = size;
      if (size <= AT_REST) return true;
    }
    return false;
  }

  /** Implicit Euler steps whose length grows while they change little and shrinks when they change much. */
  private relax(): boolean {
    let h = FIRST_STEP_S;
    for (let k = 0; k < RELAXATION_PASSES; k++) {
      const size = this.step(h);
      if (!(size < 2)) {
        h /= 8;
        if (h < 1e-15) return false;
        continue;
      }
      this.y.set(this.trial);
      this.left = size;
      if (h >= LAST_STEP_S && size <= AT_REST) return true;
      h = Math.min(LAST_STEP_S, h * (size < 0.05 ? 4 : size < 0.3 ? 2 : 1));
    }
    return false;
  }

  /** One linearised step of length h into `trial`; returns its size relative to one plus each unknown. */
  private step(h: number): number {
    const { y, f, d, trial, frozen, mass } = this;
    const { kernel } = this.request.model;
    this.passes++;
    kernel.ratesAndJacobian(LONG_AFTER_S, y, this.p, f, this.J);
    for (let k = 0; k < y.length; k++) {
      d[k] = frozen[k]! ? HELD : mass[k]! / h;
      if (frozen[k]!) f[k] = 0;
    }
    kernel.factor(this.J, d, this.LU);
    kernel.solve(this.LU, f);
    let size = 0;
    for (let k = 0; k < y.length; k++) {
      trial[k] = y[k]! + f[k]!;
      const share = Math.abs(f[k]!) / (1 + Math.abs(y[k]!));
      if (!(share <= size)) size = share;
    }
    return Number.isNaN(size) ? Infinity : size;
  }

  private found(): Rest {
    return {
      unknowns: Float64Array.from(this.y),
      parameters: Float64Array.from(this.p),
      watched: Float64Array.from(this.watched),
      by: this.by,
      passes: this.passes,
      residual: this.left,
    };
  }

  private control(): RunControl {
    return {
      time: LONG_AFTER_S,
      parameters: this.p,
      unknowns: this.y,
      watched: this.watched,
      // Nothing waits in a state without time: what is asked for later is done at once.
      schedule: (_, action) => { action(this.control()); },
      stop: () => undefined,
      note: () => undefined,
    };
  }

  private worst(): string {
    let at = 0;
    for (let k = 1; k < this.f.length; k++) if (!(Math.abs(this.f[k]!) <= Math.abs(this.f[at]!))) at = k;
    return this.request.model.system.unknowns[at]?.name ?? '';
  }
}

/** A rest is what stands when every contact has long closed and every ramp has long ended, s. */
const LONG_AFTER_S = 1e9;
/** Pivot that keeps an unknown where it is. */
const HELD = 1e30;
