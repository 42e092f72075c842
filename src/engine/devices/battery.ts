import type { StepCurve } from '../../physics/cell-curves.ts';
import type { Expr, ExpressionGraph } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';
import { heat, type HeatNode } from './thermal.ts';
import { warmResistance, type WarmLaw, type WarmResistance } from './wire.ts';

/** Rest voltage of one cell as an expression of its state of charge (0 to 1), V. */
export type OpenCircuitLaw = (g: ExpressionGraph, soc: Expr) => Expr;

/** The curve as a law; smooth and rising everywhere, so a solver may step past empty or full. */
export function stepCurveLaw(curve: StepCurve): OpenCircuitLaw {
  return (g, soc) =>
    g.sum([
      g.constant(curve.offset),
      g.multiply(g.constant(curve.slope), soc),
      ...curve.steps.map(({ middle, width, height }) => {
        const x = g.divide(g.subtract(soc, g.constant(middle)), g.constant(width));
        return g.multiply(g.constant(height), g.divide(x, g.sqrt(g.add(g.one, g.square(x)))));
      }),
    ]);
}

/** A resistance over that at 25 °C: floor + rise·exp(−T/decay), T in °C. */
export interface ColdLaw {
  readonly floor: number;
  readonly rise: number;
  readonly decay_K: number;
}

export interface BatteryRequest {
  readonly cells: number;
  readonly capacity_Ah: number;
  readonly soc: number;
  readonly openCircuit: OpenCircuitLaw;
  /** Of the whole pack at 25 °C: at once, and two slower parts. */
  readonly resistance_ohm: number;
  readonly slow: readonly { readonly resistance_ohm: number; readonly capacitance_F: number }[];
  /** Lump that its losses warm; with `cold` its resistances follow that lump's temperature. */
  readonly lump?: HeatNode;
  readonly cold?: ColdLaw;
  /** Conductors in a row between its terminal and `positive`: the same current, and no node of their own to solve for. */
  readonly lead?: readonly { readonly name: string; readonly law: WarmLaw; readonly lump?: HeatNode }[];
  /** Whether its lead can part (a fuse, a protection in it). */
  readonly parts?: boolean;
  /** The weakest cell: its share of the mean capacity, and its resistance over the mean. */
  readonly weakest?: { readonly capacityShare: number; readonly resistanceShare: number };
}

export interface BatteryHandle {
  /** Parameters. `resistanceScale` multiplies every resistance (age, spread). */
  readonly cells: number;
  readonly capacity: number;
  readonly resistance: number;
  readonly resistanceScale: number;
  /** State of charge at the start, from which the weakest cell counts. */
  readonly socAtStart: number;
  readonly slow: readonly { readonly resistance: number; readonly capacitance: number; readonly voltage: number }[];
  readonly weakest: { readonly capacityShare: number; readonly resistanceShare: number; readonly cellWatch: number } | undefined;
  readonly lead: readonly WarmResistance[];
  /** Parameter: 1 while it is joined; `undefined` when it cannot part. */
  readonly connected: number | undefined;
  /** Unknown: state of charge; what it has lost times the capacity is the charge delivered. */
  readonly soc: number;
  /** Current delivered, A. */
  readonly current: Expr;
  readonly currentWatch: number;
  /** Watch: voltage at the pack's own terminals, V. */
  readonly terminalWatch: number;
}

/**
 * A pack: open-circuit voltage over its charge behind a resistance and R–C pairs,
 *     v = n·OCV(s) − v₁ − v₂ − R₀ i,   s' = −i/(3600 Q),   C v' = i − v/R.
 * The weakest cell empties sooner; its voltage is watched, and the pack's is not lowered by it (a fraction of one cell).
 */
