import { simulate } from '../engine/simulate.ts';
import type { Way } from '../machine/circuit/chains.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import type { PackSource } from '../machine/circuit/loads.ts';
import { impliedReturns, leadsOf, pointOf } from '../machine/circuit/nets.ts';
import { positionsBefore } from '../machine/circuit/positions.ts';
import type { Chain, Machine } from '../machine/machine.ts';
import { openCircuitSlope_V } from '../physics/cells.ts';
import { conductorResistance_ohm } from '../physics/conductors.ts';
import { connect, supplyVoltage, trusted } from './runs.ts';
import { closedWays } from './soft-starts.ts';

/** Packs that stand on each other, from the lowest up; a pack alone is a string of one. */
export interface PackString {
  readonly packs: readonly string[];
  /** Fuses and protections in its own leads. */
  readonly guards: readonly string[];
}

/** Two strings that stand side by side once they are joined. */
export interface JoinedPair {
  readonly first: PackString;
  readonly second: PackString;
  /** Step of the procedure that joins them; undefined when the wiring does. */
  readonly step: number | undefined;
  /** Ways closed when they are joined. */
  readonly closed: ReadonlySet<Way>;
}

/** Strings of packs in the order of the file. */
export function packStrings(machine: Machine): PackString[] {
  const packs = [...machine.parts.values()].filter((part) => part.kind === 'pack').map((part) => part.id);
  const above = new Map<string, string>();
  for (const { role, from, to } of machine.wiring.chains)
    if (role === 'supply' && 'part' in from && 'part' in to && from.terminal === '+' && to.terminal === '-' && packs.includes(from.part) && packs.includes(to.part)) above.set(from.part, to.part);
  const carried = new Set(above.values());
  return packs
    .filter((pack) => !carried.has(pack))
    .map((lowest) => {
      const string: string[] = [];
      for (let pack: string | undefined = lowest; pack !== undefined && !string.includes(pack); pack = above.get(pack)) string.push(pack);
      const ends = string.flatMap((pack) => [`${pack}+`, `${pack}-`]);
      const own = leadsOf(machine).filter((lead) => ends.includes(lead.from) || ends.includes(lead.to)).flatMap((lead) => lead.parts);
      return { packs: string, guards: own.filter((id) => ['fuse', 'protection'].includes(machine.parts.get(id)?.kind ?? '')) };
    });
}

/** Every pair of strings that the wiring, or a step of the power-up, puts side by side. */
export function joinedPairs(circuit: Circuit): JoinedPair[] {
  const { machine } = circuit;
  const strings = packStrings(machine);
  const pairs: JoinedPair[] = [];
  strings.forEach((first, k) => {
    for (const second of strings.slice(k + 1))
      for (let step = 0; step <= machine.powerUp.length; step++) {
        const closed = closedWays(circuit, positionsBefore(machine, machine.powerUp, step));
        if (!sideBySide(circuit, first, second, closed)) continue;
        pairs.push({ first, second, step: step === 0 ? undefined : step - 1, closed });
        break;
      }
  });
  return pairs;
}

function sideBySide(circuit: Circuit, first: PackString, second: PackString, closed: ReadonlySet<Way>): boolean {
  const joins = (one: string, other: string): boolean => reached(circuit, one, closed).has(other);
  return joins(`${first.packs.at(-1)}+`, `${second.packs.at(-1)}+`) && joins(`${first.packs[0]}-`, `${second.packs[0]}-`);
}

/** Points that current reaches both ways: a diode joins nothing. */
function reached(circuit: Circuit, start: string, closed: ReadonlySet<Way>): ReadonlySet<string> {
  const { machine } = circuit;
  const leads = leadsOf(machine).filter(({ parts }) =>
    parts.every((id) => {
      const kind = machine.parts.get(id)?.kind;
      if (kind === 'diode' || kind === 'ideal diode') return false;
      const ways = circuit.ways.get(id) ?? [];
      return ways.length === 0 || ways.some((way) => closed.has(way));
    }),
  );
  const found = new Set([start]);
  const open = [start];
  for (let at = open.pop(); at !== undefined; at = open.pop())
    for (const { from, to } of leads) {
      const next = from === at ? to : to === at ? from : undefined;
      if (next === undefined || found.has(next)) continue;
      found.add(next);
      open.push(next);
    }
  return found;
}

function sourcesOf(circuit: Circuit, { packs }: PackString): PackSource[] {
  return packs.map((id) => circuit.loads.packs.find((source) => source.part === id)!);
}

/** Open-circuit voltage of a string, V. */
export function stringVoltage(circuit: Circuit, string: PackString, values: Float64Array): number {
  return sourcesOf(circuit, string).reduce((sum, source) => sum + source.openCircuit(values), 0);
}

/** Cells in series. */
export function stringCells(circuit: Circuit, { packs }: PackString, values: Float64Array): number {
  return packs.reduce((sum, id) => sum + values[circuit.inputs.at(`${id}.cells`)]!, 0);
}

