import type { RunControl } from '../engine/automaton.ts';
import { closeContact, type BranchHandle } from '../engine/devices/branch.ts';
import type { Outcome } from '../engine/outcome.ts';
import type { RecordRequest } from '../engine/recorder.ts';
import { simulate, type Run } from '../engine/simulate.ts';
import type { Bounce } from '../engine/devices/contact.ts';
import type { Way } from '../machine/circuit/chains.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import type { Bank } from '../machine/circuit/loads.ts';
import { allClosed, closedPosition } from '../machine/circuit/positions.ts';
import { closingPeaks, planSteps, type Beginning, type Closing, type Timeline } from '../machine/circuit/power-up.ts';
import type { Step } from '../machine/machine.ts';
import type { ClosingMeasures, ContactData } from './contact-judgement.ts';
import { coilPeaks, coilSpans, type CoilSpan } from './coil-spans.ts';
import { inputPoints, pointPeaks } from './points.ts';

/** Numbers that cannot be trusted, on their way to the answer that has to say so. */
export class Refused extends Error {}

/** What an answer can do without: undefined where its numbers cannot be trusted. */
export function trusting<T>(run: () => T): T | undefined {
  try {
    return run();
  } catch (error) {
    if (error instanceof Refused) return undefined;
    throw error;
  }
}

/** Relative tolerance of the questions' runs: a tenth of a per mille, far below what inputs are known to. */
const TOLERANCE = 1e-4;
/** A procedure takes hundreds of steps, one with dozens of hiccups thousands; one of a hundred thousand ends too late to help anybody. */
const MOST_STEPS = 100_000;

/** How long before the first step a run begins: leads and stray capacitances settle in microseconds once the packs are there. */
const SETTLING_S = 1e-3;

export interface PowerUpRun {
  readonly timeline: Timeline;
  readonly run: Run;
  readonly closings: readonly {
    readonly closing: Closing;
    readonly measures: ClosingMeasures;
    /** Highest voltage at each of the inputs that `inputPoints` lists, V. */
    readonly points_V: readonly number[];
  }[];
  /** Contactors that their coils hold from the machine's own supply, each closing of one. */
  readonly coils: readonly CoilSpan[];
}

/** A power-up that does not begin with everything open and empty. */
export interface Underway extends Beginning {
  /** Where the switches stand. */
  readonly standing: ReadonlyMap<string, string>;
}

/** The machine before the first step with switches that are closed already: the banks behind them are still empty. */
export function standingFrom(circuit: Circuit, standing: ReadonlyMap<string, string>, closed: ReadonlySet<Way>, values: Float64Array): Underway {
  const parameters = circuit.parametersFor(values);
  connect(circuit, parameters, closed);
  for (const load of circuit.loads.starting)
    if (load.waitsFor !== undefined && standing.get(load.waitsFor) === closedPosition(circuit.machine, load.waitsFor)) parameters[load.handle.enabled] = 1;
  for (const load of circuit.loads.standby) if (allClosed(circuit.machine, load.waitsFor, standing)) parameters[load.draws] = load.current(values);
  return { time_s: -SETTLING_S, unknowns: new Float64Array(circuit.model.plan.unknowns), parameters, standing };
}

/** Runs a procedure, or a variant of it, on a circuit with given values. */
export function runPowerUp(circuit: Circuit, steps: readonly Step[], values: Float64Array, record?: RecordRequest, from?: Underway): PowerUpRun {
  const timeline = planSteps(circuit, steps, 'power up', values, 0.1, from?.standing, Math.max(0, from?.time_s ?? 0));
  const points = inputPoints(circuit);
  const coils = coilPeaks(circuit, timeline);
  const outcome = simulate({
    model: circuit.model,
    parameters: from?.parameters ?? circuit.parametersFor(values),
    initial: from?.unknowns ?? new Float64Array(circuit.model.plan.unknowns),
    start_s: from?.time_s ?? -SETTLING_S,
    end_s: timeline.end_s,
    automata: circuit.automata,
    script: timeline.script,
    tolerance: TOLERANCE,
    maximumSteps: MOST_STEPS,
    peaks: [...closingPeaks(timeline.closings), ...pointPeaks(points, timeline.closings), ...coils],
    ...(record === undefined ? {} : { record }),
  });
  const run = trusted(outcome);
  const ownPeaks = 4 * timeline.closings.length;
  const closings = timeline.closings.map((closing, k) => ({
    closing,
    measures: measure(closing, run, 4 * k),
    points_V: points.map((_, point) => run.peaks[ownPeaks + k * points.length + point]!.value),
  }));
  return { timeline, run, closings, coils: coilSpans(circuit, timeline, run) };
}

function measure(closing: Closing, run: Run, firstPeak: number): ClosingMeasures {
  const { before, after, way } = closing;
  const contact = way.branch.contacts[way.contact]!;
  if (before === undefined || after === undefined) throw new Error(`closing of ${closing.part} was not observed`);
  const gained = (index: number): number => after.unknowns[index]! - before.unknowns[index]!;
  const peak = (k: number): number => Math.abs(run.peaks[firstPeak + k]!.value || 0);
  return {
    missing_V: before.watched[way.branch.drivenWatch]!,
    peak_A: Math.max(peak(0), peak(1)),
    letThrough_A2s: Math.max(0, gained(way.branch.letThrough)),
    contact_J: contact.wear === undefined ? 0 : Math.max(0, gained(contact.wear.energy)),
    melting_J: contact.wear === undefined ? 0 : Math.max(0, gained(contact.wear.meltEnergy)),
    arc_C: contact.wear === undefined ? 0 : Math.abs(gained(contact.wear.arcCharge)),
    spot_V: Math.max(peak(2), peak(3)),
  };
}