export function addBattery(b: SystemBuilder, name: string, positive: CircuitNode, negative: CircuitNode, request: BatteryRequest): BatteryHandle {
  const g = b.graph;
  if (!(request.capacity_Ah > 0)) throw new RangeError(`${name}: expected a capacity above 0 Ah, got ${request.capacity_Ah}`);
  const cells = b.parameter(`${name} cells`, request.cells);
  const capacity = b.parameter(`${name} capacity`, request.capacity_Ah);
  const resistance = b.parameter(`${name} resistance`, request.resistance_ohm);
  const scale = b.parameter(`${name} resistance scale`, 1);
  const socAtStart = b.parameter(`${name} charge at start`, request.soc);
  const soc = b.state(`${name} charge`, 'charge state', request.soc);
  const factor = g.multiply(scale.value, coldFactor(g, request));
  const pairs = request.slow.map((pair, k) => ({
    resistance: b.parameter(`${name} polarisation ${k + 1} resistance`, pair.resistance_ohm),
    capacitance: b.parameter(`${name} polarisation ${k + 1} capacitance`, pair.capacitance_F),
    held: b.state(`${name} polarisation ${k + 1}`, 'voltage', 0),
  }));

  const emf = g.multiply(cells.value, request.openCircuit(g, soc.value));
  const polarised = g.sum(pairs.map((pair) => pair.held.value));
  const atOnce = g.multiply(factor, resistance.value);
  const across = g.subtract(positive.voltage, negative.voltage);
  const lead = (request.lead ?? []).map((part) => ({ ...warmResistance(b, part.name, part.law, part.lump), lump: part.lump }));
  const outside = g.sum(lead.map((part) => part.value));
  const connected = request.parts === true ? b.parameter(`${name} connected`, 1) : undefined;
  const whole = g.divide(g.subtract(g.subtract(emf, polarised), across), g.add(atOnce, outside));
  const current = connected === undefined ? whole : g.multiply(connected.value, whole);
  b.flow(negative, positive, current);
  if (connected === undefined) b.join(positive, negative);
  const used = g.divide(current, g.multiply(g.constant(SECONDS_PER_HOUR), capacity.value));
  b.rate(soc, g.negate(used));

  const losses = [g.multiply(atOnce, g.square(current))];
  for (const pair of pairs) {
    const slowNow = g.multiply(factor, pair.resistance.value);
    b.rate(pair.held, g.divide(g.subtract(current, g.divide(pair.held.value, slowNow)), pair.capacitance.value));
    losses.push(g.divide(g.square(pair.held.value), slowNow));
    b.stored(g.multiply(g.multiply(g.constant(0.5), pair.capacitance.value), g.square(pair.held.value)));
  }
  b.account('source', g.multiply(emf, current));
  b.account('loss', g.sum(losses));
  for (const part of lead) {
    const power = g.multiply(part.value, g.square(current));
    b.account('loss', power);
    if (part.lump !== undefined) heat(b, part.lump, power);
  }
  if (request.lump !== undefined) heat(b, request.lump, g.sum(losses));

  const terminal = g.subtract(emf, g.add(polarised, g.multiply(atOnce, current)));
  return {
    cells: cells.index,
    capacity: capacity.index,
    resistance: resistance.index,
    resistanceScale: scale.index,
    socAtStart: socAtStart.index,
    slow: pairs.map((pair) => ({ resistance: pair.resistance.index, capacitance: pair.capacitance.index, voltage: pair.held.index })),
    weakest: request.weakest === undefined ? undefined : weakestCell(b, name, request, request.weakest, {
      soc: soc.value, socAtStart: socAtStart.value, drop: g.divide(g.add(polarised, g.multiply(atOnce, current)), cells.value),
    }),
    lead,
    connected: connected?.index,
    soc: soc.index,
    current,
    currentWatch: b.watch(`${name} current`, current),
    terminalWatch: b.watch(`${name} voltage`, terminal),
  };
}

function coldFactor(g: ExpressionGraph, { lump, cold }: BatteryRequest): Expr {
  if (lump === undefined || cold === undefined) return g.one;
  const fall = g.exp(g.divide(lump.temperature, g.constant(-cold.decay_K)));
  return g.add(g.constant(cold.floor), g.multiply(g.constant(cold.rise), fall));
}

/** The same charge leaves every cell: one that holds less has given a larger share of its own. */
function weakestCell(
  b: SystemBuilder,
  name: string,
  request: BatteryRequest,
  weakest: NonNullable<BatteryRequest['weakest']>,
  { soc, socAtStart, drop }: { readonly soc: Expr; readonly socAtStart: Expr; readonly drop: Expr },
): NonNullable<BatteryHandle['weakest']> {
  const g = b.graph;
  const capacityShare = b.parameter(`${name} weakest cell capacity share`, weakest.capacityShare);
  const resistanceShare = b.parameter(`${name} weakest cell resistance share`, weakest.resistanceShare);
  const own = g.subtract(socAtStart, g.divide(g.subtract(socAtStart, soc), capacityShare.value));
  const voltage = g.subtract(request.openCircuit(g, own), g.multiply(resistanceShare.value, drop));
  return { capacityShare: capacityShare.index, resistanceShare: resistanceShare.index, cellWatch: b.watch(`${name} weakest cell`, voltage) };
}

const SECONDS_PER_HOUR = 3600;
