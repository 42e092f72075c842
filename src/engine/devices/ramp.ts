import type { RunControl } from '../automaton.ts';
import type { Expr } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';

/** A solid-state switch that lets its output rise at a controlled rate. */
export interface RampLaw {
  /** Resistance when fully on, Ω. */
  readonly on_ohm: number;
  /** Time in which the output rises by `span_V`, s. */
  readonly rise_s: number;
  readonly span_V: number;
}

export interface RampHandle {
  readonly on: number;
  readonly rise: number;
  readonly span: number;
  /** Parameter: time at which the ramp began, s. */
  readonly began: number;
  /** Voltage across it while it conducts. */
  readonly voltage: Expr;
}

/**
 * Voltage across a solid-state switch in a branch that leads from `from`: its output follows a rising voltage
 * span·(t − began)/rise above the return, and what is left of the input stands across it (its transistors work as
 * followers); while the output stands above the ramp they are off and take nothing back; once the ramp has passed the
 * input, only the on-resistance is left. u = max(R i, v_from − max(ramp, v_to)), smoothed over 50 mV.
 */
export function addRamp(b: SystemBuilder, name: string, from: CircuitNode, to: CircuitNode, low: CircuitNode, current: Expr, law: RampLaw): RampHandle {
  const g = b.graph;
  const on = b.parameter(`${name} on resistance`, law.on_ohm);
  const rise = b.parameter(`${name} rise time`, law.rise_s);
  const span = b.parameter(`${name} span`, law.span_V);
  const began = b.parameter(`${name} began`, LONG_AGO_S);
  const ramp = g.divide(g.multiply(span.value, g.subtract(g.time, began.value)), rise.value);
  const reached = g.smoothMaximum(ramp, g.subtract(to.voltage, low.voltage), g.constant(SMOOTH_V));
  const left = g.subtract(g.subtract(from.voltage, low.voltage), reached);
  const voltage = g.smoothMaximum(g.multiply(on.value, current), left, g.constant(SMOOTH_V));
  return { on: on.index, rise: rise.index, span: span.index, began: began.index, voltage };
}

export function beginRamp(run: RunControl, ramp: RampHandle): void {
  run.parameters[ramp.began] = run.time;
}

const LONG_AGO_S = -1e6;
const SMOOTH_V = 0.05;
