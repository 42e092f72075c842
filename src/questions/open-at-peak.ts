import type { RunControl } from '../engine/automaton.ts';
import { closeContact, openContact } from '../engine/devices/branch.ts';
import type { PeakRequest } from '../engine/peaks.ts';
import { simulate, type Run } from '../engine/simulate.ts';
import type { Closing } from '../machine/circuit/power-up.ts';
import { connectionOf } from './connecting.ts';
import { inputPoints } from './points.ts';
import { connect, TOUCH_S, trusted } from './runs.ts';
import type { Study } from './study.ts';

/** A contact that is opened again when the current of its closing is largest. */
export interface OpenedAtPeak {
  readonly broken_A: number;
  readonly arc_s: number;
  readonly arc_J: number;
  readonly arc_C: number;
  /** Highest voltage at each of the machine's inputs after that, V. */
  readonly points_V: readonly number[];
  /** Highest voltage before the contact, V. */
  readonly near_V: number;
}

/** Inrush has its peak long before, s; a long soft start has it at its beginning. */
const SEARCHED_S = 5e-3;
/** Followed afterwards, s: an arc that a charging bank feeds may last. */
const AFTER_S = 20e-3;

/** Plays a closing of the procedure up to the peak of its current and opens its contact there; undefined where it carries none. */
export function openAtPeak(base: Study, closing: Closing): OpenedAtPeak | undefined {
  const { circuit, values } = base;
  const { before, way } = closing;
  if (before === undefined || closing.refused !== false || way.ramp !== undefined) return undefined;
  const contact = way.branch.contacts[way.contact]!;
  const { closed, initial } = connectionOf(circuit, closing, before);
  const play = (end_s: number, peaks: readonly PeakRequest[], opens_s?: number, seen?: (run: RunControl) => void): Run => {
    const parameters = circuit.parametersFor(values);
    connect(circuit, parameters, closed);
    for (const { trip } of circuit.protections) parameters[trip.tripped] = 1;
    return trusted(
      simulate({
        model: circuit.model, parameters, initial, end_s, automata: circuit.automata, peaks, tolerance: 1e-4,
        script: [
          { time: TOUCH_S, action: (run) => { closeContact(run, way.branch, contact); } },
          ...(opens_s === undefined ? [] : [{ time: opens_s, action: (run: RunControl) => { seen?.(run); openContact(run, way.branch, contact); } }]),
        ],
      }),
    );
  };
  const span = { from_s: TOUCH_S, until_s: TOUCH_S + SEARCHED_S };
  const found = play(span.until_s, ([1, -1] as const).map((sign) => ({ of: { unknown: way.branch.current }, sign, ...span }))).peaks;
  const peak = found.reduce((a, b) => (Math.abs(b.value) > Math.abs(a.value) ? b : a));
  if (!(Math.abs(peak.value) > 0.01)) return undefined;
  const opens_s = Math.max(peak.time, TOUCH_S + 1e-9);
  const points = inputPoints(circuit);
  const near = circuit.pointWatch.get(way.from);
  const end_s = opens_s + AFTER_S;
  const watches = [...points.map(({ watch }) => watch), ...(near === undefined ? [] : [near])];
  const at = { broken_A: 0, energy: 0, charge: 0 };
  const run = play(end_s, watches.map((watch) => ({ of: { watch }, sign: 1, from_s: opens_s, until_s: end_s })), opens_s, (r) => {
    at.broken_A = Math.abs(r.unknowns[way.branch.current]!);
    if (contact.wear === undefined) return;
    at.energy = r.unknowns[contact.wear.energy]!;
    at.charge = r.unknowns[contact.wear.arcCharge]!;
  });
  const out = run.notes.find(({ what, time }) => time >= opens_s && what === `${contact.name} arc goes out`);
  const burns = contact.wear !== undefined && run.unknowns[contact.wear.arcCharge] !== at.charge;
  return {
    broken_A: at.broken_A,
    arc_s: burns ? (out?.time ?? end_s) - opens_s : 0,
    arc_J: contact.wear === undefined ? 0 : Math.max(0, run.unknowns[contact.wear.energy]! - at.energy),
    arc_C: contact.wear === undefined ? 0 : Math.abs(run.unknowns[contact.wear.arcCharge]! - at.charge),
    points_V: points.map((_, k) => run.peaks[k]!.value),
    near_V: near === undefined ? base.supply_V : run.peaks[points.length]!.value,
  };
}
