import type { Automaton, RunControl } from '../automaton.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';

/** How a contactor's coil pulls in, holds and lets go. */
export interface CoilLaw {
  /** Resistance while it pulls in and while it holds (with an economiser), Ω. */
  readonly pulling_ohm: number;
  readonly holding_ohm: number;
  /** Voltages at which the armature is drawn and at which it falls, V. */
  readonly pullIn_V: number;
  readonly dropOut_V: number;
  /** Time from pull-in voltage to the first touch, and from drop-out voltage to the parting, s. */
  readonly closing_s: number;
  readonly release_s: number;
  /** Time from the touch until the economiser takes over, s. */
  readonly economise_s: number;
}

/** What the armature does to the contacts. */
export interface Armature {
  close(run: RunControl): void;
  open(run: RunControl): void;
}

export interface CoilHandle {
  readonly name: string;
  /** Parameters, in the order of the law. */
  readonly pulling: number;
  readonly holding: number;
  readonly pullIn: number;
  readonly dropOut: number;
  readonly closing: number;
  readonly release: number;
  readonly economise: number;
  /** Parameter: 1 while its switch and its logic want it drawn. */
  readonly energised: number;
  /** Parameter: 1 while the armature is drawn. */
  readonly drawn: number;
  /** Parameter: 1 while it holds with the economiser. */
  readonly holds: number;
  /** Parameter: 1 while a clock of its armature runs. */
  readonly moving: number;
  /** Watches: voltage across it, V; current through it, A. */
  readonly voltage: number;
  readonly current: number;
  readonly automaton: Automaton;
}

/** A voltage that has come back by less than this share does not stop what its fall has begun. */
const BACK_SHARE = 0.02;

/**
 * A coil that draws the armature of a contactor: a resistance while it pulls in, a larger one while it holds. When the
 * voltage across it has stood at pull-in for `closing_s` the armature arrives; when it has stood under drop-out, or
 * nothing has fed it, for `release_s` the armature falls. Both clocks are set back when the voltage returns in time.
 */
export function addCoil(b: SystemBuilder, name: string, positive: CircuitNode, negative: CircuitNode, law: CoilLaw, armature: Armature): CoilHandle {
  const g = b.graph;
  const pulling = b.parameter(`${name} pull-in resistance`, law.pulling_ohm);
  const holding = b.parameter(`${name} hold resistance`, law.holding_ohm);
  const at = (what: string, value: number): number => b.parameter(`${name} ${what}`, value).index;
  const pullIn = at('pull-in voltage', law.pullIn_V);
  const dropOut = at('drop-out voltage', law.dropOut_V);
  const closing = at('closing time', law.closing_s);
  const release = at('release time', law.release_s);
  const economise = at('economiser delay', law.economise_s);
  const energised = b.parameter(`${name} energised`, 0);
  const holds = b.parameter(`${name} holds`, 0);
  const drawn = at('drawn', 0);
  const moving = at('moving', 0);
  const movingSince = at('moving since', 0);
  const touchedAt = at('touched at', 0);

  const across = g.subtract(positive.voltage, negative.voltage);
  const conductance = g.add(g.divide(g.subtract(g.one, holds.value), pulling.value), g.divide(holds.value, holding.value));
  const flow = g.multiply(energised.value, g.multiply(conductance, across));
  b.flow(positive, negative, flow);
  b.account('loss', g.multiply(across, flow));
  const voltage = b.watch(`${name} voltage`, across);
  const current = b.watch(`${name} current`, flow);

  const arrive = (run: RunControl): void => {
    const p = run.parameters;
    p[drawn] = 1;
    run.note(`${name} pulls in`, run.watched[voltage]!);
    armature.close(run);
    const touched = run.time;
    p[touchedAt] = touched;
    run.schedule(touched + p[economise]!, (later) => {
      if (later.parameters[drawn] === 1 && later.parameters[touchedAt] === touched) later.parameters[holds.index] = 1;
    });
  };
  const fall = (run: RunControl): void => {
    const p = run.parameters;
    p[drawn] = 0;
    p[holds.index] = 0;
    run.note(p[energised.index] === 1 ? `${name} drops out` : `${name} lets go`, run.watched[voltage]!);
    armature.open(run);
  };
  const automaton: Automaton = {
    name,
    distance(w, p) {
      const on = p[energised.index] === 1;
      const v = w[voltage]!;
      const moves = p[moving] === 1;
      if (p[drawn] === 1) {
        if (!on) return moves ? -1 : 1;
        return moves ? v - (1 + BACK_SHARE) * p[dropOut]! : p[dropOut]! - v;
      }
      if (!on) return moves ? 1 : -1;
      return moves ? (1 - BACK_SHARE) * p[pullIn]! - v : v - p[pullIn]!;
    },
    fire(run) {
      const p = run.parameters;
      if (p[moving] === 1) {
        p[moving] = 0;
        return;
      }
      p[moving] = 1;
      const begun = run.time;
      const rises = p[drawn] === 0;
      p[movingSince] = begun;
      run.schedule(begun + (rises ? p[closing]! : p[release]!), (later) => {
        const q = later.parameters;
        if (q[moving] !== 1 || q[movingSince] !== begun || (q[drawn] === 0) !== rises) return;
        q[moving] = 0;
        if (rises) arrive(later);
        else fall(later);
      });
    },
  };
  return {
    name, pulling: pulling.index, holding: holding.index, pullIn, dropOut, closing, release, economise, energised: energised.index, drawn, holds: holds.index,
    moving, voltage, current, automaton,
  };
}

/** Feeds a coil: its armature comes when the voltage is enough. */
export function energise(run: RunControl, coil: CoilHandle): void {
  run.parameters[coil.energised] = 1;
}

/** Feeds a coil no more. Its release begins anew, also where an earlier run broke off in the middle of one. */
export function letGo(run: RunControl, coil: CoilHandle): void {
  run.parameters[coil.energised] = 0;
  run.parameters[coil.moving] = 0;
}
