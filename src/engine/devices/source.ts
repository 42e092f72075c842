import type { Expr } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';

export interface SourceHandle {
  readonly voltage: number;
  readonly resistance: number;
  readonly current: Expr;
  readonly currentWatch: number;
}

/** A voltage behind a resistance, without inductance: a bench source, or a pack's cells where their lead is elsewhere. */
export function addSource(
  b: SystemBuilder,
  name: string,
  positive: CircuitNode,
  negative: CircuitNode,
  voltage_V: number,
  resistance_ohm: number,
): SourceHandle {
  const g = b.graph;
  const voltage = b.parameter(`${name} voltage`, voltage_V);
  const resistance = b.parameter(`${name} resistance`, resistance_ohm);
  const current = g.divide(g.subtract(voltage.value, g.subtract(positive.voltage, negative.voltage)), resistance.value);
  b.flow(negative, positive, current);
  b.join(positive, negative);
  b.account('source', g.multiply(voltage.value, current));
  b.account('loss', g.multiply(resistance.value, g.square(current)));
  return { voltage: voltage.index, resistance: resistance.index, current, currentWatch: b.watch(`${name} current`, current) };
}

/** Largest resistance of a bench supply before its limit acts, Ω: its own leads. */
const SUPPLY_OHM = 0.02;
/** Width over which a current limit takes over, A. */
const LIMIT_SOFTNESS_A = 0.02;

/**
 * A bench supply: (V − v)/R, but never more than its limit and never backwards, smoothed over 20 mA.
 */
export function addLimitedSource(
  b: SystemBuilder,
  name: string,
  positive: CircuitNode,
  negative: CircuitNode,
  voltage_V: number,
  limit_A: number,
): { readonly voltage: number; readonly limit: number; readonly currentWatch: number } {
  const g = b.graph;
  const voltage = b.parameter(`${name} voltage`, voltage_V);
  const limit = b.parameter(`${name} current limit`, limit_A);
  const across = g.subtract(positive.voltage, negative.voltage);
  const wanted = g.divide(g.subtract(voltage.value, across), g.constant(SUPPLY_OHM));
  const softness = g.constant(LIMIT_SOFTNESS_A);
  const forward = g.smoothMaximum(wanted, g.zero, softness);
  const current = g.negate(g.smoothMaximum(g.negate(forward), g.negate(limit.value), softness));
  b.flow(negative, positive, current);
  b.account('source', g.multiply(voltage.value, current));
  b.account('loss', g.multiply(g.subtract(voltage.value, across), current));
  return { voltage: voltage.index, limit: limit.index, currentWatch: b.watch(`${name} current`, current) };
}
