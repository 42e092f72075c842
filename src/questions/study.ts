import type { Way } from '../machine/circuit/chains.ts';
import type { Run } from '../engine/simulate.ts';
import { buildCircuit, type Circuit } from '../machine/circuit/circuit.ts';
import type { Bank } from '../machine/circuit/loads.ts';
import type { Closing } from '../machine/circuit/power-up.ts';
import type { Machine } from '../machine/machine.ts';
import { charge, type Charging } from './charging.ts';
import type { CoilSpan } from './coil-spans.ts';
import { bridgeRecords, findBridges, type BridgeRecord, type Bridges } from './states/bridges.ts';
import { enter, fightOnce, type Entered, type Fought } from './match-fought.ts';
import { loadsOf, type MatchLoads } from './match-loads.ts';
import { guardRecord, type GuardRecord } from './connecting.ts';
import { joinedPairs, joinRecord, type JoinedPair, type JoinRecord } from './joined-packs.ts';
import { judgeClosing, type ContactJudgement } from './contact-judgement.ts';
import { contactData, Refused, runClosing, runPowerUp, supplyVoltage, type PowerUpRun } from './runs.ts';
import { chargedEnd, chargedPoints, findSoftStarts, type SoftStart } from './soft-starts.ts';
import { bankGroups, SAFE_V, switchOff, type BankGroup } from './switch-off.ts';

/** A soft start in its place in the procedure. */
export interface PlacedSoftStart extends SoftStart {
  /** What may be missing at its main contact for all three mechanisms to be good, V. */
  readonly allowed_V: number;
  /** Part of that which drains away while the changeover is open, V. */
  readonly drain_V: number;
}

/** One machine with what questions share; all but its circuit is made when first asked for. */
export interface Study {
  readonly machine: Machine;
  readonly circuit: Circuit;
  readonly values: Float64Array;
  readonly nominal: PowerUpRun;
  readonly softStarts: readonly PlacedSoftStart[];
  /** Banks by what still joins them with every switch open. */
  readonly groups: readonly BankGroup[];
  readonly supply_V: number;
  /** Packs that are put side by side. */
  readonly pairs: readonly JoinedPair[];
  /** What lives though nothing is meant to feed it. */
  readonly bridges: () => Bridges;
  /** It before its match. */
  readonly entered: () => Entered;
  /** Its match. */
  readonly fought: () => Fought;
  /** What its match asks of parts; undefined where none says it. */
  readonly loads: () => MatchLoads | undefined;
}

/**
 * @param loads  of its match, where they are known
 * @param use  a machine that is only tried for an advice shows no curves
 * @throws Refused when an input is not a number. What is only found when first asked for throws it then, each time that
 * it is asked for.
 */
export function study(machine: Machine, use: 'shown' | 'tried' = 'shown', loads?: MatchLoads): Study {
  const circuit = buildCircuit(machine);
  const values = circuit.inputs.nominal();
  const wrong = circuit.inputs.list.find((_, k) => !Number.isFinite(values[k]));
  if (wrong !== undefined) throw new Refused(`the ${wrong.label} is not a number`);
  const nominal = once(() => runPowerUp(circuit, machine.powerUp, values));
  const softStarts = once(() => findSoftStarts(circuit).map((softStart) => place(circuit, softStart, values)));
  const groups = once(() => bankGroups(circuit));
  const pairs = once(() => joinedPairs(circuit));
  const entered = once(() => enter(machine));
  const fought = once(() => fightOnce(entered(), use === 'shown'));
  return {
    machine, circuit, values,
    get nominal() {
      return nominal();
    },
    get softStarts() {
      return softStarts();
    },
    get groups() {
      return groups();
    },
    supply_V: supplyVoltage(circuit, values),
    get pairs() {
      return pairs();
    },
    bridges: once(() => findBridges(machine)),
    entered,
    fought,
    loads: once(() => loads ?? loadsOf(use === 'shown' ? fought() : fightOnce(entered(), true))),
  };
}

function place(circuit: Circuit, softStart: SoftStart, values: Float64Array): PlacedSoftStart {
  const { closed } = softStart;
  let allowed_V = supplyVoltage(circuit, values);
  for (const { part, way } of softStart.mains)
    for (const corner of contactCorners(circuit, part, values)) allowed_V = allowedMissing(circuit, part, way, closed, softStart.banks, corner, allowed_V);
  return { ...softStart, allowed_V, drain_V: drainInGap(circuit, softStart, values) };
}

