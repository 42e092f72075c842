import type { Expr } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';
import { heat, type HeatNode } from './thermal.ts';

export interface WarmResistance {
  /** Parameters: resistance at the reference temperature, Ω; that temperature, °C; relative rise per kelvin there. */
  readonly resistance: number;
  readonly reference: number;
  readonly coefficient: number;
  /** Resistance now, Ω. */
  readonly value: Expr;
}

/** How a resistance follows temperature: R = R₀ (1 + α (T − T₀)). */
export interface WarmLaw {
  readonly resistance_ohm: number;
  readonly reference_C: number;
  readonly coefficient_per_K: number;
}

/** A resistance that follows the temperature of a lump; without one it stays as it is. */
export function warmResistance(b: SystemBuilder, name: string, law: WarmLaw, lump?: HeatNode): WarmResistance {
  const g = b.graph;
  const resistance = b.parameter(`${name} resistance`, law.resistance_ohm);
  const reference = b.parameter(`${name} reference temperature`, law.reference_C);
  const coefficient = b.parameter(`${name} temperature coefficient`, law.coefficient_per_K);
  const rise = lump === undefined ? g.zero : g.subtract(lump.temperature, reference.value);
  const value = g.multiply(resistance.value, g.add(g.one, g.multiply(coefficient.value, rise)));
  return { resistance: resistance.index, reference: reference.index, coefficient: coefficient.index, value };
}

export interface WireHandle extends WarmResistance {
  /** Current from `from` to `to`, A. */
  readonly current: Expr;
  readonly currentWatch: number;
  /** Unknown: ∫i² dt, A²s, when asked for. */
  readonly letThrough: number | undefined;
  /** Parameter: 1 while it joins its ends; `undefined` when it cannot part. */
  readonly connected: number | undefined;
}

/**
 * A conductor without inductance, for runs of seconds to minutes; it warms its lump and its resistance follows.
 * One that can part (a fuse in it, a switch) leaves its far end to a stray capacitance.
 */
export function addWire(
  b: SystemBuilder,
  name: string,
  from: CircuitNode,
  to: CircuitNode,
  law: WarmLaw,
  options: { readonly lump?: HeatNode; readonly parts?: boolean; readonly letThrough?: boolean } = {},
): WireHandle {
  const g = b.graph;
  const warm = warmResistance(b, name, law, options.lump);
  const connected = options.parts === true ? b.parameter(`${name} connected`, 1) : undefined;
  const whole = g.divide(g.subtract(from.voltage, to.voltage), warm.value);
  const current = connected === undefined ? whole : g.multiply(connected.value, whole);
  b.flow(from, to, current);
  if (connected === undefined) b.join(from, to);
  const power = g.multiply(g.square(current), warm.value);
  b.account('loss', power);
  if (options.lump !== undefined) heat(b, options.lump, power);
  return {
    ...warm,
    current,
    currentWatch: b.watch(`${name} current`, current),
    letThrough: options.letThrough === true ? b.quadrature(`${name} let-through`, g.square(current), 1) : undefined,
    connected: connected?.index,
  };
}
