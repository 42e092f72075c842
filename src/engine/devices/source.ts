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
