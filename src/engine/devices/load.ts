import type { Automaton } from '../automaton.ts';
import type { Expr } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';

export interface StandbyHandle {
  /** Parameter: current, A. */
  readonly current: number;
  /** Parameter: voltage at which it is half there, V. */
  readonly threshold: number;
  readonly flow: Expr;
}

/**
 * A constant current that comes up around a threshold: i = I · ½ (1 + tanh((v − threshold)/0.25 V)).
 * A load given without hysteresis would chatter for ever at a sharp threshold.
 */
export function addStandby(
  b: SystemBuilder,
  name: string,
  positive: CircuitNode,
  negative: CircuitNode,
  current_A: number,
  threshold_V: number,
): StandbyHandle {
  const g = b.graph;
  const current = b.parameter(`${name} standby current`, current_A);
  const threshold = b.parameter(`${name} standby threshold`, threshold_V);
  const across = g.subtract(positive.voltage, negative.voltage);
  const share = g.multiply(
    g.constant(0.5),
    g.add(g.one, g.tanh(g.divide(g.subtract(across, threshold.value), g.constant(STANDBY_RAMP_V)))),
  );
  const flow = g.multiply(current.value, share);
  b.flow(positive, negative, flow);
  b.account('load', g.multiply(across, flow));
  return { current: current.index, threshold: threshold.index, flow };
}

/** Width over which a load without hysteresis comes up, V. */
export const STANDBY_RAMP_V = 0.25;

export interface ConstantPowerHandle {
  /** Parameter: power, W. */
  readonly power: number;
  /** Parameters: start and stop voltage, V; 1 when started. */
  readonly start: number;
  readonly stop: number;
  readonly started: number;
  /** Parameter: 0 while an enable input holds it off. */
  readonly enabled: number;
  /** Watch: voltage across it. */
  readonly voltage: number;
  readonly flow: Expr;
  readonly automaton: Automaton;
}

/**
 * A load that draws constant power once started: i = P / max(v, floor), started when v rises to `start`, stopped when it
 * falls to `stop`, never while it is not enabled, and not again within a millisecond of stopping. The floor (smoothed over 0.1 V) only bounds the current below the stop voltage.
 */
export function addConstantPower(
  b: SystemBuilder,
  name: string,
  positive: CircuitNode,
  negative: CircuitNode,
  load: { readonly power_W: number; readonly start_V: number; readonly stop_V: number; readonly floor_V?: number },
): ConstantPowerHandle {
  const g = b.graph;
  const power = b.parameter(`${name} power`, load.power_W);
  const start = b.parameter(`${name} start voltage`, load.start_V);
  const stop = b.parameter(`${name} stop voltage`, load.stop_V);
  const started = b.parameter(`${name} started`, 0);
  const enabled = b.parameter(`${name} enabled`, 1);
  const resting = b.parameter(`${name} rests`, 0);
  const across = g.subtract(positive.voltage, negative.voltage);
  const bounded = g.smoothMaximum(across, g.constant(load.floor_V ?? 1), g.constant(0.1));
  const flow = g.divide(g.multiply(started.value, power.value), bounded);
  b.flow(positive, negative, flow);
  b.account('load', g.multiply(across, flow));
  const voltage = b.watch(`${name} voltage`, across);
  const automaton: Automaton = {
    name,
    distance(w, p) {
      const on = p[started.index] === 1;
      if (p[enabled.index] === 0) return on ? 1 : -1;
      if (on) return p[stop.index]! - w[voltage]!;
      return p[resting.index] === 1 ? -1 : w[voltage]! - p[start.index]!;
    },
    fire(run) {
      const on = run.parameters[started.index] === 0;
      run.parameters[started.index] = on ? 1 : 0;
      if (!on) {
        run.parameters[resting.index] = 1;
        run.schedule(run.time + REST_S, (later) => (later.parameters[resting.index] = 0));
      }
      run.note(on ? `${name} starts` : `${name} stops`, run.watched[voltage]!);
    },
  };
  return { power: power.index, start: start.index, stop: stop.index, started: started.index, enabled: enabled.index, voltage, flow, automaton };
}

/** A supply that has stopped needs about a millisecond before it tries again. Common practice, no source. */
const REST_S = 1e-3;

/** A lamp: a light-emitting diode with its resistor, i = max(0, v − forward)/R, smoothed over 0.2 V. */
export function addLamp(
  b: SystemBuilder,
  name: string,
  positive: CircuitNode,
  negative: CircuitNode,
  resistance_ohm: number,
  forward_V: number,
): { readonly resistance: number; readonly forward: number } {
  const g = b.graph;
  const resistance = b.parameter(`${name} resistance`, resistance_ohm);
  const forward = b.parameter(`${name} forward voltage`, forward_V);
  const across = g.subtract(positive.voltage, negative.voltage);
  const knee = g.constant(LAMP_KNEE_V);
  // Less what the smoothing leaves at 0 V, so that a lamp alone drains a bank to nothing and no further.
  const excess = g.subtract(g.smoothMaximum(g.subtract(across, forward.value), g.zero, knee), g.smoothMaximum(g.negate(forward.value), g.zero, knee));
  const flow = g.divide(excess, resistance.value);
  b.flow(positive, negative, flow);
  b.account('load', g.multiply(across, flow));
  return { resistance: resistance.index, forward: forward.index };
}

/** Width of a lamp's knee, V. */
const LAMP_KNEE_V = 0.2;

/** A resistor with a switch of its own: on when the voltage across it rises to `on`, off when it falls to `off`. */
export function addSwitchedResistor(
  b: SystemBuilder,
  name: string,
  positive: CircuitNode,
  negative: CircuitNode,
  values: { readonly resistance_ohm: number; readonly on_V: number; readonly off_V: number },
): { readonly resistance: number; readonly on: number; readonly off: number; readonly closed: number; readonly automaton: Automaton } {
  const g = b.graph;
  const resistance = b.parameter(`${name} resistance`, values.resistance_ohm);
  const on = b.parameter(`${name} on voltage`, values.on_V);
  const off = b.parameter(`${name} off voltage`, values.off_V);
  const closed = b.parameter(`${name} closed`, 0);
  const across = g.subtract(positive.voltage, negative.voltage);
  const flow = g.divide(g.multiply(closed.value, across), resistance.value);
  b.flow(positive, negative, flow);
  b.account('loss', g.multiply(across, flow));
  const voltage = b.watch(`${name} voltage`, across);
  const automaton: Automaton = {
    name,
    distance: (w, p) => (p[closed.index] === 1 ? p[off.index]! - w[voltage]! : w[voltage]! - p[on.index]!),
    fire(run) {
      const turnsOn = run.parameters[closed.index] === 0;
      run.parameters[closed.index] = turnsOn ? 1 : 0;
      run.note(turnsOn ? `${name} switches on` : `${name} switches off`, run.watched[voltage]!);
    },
  };
  return { resistance: resistance.index, on: on.index, off: off.index, closed: closed.index, automaton };
}
