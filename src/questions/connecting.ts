import type { RunControl } from '../engine/automaton.ts';
import { closeContact, type BranchHandle } from '../engine/devices/branch.ts';
import type { Bounce } from '../engine/devices/contact.ts';
import { beginRamp } from '../engine/devices/ramp.ts';
import type { Recording } from '../engine/recorder.ts';
import { simulate } from '../engine/simulate.ts';
import type { ProtectedBranch, Way } from '../machine/circuit/chains.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import { positionsBefore } from '../machine/circuit/positions.ts';
import type { Closing, Snapshot } from '../machine/circuit/power-up.ts';
import type { Quantity } from '../quantity/quantity.ts';
import { connect, supplyVoltage, TOUCH_S, trusted, type PowerUpRun } from './runs.ts';
import { closedWays, type SoftStart } from './soft-starts.ts';
import { fuseHeldChance, meltChance, overCurrentChance, tripChance } from './guard-chance.ts';
import { longestAbove, type CurrentCurve } from './pulse-shape.ts';

/** A part that opens when it has had too much current: a fuse, or a battery protection. */
export interface Guard {
  readonly part: string;
  readonly kind: 'fuse' | 'protection';
  /** Branches whose currents together flow through it. */
  readonly branches: readonly BranchHandle[];
  /** Trips of a protection, one a branch. */
  readonly trips: readonly ProtectedBranch[];
}

/** What a closing asks of a guard that does not open. */
export interface Burden {
  /** Longest time above the short-circuit threshold of a protection; 0 for a fuse. */
  readonly above_s: number;
  readonly letThrough_A2s: number;
  /** Current of a protection after first touch, absolute; empty where nothing near a threshold flowed. */
  readonly curve: CurrentCurve;
}

/** A way that is closed, and what stands before it. */
export interface Connection {
  readonly part: string;
  readonly way: Way;
  readonly closed: ReadonlySet<Way>;
  readonly initial: Float64Array;
}

const EMPTY: CurrentCurve = { time_s: [], current_A: [] };
/** Below this share of its threshold at the closing contact nobody's comparator is near. */
const NEAR = 0.5;
/** Bounces and inrush are over by then, s. */
const PULSE_S = 0.01;

/** Every fuse and protection that stands in the power circuit, in the order of the file. */
export function guardsOf(circuit: Circuit): Guard[] {
  return [...circuit.machine.parts.values()].flatMap((part): Guard[] => {
    if (part.kind === 'fuse') {
      const branches = circuit.fuses.get(part.id) ?? [];
      return branches.length === 0 ? [] : [{ part: part.id, kind: 'fuse', branches, trips: [] }];
    }
    if (part.kind !== 'protection') return [];
    const trips = circuit.protections.filter((one) => one.part === part.id);
    return trips.length === 0 ? [] : [{ part: part.id, kind: 'protection', branches: trips.map((one) => one.branch), trips }];
  });
}

/** What a closing of the procedure asks of each guard; no protection opens meanwhile. */
export function closingBurdens(circuit: Circuit, guards: readonly Guard[], { closing, measures }: PowerUpRun['closings'][number], values: Float64Array): Burden[] {
  const { before, after } = closing;
  if (before === undefined || after === undefined) throw new Error(`closing of ${closing.part} was not observed`);
  const near = guards.some((guard) => guard.kind === 'protection' && measures.peak_A > NEAR * values[circuit.inputs.at(`${guard.part}.shortCurrent`)]!);
  if (near && !closing.refused) return connectionBurdens(circuit, guards, connectionOf(circuit, closing, before), values);
  return guards.map((guard) => ({
    above_s: 0,
    letThrough_A2s: gained(guard, before, after),
    curve: EMPTY,
  }));
}

/** A closing of the procedure with the state that it finds. */
export function connectionOf(circuit: Circuit, closing: Closing, before: Snapshot): Connection {
  const { machine } = circuit;
  const standing = closedWays(circuit, positionsBefore(machine, machine.powerUp, closing.step));
  // The way that a changeover leaves is open by now.
  const closed = new Set([...standing].filter((way) => !(circuit.ways.get(closing.part) ?? []).includes(way)));
  return { part: closing.part, way: closing.way, closed, initial: before.unknowns };
}

/** A main contact that closes without its soft start, onto empty banks. */
export function hardConnection(circuit: Circuit, soft: SoftStart, main: SoftStart['mains'][number], values: Float64Array): Connection {
  const initial = new Float64Array(circuit.model.plan.unknowns);
  for (const bank of circuit.loads.banks) initial[bank.capacitor.voltage] = soft.banks.includes(bank) ? 0 : supplyVoltage(circuit, values);
  return { ...main, closed: soft.closed, initial };
}