/** A transistor takes for milliseconds about three times what it carries for long. Common practice, no source. */
const SOLID_MAKE = 3;

/** What a contact is, from its part. */
export function contactData(circuit: Circuit, part: string, values: Float64Array): ContactData {
  const found = circuit.machine.parts.get(part);
  if (found?.kind === 'solid-state switch') return { metal: 'copper', rating_A: found.values.rating.value, make_A: SOLID_MAKE * found.values.rating.value };
  if (found?.kind !== 'isolator' && found?.kind !== 'link' && found?.kind !== 'connector' && found?.kind !== 'button' && found?.kind !== 'contactor') throw new Error(`${part} has no contact`);
  const value = (field: string): number => values[circuit.inputs.at(`${part}.${field}`)]!;
  const make_A = value('makeCurrent');
  // Six times its label is what a contact closes on by default, so a missing label follows from the make current.
  const rating_A = circuit.inputs.has(`${part}.rating`) ? value('rating') : make_A / 6;
  return { metal: found.values.metal ?? 'copper', rating_A, make_A };
}

export interface ClosingRequest {
  readonly circuit: Circuit;
  readonly part: string;
  readonly way: Way;
  /** Ways closed before it. */
  readonly closed: ReadonlySet<Way>;
  /** Banks that it closes onto; every other one is full. */
  readonly banks: readonly Bank[];
  readonly missing_V: number;
  readonly values: Float64Array;
}

/** When the contact touches in a closing that is run on its own, s: stray capacitances and leads have settled by then. */
export const TOUCH_S = 1e-4;

/** Closes one way onto banks that lack `missing_V`. */
export function runClosing(request: ClosingRequest): ClosingMeasures {
  return recordClosing(request).measures;
}

/** The same with the curve of the contact's current. */
export function recordClosing(request: ClosingRequest, record?: RecordRequest): { readonly measures: ClosingMeasures; readonly run: Run } {
  const { circuit, part, way, closed, banks, missing_V, values } = request;
  const supply_V = supplyVoltage(circuit, values);
  const parameters = circuit.parametersFor(values);
  connect(circuit, parameters, closed);
  const initial = new Float64Array(circuit.model.plan.unknowns);
  for (const bank of circuit.loads.banks) initial[bank.capacitor.voltage] = banks.includes(bank) ? supply_V - missing_V : supply_V;
  const closing: Closing = { part, position: way.position, way, time_s: TOUCH_S, until_s: TOUCH_S + 0.02, step: 0, before: undefined, after: undefined, parted_s: undefined, refused: false };
  const bounce = circuit.inputs.has(`${part}.bounce`) ? values[circuit.inputs.at(`${part}.bounce`)]! : 0;
  const bounces: Bounce[] = bounce > 0 ? [0, 1, 2].map((k) => ({ after_s: bounce / 2 ** k, open_s: bounce / 2 ** k })) : [];
  const snapshot = (run: RunControl) => ({ time_s: run.time, unknowns: Float64Array.from(run.unknowns), watched: Float64Array.from(run.watched) });
  const outcome = simulate({
    model: circuit.model,
    parameters,
    initial,
    end_s: closing.until_s,
    automata: circuit.automata,
    script: [
      {
        time: TOUCH_S,
        action: (run) => {
          closing.before = snapshot(run);
          closeContact(run, way.branch, way.branch.contacts[way.contact]!, bounces);
        },
      },
      { time: closing.until_s, action: (run) => (closing.after = snapshot(run)) },
    ],
    tolerance: TOLERANCE,
    peaks: closingPeaks([closing]),
    ...(record === undefined ? {} : { record }),
  });
  const run = trusted(outcome);
  return { measures: measure(closing, run, 0), run };
}

/** Sets the contacts of `closed` as closed for long and every other as open. */
export function connect(circuit: Circuit, parameters: Float64Array, closed: ReadonlySet<Way>): void {
  const branches = new Set<BranchHandle>();
  for (const ways of circuit.ways.values())
    for (const way of ways) {
      parameters[way.branch.contacts[way.contact]!.conducting] = closed.has(way) ? 1 : 0;
      branches.add(way.branch);
    }
  for (const branch of branches) parameters[branch.connected] = branch.contacts.every((c) => parameters[c.conducting] === 1) ? 1 : 0;
}

export function trusted(outcome: Outcome<Run>): Run {
  if (outcome.status === 'done') return outcome.result;
  const { cause, where, time, detail } = outcome.refusal;
  throw new Refused(`${cause} at ${time.toPrecision(4)} s (${where}${detail === '' ? '' : `: ${detail}`})`);
}

/** Voltage of the packs that stand on each other at the bottom of the machine, or of its bench supply, V. */
export function supplyVoltage(circuit: Circuit, values: Float64Array): number {
  return circuit.supply(values);
}
