import type { Expr } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';

export interface CapacitorHandle {
  /** Parameter: capacitance, F. */
  readonly capacitance: number;
  /** Parameter: series resistance, Ω. */
  readonly seriesResistance: number;
  /** Unknown: voltage of the capacitance itself, V. */
  readonly voltage: number;
  readonly value: Expr;
}

/** A capacitor with its equivalent series resistance. */
export function addCapacitor(
  b: SystemBuilder,
  name: string,
  positive: CircuitNode,
  negative: CircuitNode,
  capacitance_F: number,
  seriesResistance_ohm: number,
  initial_V = 0,
): CapacitorHandle {
  const g = b.graph;
  const capacitance = b.parameter(`${name} capacitance`, capacitance_F);
  const series = b.parameter(`${name} series resistance`, seriesResistance_ohm);
  const held = b.state(`${name} voltage`, 'voltage', initial_V);
  const current = g.divide(g.subtract(g.subtract(positive.voltage, negative.voltage), held.value), series.value);
  b.flow(positive, negative, current);
  b.rate(held, g.divide(current, capacitance.value));
  b.join(positive, negative);
  b.account('loss', g.multiply(series.value, g.square(current)));
  b.stored(g.multiply(g.multiply(g.constant(0.5), capacitance.value), g.square(held.value)));
  return { capacitance: capacitance.index, seriesResistance: series.index, voltage: held.index, value: held.value };
}