/** What a connection asks of each guard when none of them opens. */
export function connectionBurdens(circuit: Circuit, guards: readonly Guard[], connection: Connection, values: Float64Array): Burden[] {
  const parameters = circuit.parametersFor(values);
  for (const { trip } of circuit.protections) parameters[trip.tripped] = 1;
  // Only a protection's question needs the shape of the pulse: a fuse's let-through is gathered by the run.
  const timed = guards.filter(({ kind }) => kind === 'protection');
  const run = connectRun(circuit, connection, values, parameters, timed);
  const curves = curvesOf(timed, run.recording);
  return guards.map((guard) => {
    const curve = curves[timed.indexOf(guard)] ?? EMPTY;
    return {
      above_s: guard.kind === 'fuse' ? 0 : longestAbove(curve, values[circuit.inputs.at(`${guard.part}.shortCurrent`)]!),
      letThrough_A2s: gained(guard, { unknowns: connection.initial }, run),
      curve,
    };
  });
}

/** Current through one guard in a connection that nothing opens. */
export function connectionCurve(circuit: Circuit, guard: Guard, connection: Connection, values: Float64Array): CurrentCurve {
  const parameters = circuit.parametersFor(values);
  for (const { trip } of circuit.protections) parameters[trip.tripped] = 1;
  return curvesOf([guard], connectRun(circuit, connection, values, parameters, [guard]).recording)[0]!;
}

function curvesOf(guards: readonly Guard[], { time_s, curves }: Recording): CurrentCurve[] {
  const touched = time_s.findIndex((time) => time >= TOUCH_S);
  let first = 0;
  return guards.map((guard) => {
    const own = curves.slice(first, (first += guard.branches.length));
    return {
      time_s: time_s.slice(touched).map((time) => time - TOUCH_S),
      current_A: time_s.slice(touched).map((_, k) => Math.abs(own.reduce((sum, one) => sum + one[touched + k]!, 0))),
    };
  });
}

/** A protection that trips as early as it may: its threshold and delay. */
export interface EarlyTrip {
  readonly part: string;
  readonly current_A: number;
  readonly delay_s: number;
}

/**
 * How often the crew has to connect until the protections let the banks fill: each attempt that trips leaves them fuller.
 * @returns undefined when even the sixth attempt trips
 */
export function attemptsNeeded(circuit: Circuit, connection: Connection, early: readonly EarlyTrip[], values: Float64Array): number | undefined {
  let { initial } = connection;
  for (let attempt = 1; attempt <= MOST_ATTEMPTS; attempt++) {
    const parameters = circuit.parametersFor(values);
    for (const { part, current_A, delay_s } of early)
      for (const { trip } of circuit.protections.filter((one) => one.part === part)) {
        const [short] = trip.steps;
        parameters[short!.current] = current_A;
        parameters[short!.delay] = delay_s;
      }
    const run = connectRun(circuit, { ...connection, initial }, values, parameters, []);
    if (!circuit.protections.some(({ trip }) => run.parameters[trip.tripped] === 1)) return attempt;
    const next = Float64Array.from(connection.initial);
    for (const { capacitor } of circuit.loads.banks) next[capacitor.voltage] = run.unknowns[capacitor.voltage]!;
    initial = next;
  }
  return undefined;
}

const MOST_ATTEMPTS = 6;

function connectRun(circuit: Circuit, { part, way, closed, initial }: Connection, values: Float64Array, parameters: Float64Array, watched: readonly Guard[]) {
  connect(circuit, parameters, closed);
  const bounce = circuit.inputs.has(`${part}.bounce`) ? values[circuit.inputs.at(`${part}.bounce`)]! : 0;
  const bounces: Bounce[] = bounce > 0 ? [0, 1, 2].map((k) => ({ after_s: bounce / 2 ** k, open_s: bounce / 2 ** k })) : [];
  const rise_s = way.ramp === undefined ? 0 : parameters[way.ramp.rise]!;
  return trusted(
    simulate({
      model: circuit.model,
      parameters,
      initial,
      end_s: TOUCH_S + rise_s + PULSE_S,
      automata: circuit.automata,
      script: [
        {
          time: TOUCH_S,
          action: (run: RunControl) => {
            if (way.ramp !== undefined) beginRamp(run, way.ramp);
            closeContact(run, way.branch, way.branch.contacts[way.contact]!, bounces);
          },
        },
      ],
      tolerance: 1e-4,
      ...(watched.length === 0 ? {} : { record: { watches: watched.flatMap((guard) => guard.branches.map((branch) => branch.currentWatch)), between: 1 } }),
    }),
  );
}

