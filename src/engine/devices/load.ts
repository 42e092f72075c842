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
  /** Watch: voltage across it. */
  readonly voltage: number;
  readonly flow: Expr;
  readonly automaton: Automaton;
}

/**
 * A load that draws constant power once started: i = P / max(v, floor), started when v rises to `start`, stopped when it
 * falls to `stop`. The floor (smoothed over 0.1 V) only bounds the current below the stop voltage.
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
  const across = g.subtract(positive.voltage, negative.voltage);
  const bounded = g.smoothMaximum(across, g.constant(load.floor_V ?? 1), g.constant(0.1));
  const flow = g.divide(g.multiply(started.value, power.value), bounded);
  b.flow(positive, negative, flow);
  b.account('load', g.multiply(across, flow));
  const voltage = b.watch(`${name} voltage`, across);
  const automaton: Automaton = {
    name,
    distance: (w, p) => (p[started.index] === 0 ? w[voltage]! - p[start.index]! : p[stop.index]! - w[voltage]!),
    fire(run) {
      const on = run.parameters[started.index] === 0;
      run.parameters[started.index] = on ? 1 : 0;
      run.note(on ? `${name} starts` : `${name} stops`, run.watched[voltage]!);
    },
  };
  return { power: power.index, start: start.index, stop: stop.index, started: started.index, voltage, flow, automaton };
}
