import type { CircuitNode, SystemBuilder } from '../system.ts';

export interface CellsHandle {
  /** Parameters: open-circuit voltage, V; resistance at once, Ω; resistances and time constants of the two slower parts. */
  readonly openCircuit: number;
  readonly resistance: number;
  readonly slow: readonly { readonly resistance: number; readonly time: number; readonly voltage: number }[];
  readonly currentWatch: number;
}

export interface CellsRequest {
  readonly openCircuit_V: number;
  readonly resistance_ohm: number;
  readonly slow: readonly { readonly resistance_ohm: number; readonly time_s: number }[];
}

/** A pack's cells: open-circuit voltage, resistance at once, and slower polarisation as R–C pairs. */
export function addCells(b: SystemBuilder, name: string, positive: CircuitNode, negative: CircuitNode, request: CellsRequest): CellsHandle {
  const g = b.graph;
  const openCircuit = b.parameter(`${name} open-circuit voltage`, request.openCircuit_V);
  const resistance = b.parameter(`${name} resistance`, request.resistance_ohm);
  const pairs = request.slow.map((pair, k) => ({
    resistance: b.parameter(`${name} polarisation ${k + 1} resistance`, pair.resistance_ohm),
    time: b.parameter(`${name} polarisation ${k + 1} time`, pair.time_s),
    held: b.state(`${name} polarisation ${k + 1}`, 'voltage', 0),
  }));
  const polarised = g.sum(pairs.map((pair) => pair.held.value));
  const driving = g.subtract(g.subtract(openCircuit.value, polarised), g.subtract(positive.voltage, negative.voltage));
  const current = g.divide(driving, resistance.value);
  b.flow(negative, positive, current);
  b.join(positive, negative);
  b.account('source', g.multiply(openCircuit.value, current));
  b.account('loss', g.multiply(resistance.value, g.square(current)));
  for (const pair of pairs) {
    // C = time/R: dv/dt = (i R − v)/time; what it stores is ½ C v², what it loses v²/R.
    const rate = g.divide(g.subtract(g.multiply(current, pair.resistance.value), pair.held.value), pair.time.value);
    b.rate(pair.held, rate);
    b.account('loss', g.divide(g.square(pair.held.value), pair.resistance.value));
    b.stored(g.multiply(g.divide(g.multiply(g.constant(0.5), pair.time.value), pair.resistance.value), g.square(pair.held.value)));
  }
  return {
    openCircuit: openCircuit.index,
    resistance: resistance.index,
    slow: pairs.map((pair) => ({ resistance: pair.resistance.index, time: pair.time.index, voltage: pair.held.index })),
    currentWatch: b.watch(`${name} current`, current),
  };
}
