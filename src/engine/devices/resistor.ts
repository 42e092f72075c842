import type { CircuitNode, SystemBuilder } from '../system.ts';

export interface ResistorHandle {
  /** Parameter: resistance, Ω. */
  readonly resistance: number;
  /** Unknown: energy turned to heat, J (when asked for). */
  readonly heat: number | undefined;
}

/** A resistance that always joins two nodes. */
export function addResistor(
  b: SystemBuilder,
  name: string,
  from: CircuitNode,
  to: CircuitNode,
  resistance_ohm: number,
  options: { readonly heatScale_J?: number } = {},
): ResistorHandle {
  const g = b.graph;
  const resistance = b.parameter(`${name} resistance`, resistance_ohm);
  const across = g.subtract(from.voltage, to.voltage);
  const current = g.divide(across, resistance.value);
  b.flow(from, to, current);
  // A large resistance holds no node: a milliamp of rounding would be volts across it.
  if (resistance_ohm <= HOLDS_OHM) b.join(from, to);
  const power = g.multiply(across, current);
  const heat = options.heatScale_J === undefined ? undefined : b.lossQuadrature(`${name} heat`, power, options.heatScale_J);
  if (heat === undefined) b.account('loss', power);
  return { resistance: resistance.index, heat };
}

/** Largest resistance that counts as holding one end's voltage to the other's, Ω. */
const HOLDS_OHM = 10;