/** The values with the corners of how this contact closes, which nobody knows: force rise and bounce. */
function contactCorners(circuit: Circuit, part: string, values: Float64Array): Float64Array[] {
  const keys = [`${part}.forceRise`, `${part}.bounce`].map((key) => circuit.inputs.at(key));
  const corners: Float64Array[] = [values];
  for (const rise of ['low', 'high'] as const)
    for (const bounce of ['low', 'high'] as const) {
      const corner = Float64Array.from(values);
      corner[keys[0]!] = circuit.inputs.list[keys[0]!]!.quantity[rise];
      corner[keys[1]!] = circuit.inputs.list[keys[1]!]!.quantity[bounce];
      corners.push(corner);
    }
  return corners;
}

/** Banks that a way closes onto, the switches behind it standing as given. */
export function banksBehind(circuit: Circuit, way: Way, closed: ReadonlySet<Way>): Bank[] {
  const { start, source } = chargedEnd(circuit, way, closed);
  const points = chargedPoints(circuit, start, new Set([source]), closed);
  return circuit.loads.banks.filter((bank) => points.has(`${bank.part}+`) || points.has(`${bank.part}-`));
}

/**
 * Largest missing voltage, up to `most_V`, at which a closing is good by all three mechanisms, V: on the grid that halving
 * would end on. A closing's load grows about as a power of the voltage, which finds the place in half as many runs.
 */
export function allowedMissing(
  circuit: Circuit, part: string, way: Way, closed: ReadonlySet<Way>, banks: readonly Bank[], values: Float64Array, most_V: number,
): number {
  const contact = contactData(circuit, part, values);
  const loadAt = (missing_V: number): number => judgeClosing(runClosing({ circuit, part, way, closed, banks, missing_V, values }), contact).load;
  let load = loadAt(most_V);
  if (load <= 1) return most_V;
  let pieces = 1;
  while (most_V / pieces > 0.01 * supplyVoltage(circuit, values)) pieces *= 2;
  let low = 0;
  let high = pieces;
  // The two probes last made, as logarithms of voltage and load: the line through them, at first a square law, meets load 1.
  let at = Math.log(pieces);
  let law = 2;
  for (let probes = 0; high - low > 1; probes++) {
    const guess = Math.floor(Math.exp(at - Math.log(load) / law));
    const middle = (low + high) >> 1;
    // A load that jumps, as at the melting voltage, has no such line: every third probe halves.
    const probe = probes % 3 === 2 || Number.isNaN(guess) ? middle : Math.min(high - 1, Math.max(low + 1, guess));
    const before = { at, load };
    at = Math.log(probe);
    load = loadAt((most_V * probe) / pieces);
    if (load <= 1) low = probe;
    else high = probe;
    const slope = (Math.log(load) - Math.log(before.load)) / (at - before.at);
    law = slope > 0.2 ? slope : 2;
  }
  return (most_V * low) / pieces;
}

/** Voltage that what is running behind an isolator takes from its banks while the changeover is open, V. */
export function drainInGap(circuit: Circuit, softStart: SoftStart, values: Float64Array): number {
  const part = circuit.machine.parts.get(softStart.entryPart);
  if (part?.kind !== 'isolator' || part.values.changeover === 'overlap') return 0;
  if (!softStart.mains.some((main) => main.part === softStart.entryPart)) return 0;
  const gap = values[circuit.inputs.at(`${softStart.entryPart}.gap`)]!;
  const capacitance = softStart.banks.reduce((sum, bank) => sum + bank.capacitance(values), 0);
  if (!(capacitance > 0)) return 0;
  const standby = softStart.standby.reduce((sum, load) => sum + load.current(values), 0);
  const power = softStart.starting.filter((load) => load.waitsFor === undefined).reduce((sum, load) => sum + load.power(values), 0);
  const supply = supplyVoltage(circuit, values);
  return (gap * (standby + power / (0.93 * supply))) / capacitance;
}

/**
 * How long the procedure holds a soft start, s: from its closing until it is let go or its main contact closes, whichever
 * comes first; undefined when the procedure never goes on from it to its main contact.
 */
export function heldTime(softStart: SoftStart, closings: readonly Closing[]): number | undefined {
  const entry = closings.find((closing) => closing.way === softStart.entry);
  const main = mainClosing(softStart, closings);
  if (entry === undefined || main === undefined) return undefined;
  return Math.min(main.time_s, entry.parted_s ?? Infinity) - entry.time_s;
}

/** Time between letting a soft start go and closing its main contact, s; 0 when it is still held then. */
export function restTime(softStart: SoftStart, closings: readonly Closing[]): number {
  const entry = closings.find((closing) => closing.way === softStart.entry);
  const main = mainClosing(softStart, closings);
  if (entry?.parted_s === undefined || main === undefined) return 0;
  return Math.max(0, main.time_s - entry.parted_s);
}

