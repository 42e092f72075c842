import type { CircuitNode, SystemBuilder } from '../system.ts';

export interface RemovableLeadHandle {
  /** Parameter: resistance, Ω. */
  readonly resistance: number;
  /** Parameter: 1 while it is plugged in. */
  readonly present: number;
  /** Watch: current from `from` to `to`, A. */
  readonly current: number;
  /** Unknown: ∫i² dt, A²s. */
  readonly letThrough: number;
}

/** A resistance that joins two nodes while it is plugged in, and holds neither. */
export function addRemovableLead(b: SystemBuilder, name: string, from: CircuitNode, to: CircuitNode, resistance_ohm: number): RemovableLeadHandle {
  const g = b.graph;
  const resistance = b.parameter(`${name} resistance`, resistance_ohm);
  const present = b.parameter(`${name} present`, 0);
  const across = g.subtract(from.voltage, to.voltage);
  const current = g.divide(g.multiply(present.value, across), resistance.value);
  b.flow(from, to, current);
  b.account('loss', g.multiply(across, current));
  return {
    resistance: resistance.index,
    present: present.index,
    current: b.watch(`${name} current`, current),
    letThrough: b.quadrature(`${name} let-through`, g.square(current), 1),
  };
}

export interface FeedHandle {
  /** Parameters: voltage behind its blocking diode, V; current limit, A. */
  readonly voltage: number;
  readonly limit: number;
  /** Watch: current that it gives, A. */
  readonly current: number;
}

/** Resistance of a port's own lead and switch before its limit acts, Ω. Common practice, no source. */
const PORT_OHM = 0.5;
/** Width over which its diode takes over, A. */
const KNEE_A = 1e-4;

/**
 * A limited source that feeds in one direction while it is plugged in, as a port does through a diode: with
 * f = max(0, (V − v)/R) it gives i = f / ⁴√(1 + (f/limit)⁴), within 0.1 % of its limit from six times the limit on.
 * @param present  the parameter that says whether it is plugged in
 */
export function addFeed(b: SystemBuilder, name: string, positive: CircuitNode, negative: CircuitNode, voltage_V: number, limit_A: number, present: number): FeedHandle {
  const g = b.graph;
  const voltage = b.parameter(`${name} voltage`, voltage_V);
  const limit = b.parameter(`${name} current limit`, limit_A);
  const across = g.subtract(positive.voltage, negative.voltage);
  const wanted = g.smoothMaximum(g.divide(g.subtract(voltage.value, across), g.constant(PORT_OHM)), g.zero, g.constant(KNEE_A));
  const ratio = g.divide(wanted, limit.value);
  const bound = g.sqrt(g.sqrt(g.add(g.one, g.square(g.square(ratio)))));
  const current = g.multiply(g.parameter(present), g.divide(wanted, bound));
  b.flow(negative, positive, current);
  b.account('source', g.multiply(voltage.value, current));
  b.account('loss', g.multiply(g.subtract(voltage.value, across), current));
  return { voltage: voltage.index, limit: limit.index, current: b.watch(`${name} current`, current) };
}