/** Charge that the smallest pack of a string holds when full, C. */
export function stringCharge_C(circuit: Circuit, { packs }: PackString, values: Float64Array): number {
  return Math.min(...packs.map((id) => values[circuit.inputs.at(`${id}.capacity`)]!));
}

/** A string as the capacitor that it is about its present charge, F: charge over the swing of its open-circuit voltage. */
export function stringCapacitance_F(circuit: Circuit, { packs }: PackString, values: Float64Array): number {
  const inverse = packs.reduce((sum, id) => {
    const part = circuit.machine.parts.get(id);
    if (part?.kind !== 'pack') throw new Error(`${id} is no pack`);
    const value = (field: string): number => values[circuit.inputs.at(`${id}.${field}`)]!;
    // From the middle of the upper half, where two packs of which one has been used meet.
    const slope_V = openCircuitSlope_V(part.values.chemistry, Math.min(MEETING, value('charge')));
    return sum + (slope_V * value('cells')) / value('capacity');
  }, 0);
  return 1 / inverse;
}

const MEETING = 0.75;

/** Of a pack's resistance half as much again is there after a minute (common practice, no source). */
export const SETTLED_SHARE = 1.5;

/** Resistance of a string at once with its own leads, out and back, Ω. */
export function pathResistance_ohm(circuit: Circuit, string: PackString, values: Float64Array): number {
  const { machine } = circuit;
  const cells = sourcesOf(circuit, string).reduce((sum, source) => sum + source.resistance!(values), 0);
  const ends = string.packs.flatMap((id) => [`${id}+`, `${id}-`]);
  const leads = machine.wiring.chains.filter(({ role, from, to }) => role !== 'signal ground' && (ends.includes(pointOf(from)) || ends.includes(pointOf(to))));
  const implied = impliedReturns(machine).filter(({ chain }) => leads.includes(chain));
  return (
    cells +
    leads.reduce((sum, chain) => sum + chainResistance_ohm(circuit, chain, values, true), 0) +
    implied.reduce((sum, { chain }) => sum + chainResistance_ohm(circuit, chain, values, false) + values[circuit.inputs.at('returns.joint')]!, 0)
  );
}

function chainResistance_ohm({ inputs }: Circuit, chain: Chain, values: Float64Array, parts: boolean): number {
  return chain.items.reduce((sum, item, k) => {
    if ('conductor' in item) {
      const value = (field: string): number => values[inputs.at(`${chain.name}#${k}.${field}`)]!;
      return sum + conductorResistance_ohm(value('section'), value('length'), values[inputs.at('surroundings.inside')]!, undefined, 'fine');
    }
    if (!parts) return sum;
    const key = ['resistance', 'closedResistance', 'onResistance'].map((field) => `${item.part}.${field}`).find((one) => inputs.has(one));
    return key === undefined ? sum : sum + values[inputs.at(key)]!;
  }, 0);
}

/** Leads have taken up the current by then, and cells have not yet sagged, s. */
const SETTLED_S = 10e-3;
/** Difference that is simulated, V: what flows is in proportion to it. */
const TRIED_V = 1;

/**
 * Resistance around the loop of two joined strings, simulated, Ω: a volt more in the first, over what more it gives.
 * Protections do not open, so that a large difference counts as well as a small one.
 */
export function loopResistance_ohm(circuit: Circuit, { first, closed }: JoinedPair, values: Float64Array): number {
  const [source] = sourcesOf(circuit, first);
  const current = (raised_V: number): number => {
    const parameters = circuit.parametersFor(values);
    for (const { trip } of circuit.protections) parameters[trip.tripped] = 1;
    parameters[source!.voltage]! += raised_V;
    connect(circuit, parameters, closed);
    const initial = new Float64Array(circuit.model.plan.unknowns);
    for (const bank of circuit.loads.banks) initial[bank.capacitor.voltage] = supplyVoltage(circuit, values);
    const run = trusted(simulate({ model: circuit.model, parameters, initial, end_s: SETTLED_S, automata: [], script: [], tolerance: 1e-5 }));
    return run.watched[source!.currentWatch!]!;
  };
  return TRIED_V / (current(TRIED_V) - current(0));
}

/** What one set of values makes of the packs; plain data. */
export interface JoinRecord {
  readonly loops_ohm: readonly number[];
  /** Open-circuit voltages of first less second, V. */
  readonly apart_V: readonly number[];
  /** Resistance of each string with its leads, Ω. */
  readonly paths_ohm: readonly number[];
}

export function joinRecord(circuit: Circuit, pairs: readonly JoinedPair[], values: Float64Array): JoinRecord {
  return {
    loops_ohm: pairs.map((pair) => loopResistance_ohm(circuit, pair, values)),
    apart_V: pairs.map(({ first, second }) => stringVoltage(circuit, first, values) - stringVoltage(circuit, second, values)),
    paths_ohm: pairs.length === 0 ? [] : packStrings(circuit.machine).map((string) => pathResistance_ohm(circuit, string, values)),
  };
}