function mainClosing(softStart: SoftStart, closings: readonly Closing[]): Closing | undefined {
  const entry = closings.find((closing) => closing.way === softStart.entry);
  return closings.find((closing) => softStart.mains.some((m) => m.way === closing.way) && (entry === undefined || closing.time_s > entry.time_s));
}

/** Makes it when first asked for; what could not be made is not tried again. */
function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | { readonly refused: Refused } | undefined;
  return () => {
    made ??= attempt(make);
    if ('refused' in made) throw made.refused;
    return made.value;
  };
}

function attempt<T>(make: () => T): { readonly value: T } | { readonly refused: Refused } {
  try {
    return { value: make() };
  } catch (error) {
    if (error instanceof Refused) return { refused: error };
    throw error;
  }
}

/** What one set of values makes of the machine; plain data, so that it can come from another thread. */
export interface SampleRecord {
  readonly closings: readonly {
    readonly missing_V: number;
    readonly peak_A: number;
    readonly verdict: ContactJudgement['verdict'];
    /** Share of its contact's face that it takes. */
    readonly worn: number;
    readonly time_s: number;
  }[];
  readonly softStarts: readonly {
    readonly outcome: Charging['outcome'];
    readonly residual_V: number;
    readonly needed_s: number | undefined;
    /** Time that the procedure leaves it, s. */
    readonly held_s: number | undefined;
    readonly resistance_ohm: number;
    /** Heat in its resistor over the procedure, J. */
    readonly energy_J: number;
  }[];
  /** What the coils of contactors see. */
  readonly coils: readonly CoilSpan[];
  /** Highest voltage at each of the machine's inputs over all closings, V. */
  readonly points_V: readonly number[];
  /** What it asks of fuses and protections. */
  readonly guards: GuardRecord;
  /** What joining packs asks of them. */
  readonly joins: JoinRecord;
  /** Each bridge with these values. */
  readonly bridges: readonly BridgeRecord[];
  readonly emptyings: readonly {
    /** Time after switching off until the group is below the safe voltage, s. */
    readonly safe_s: number | undefined;
    /** Energy that is left when the crew's patience ends, J. */
    readonly later_J: number;
  }[];
}

/** Heat that a run has put in a resistor, J. */
export function resistorHeat_J(circuit: Circuit, resistor: string, run: Run, values: Float64Array): number {
  const letThrough = (circuit.resistors.get(resistor) ?? []).reduce((sum, branch) => sum + run.unknowns[branch.letThrough]!, 0);
  return values[circuit.inputs.at(`${resistor}.resistance`)]! * letThrough;
}

/** Runs the procedure and every soft start with other values. */
export function recordSample(base: Study, values: Float64Array): SampleRecord {
  const { circuit } = base;
  const powerUp = runPowerUp(circuit, base.machine.powerUp, values);
  const { closings } = powerUp;
  const { emptyings } = switchOff({ circuit, groups: base.groups, from: powerUp, values, levels_V: [SAFE_V] });
  return {
    closings: closings.map(({ closing, measures }) => {
      const { verdict, worn } = judgeClosing(measures, contactData(circuit, closing.part, values));
      return { missing_V: measures.missing_V, peak_A: measures.peak_A, time_s: closing.time_s, verdict, worn };
    }),
    softStarts: base.softStarts.map((softStart) => {
      const target_V = softStart.allowed_V - drainInGap(circuit, softStart, values);
      const charging = charge({ circuit, softStart, closed: softStart.closed, values, target_V });
      return {
        outcome: charging.outcome,
        residual_V: charging.residual_V,
        needed_s: charging.reached_s,
        held_s: heldTime(softStart, closings.map((c) => c.closing)),
        resistance_ohm: values[circuit.inputs.at(`${softStart.resistor}.resistance`)]!,
        energy_J: resistorHeat_J(circuit, softStart.resistor, powerUp.run, values),
      };
    }),
    coils: powerUp.coils,
    points_V: highest(closings),
    guards: guardRecord(circuit, base.softStarts, powerUp, values),
    joins: joinRecord(circuit, base.pairs, values),
    bridges: bridgeRecords(base.bridges(), values),
    emptyings: emptyings.map(({ below_s: [safe_s], later_J }) => ({ safe_s, later_J })),
  };
}

/** Highest voltage at each of the machine's inputs over all closings, V. */
export function highest(closings: PowerUpRun['closings']): number[] {
  const points = closings[0]?.points_V ?? [];
  return points.map((_, point) => Math.max(...closings.map(({ points_V }) => points_V[point]!)));
}