/** Current that a guard carries between two closings, from what flowed through it. */
export interface Held {
  readonly current_A: number;
  readonly time_s: number;
}

/**
 * What each guard carries after each closing until the next; after the last one, and longer than the run, for as long as
 * the machine is on.
 */
export function heldCurrents(circuit: Circuit, guards: readonly Guard[], { closings, run }: PowerUpRun): Held[][] {
  const on_s = circuit.machine.match.value;
  return guards.map((guard) => [
    // What made it trip stands for what it would have gone on to carry.
    ...run.notes.filter(({ what }) => what === `${guard.part} trips: over-current`).map(({ value }): Held => ({ current_A: value, time_s: on_s })),
    ...closings.flatMap(({ closing }, k): Held[] => {
      const from = closing.after;
      const next = closings[k + 1]?.closing.before;
      const to = next ?? { time_s: run.end_s, unknowns: run.unknowns };
      if (from === undefined || !(to.time_s > from.time_s)) return [];
      const current_A = Math.sqrt(gained(guard, from, to) / (to.time_s - from.time_s));
      return [{ current_A, time_s: next === undefined ? on_s : to.time_s - from.time_s }];
    }),
  ]);
}

function gained(guard: Guard, before: Pick<Snapshot, 'unknowns'>, after: Pick<Snapshot, 'unknowns'>): number {
  return guard.branches.reduce((sum, branch) => sum + Math.max(0, after.unknowns[branch.letThrough]! - before.unknowns[branch.letThrough]!), 0);
}

/** How likely a connection opens a guard, with what it asks. */
export interface GuardLoad {
  readonly above_s: number;
  readonly letThrough_A2s: number;
  /** Share of the spread of its trip curve in which it opens, or is asked more than it bears for long. */
  readonly chance: number;
}

/** What the power-up of one set of values asks of the guards; plain data. */
export interface GuardRecord {
  /** For each closing of the procedure, then for each main contact closed without its soft start: each guard. */
  readonly connections: readonly (readonly GuardLoad[])[];
  /** For each guard the chance that what it carries between two closings opens it. */
  readonly heldChance: readonly number[];
}

/** Main contacts that a forgetful crew closes without their soft start. */
export function slipsOf(softStarts: readonly SoftStart[]): { readonly soft: SoftStart; readonly main: SoftStart['mains'][number] }[] {
  return softStarts.flatMap((soft) => soft.mains.map((main) => ({ soft, main })));
}

export function guardRecord(circuit: Circuit, softStarts: readonly SoftStart[], powerUp: PowerUpRun, values: Float64Array): GuardRecord {
  const guards = guardsOf(circuit);
  if (guards.length === 0) return { connections: [], heldChance: [] };
  const written = powerUp.closings.map((one) => closingBurdens(circuit, guards, one, values).map((burden, g) => loadOf(circuit, guards[g]!, burden, 'each power-up')));
  const slips = slipsOf(softStarts).map(({ soft, main }) =>
    connectionBurdens(circuit, guards, hardConnection(circuit, soft, main, values), values).map((burden, g) => loadOf(circuit, guards[g]!, burden, 'a slip')),
  );
  const held = heldCurrents(circuit, guards, powerUp);
  return { connections: [...written, ...slips], heldChance: guards.map((guard, g) => Math.max(0, ...held[g]!.map((one) => heldChance(circuit, guard, one)))) };
}

function loadOf(circuit: Circuit, guard: Guard, { above_s, letThrough_A2s, curve }: Burden, often: 'each power-up' | 'a slip'): GuardLoad {
  const quantity = quantityOf(circuit, guard);
  const chance = guard.kind === 'fuse' ? meltChance(letThrough_A2s, quantity('melting'), often) : tripChance(curve, quantity('shortCurrent'), quantity('shortDelay'));
  return { above_s, letThrough_A2s, chance };
}

export function heldChance(circuit: Circuit, guard: Guard, { current_A, time_s }: Held): number {
  const quantity = quantityOf(circuit, guard);
  if (guard.kind === 'protection') return overCurrentChance(current_A, time_s, quantity('overCurrent'), quantity('overDelay'));
  const part = circuit.machine.parts.get(guard.part);
  return fuseHeldChance(current_A / quantity('rating').value, time_s, part?.kind === 'fuse' ? part.values.class : undefined);
}

export function quantityOf(circuit: Circuit, guard: Guard): (field: string) => Quantity {
  return (field) => circuit.inputs.list[circuit.inputs.at(`${guard.part}.${field}`)]!.quantity;
}
