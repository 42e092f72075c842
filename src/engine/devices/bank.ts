import type { CircuitNode, SystemBuilder } from '../system.ts';

export interface BankHandle {
  readonly node: CircuitNode;
  /** Parameter: capacitance, F. */
  readonly capacitance: number;
  /** Unknown: voltage, V. */
  readonly voltage: number;
}

/**
 * A node that is a capacitor bank to the reference, its series resistance left out: for runs of seconds to minutes, where
 * currents between banks last much longer than R·C and the ripple inside a controller is averaged away. Making and
 * breaking contacts needs `capacitor.ts`.
 */
export function addBank(b: SystemBuilder, name: string, capacitance_F: number, initial_V: number): BankHandle {
  if (!(capacitance_F > 0)) throw new RangeError(`${name}: expected a capacitance above 0 F, got ${capacitance_F}`);
  const g = b.graph;
  const capacitance = b.parameter(`${name} capacitance`, capacitance_F);
  const node = b.store(name, 'voltage', initial_V, capacitance.value);
  b.stored(g.multiply(g.multiply(g.constant(0.5), capacitance.value), g.square(node.voltage)));
  return { node, capacitance: capacitance.index, voltage: node.unknown };
}
