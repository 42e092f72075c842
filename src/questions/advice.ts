import { formatValue } from '../quantity/format.ts';
import { changed, type Change, type FileEdit } from '../machine/edit.ts';
import type { Machine } from '../machine/machine.ts';
import { E12, nearestPreferred } from '../physics/preferred.ts';
import type { Advice, Answer, Verdict } from './answer.ts';
import type { Candidate } from './candidate.ts';
import { charge, largestResistance } from './charging.ts';
import { orderCandidates } from './closing-order.ts';
import { isolationCandidates } from './isolation-advice.ts';
import { dischargeCandidates } from './discharge-advice.ts';
import { fuseCandidates } from './fuses-advice.ts';
import { brakeCandidates } from './opening-braking.ts';
import type { MatchLoads } from './match-loads.ts';
import { heatCandidates, packCandidates, radioCandidates } from './match-advice.ts';
import { overvoltageCandidates } from './overvoltage-advice.ts';
import { parallelCandidates } from './parallel-advice.ts';
import { Refused, trusting } from './runs.ts';
import { softStartCandidates } from './soft-start-advice.ts';
import { heldTime, study, type PlacedSoftStart, type Study } from './study.ts';
import { limitingCandidates } from './unlimited.ts';
import { called, say } from './words.ts';

/** The same question on another machine, without samples. */
export type AskNominal = (base: Study) => Answer;

const RANK: Record<Verdict, number> = { good: 0, marginal: 1, 'cannot tell': 2, bad: 3 };

/** Tries the changes that could help an answer, each re-run on the changed machine; free ones first, best verdict first. */
export function advise(base: Study, answer: Answer, ask: AskNominal, tried: TriedMachines): Advice[] {
  if (answer.verdict === 'good' || (FOUGHT.has(answer.id) && slowlyFought(base))) return [];
  // A change that cannot be told about is no advice; the answer itself stands.
  const found = trusting(() => candidates(base, answer, tried)) ?? [];
  const enough = new Set<string>();
  return found
    .flatMap((candidate): Advice[] => {
      if (candidate.ladder !== undefined && enough.has(candidate.ladder)) return [];
      const advice = trusting(() => tryOut(base.machine, candidate, answer, ask, tried));
      if (advice?.verdict === 'good' && candidate.ladder !== undefined) enough.add(candidate.ladder);
      return advice === undefined ? [] : [advice];
    })
    .filter((advice) => RANK[advice.verdict] < RANK[answer.verdict])
    .sort((a, b) => Number(b.free) - Number(a.free) || RANK[a.verdict] - RANK[b.verdict]);
}

/** Questions whose changes are tried in a match each. */
const FOUGHT: ReadonlySet<string> = new Set(['radio', 'pack', 'heat', 'turnaround', 'overvoltage', 'fuses']);

function slowlyFought(base: Study): boolean {
  const fought = base.fought();
  return fought.status === 'fought' && fought.fight.slow;
}

/** Changes of one machine and studies of what they make of it, so that several questions share them. */
export class TriedMachines {
  private readonly known = new Map<string, Tried>();
  private powerUp: readonly Candidate[] | undefined;

  of(machine: Machine, { changes, loads }: Candidate): Tried {
    const key = JSON.stringify([changes, loads?.name]);
    const found = this.known.get(key) ?? make(machine, changes, loads);
    this.known.set(key, found);
    return found;
  }

  powerUpCandidates(base: Study): readonly Candidate[] {
    return (this.powerUp ??= powerUpCandidates(base));
  }
}

/** A machine with some changes, and the edits that make them in its file. */
interface Tried {
  readonly edits: readonly FileEdit[];
  readonly study: Study | undefined;
}

function make(machine: Machine, changes: readonly Change[], loads: MatchLoads | undefined): Tried {
  const edits: FileEdit[] = [];
  let result = machine;
  for (const change of changes) {
    const made = changed(result, change);
    result = made.machine;
    edits.push(...made.edits);
  }
  return { edits, study: trusting(() => study(result, 'tried', loads)) };
}

/** @throws Refused when the changed machine cannot be studied */
function tryOut(machine: Machine, candidate: Candidate, before: Answer, ask: AskNominal, tried: TriedMachines): Advice {
  const { edits, study: other } = tried.of(machine, candidate);
  if (other === undefined) throw new Refused('the changed machine cannot be studied');
  const answer = ask(other);
  // What was wrong is what a person wants to see mended, whatever decides now.
  const where = before.items.find((item) => item.verdict === before.verdict && !item.slip)?.where;
  const same = answer.items.find((item) => item.where === where && !item.slip);
  const says = answer.verdict === 'good' && same !== undefined ? `${same.where}: ${same.says}` : answer.says;
  const beside = candidate.beside?.(other);
  return { what: candidate.what, free: candidate.free, edits, verdict: answer.verdict, says: beside === undefined ? says : `${says} ${beside}`, caution: candidate.caution };
}

function candidates(base: Study, answer: Answer, tried: TriedMachines): readonly Candidate[] {
  switch (answer.id) {
    case 'spark':
      return [...orderCandidates(base, answer), ...tried.powerUpCandidates(base)];
    case 'isolation':
      return isolationCandidates(base);
    case 'faults':
    case 'programming':
    case 'inspection':
      return [];
    case 'discharge':
      return dischargeCandidates(base, answer);
    case 'parallel':
      return parallelCandidates(base, answer);
    case 'overvoltage':
      return overvoltageCandidates(base, answer);
    case 'opening':
      return brakeCandidates(base, answer);
    case 'mass':
      return [];
    case 'radio':
      return radioCandidates(base);
    case 'pack':
      return packCandidates(base, answer);
    case 'heat':
      return [...heatCandidates(base, answer), ...limitingCandidates(base, answer.items)];
    case 'turnaround':
      return heatCandidates(base, answer);
    case 'fuses':
      return fuseCandidates(base, answer);
    case 'soft-start':
      return [...tried.powerUpCandidates(base), ...softStartCandidates(base, answer)];
    default:
      return tried.powerUpCandidates(base);
  }
}

function powerUpCandidates(base: Study): Candidate[] {
  const single = base.softStarts.flatMap((softStart) => [trusting(() => waitLonger(base, softStart)), trusting(() => smallerResistor(base, softStart)), ...holdLoadsOff(base, softStart)]);
  return single.filter((c) => c !== undefined);
}

/** Free: a longer count, where that reaches what is wanted. */
function waitLonger(base: Study, softStart: PlacedSoftStart): Candidate | undefined {
  const { circuit, values } = base;
  const needed = charge({ circuit, softStart, closed: softStart.closed, values, target_V: softStart.allowed_V - softStart.drain_V }).reached_s;
  const held = heldTime(softStart, base.nominal.closings.map((c) => c.closing));
  if (needed === undefined || held === undefined || needed * 1.5 <= held) return undefined;
  const seconds = Math.ceil(needed * 1.5 * 2) / 2;
  const entry = base.nominal.closings.find((c) => c.closing.way === softStart.entry)?.closing.step;
  if (entry === undefined) return undefined;
  const step = base.machine.powerUp.findIndex((s, k) => k >= entry && (s.act === 'wait' || s.act === 'hold'));
  if (step < 0) return undefined;
  return {
    what: `Count ${say(seconds, 'time')} at ${softStart.name}`,
    free: true,
    changes: [{ change: 'wait', step, text: `${seconds} s` }],
    caution: undefined,
  };
}

/** The largest preferred resistor that finishes with room and leaves little enough missing. */
function smallerResistor(base: Study, softStart: PlacedSoftStart): Candidate | undefined {
  const { circuit, values } = base;
  const own = values[circuit.inputs.at(`${softStart.resistor}.resistance`)]!;
  const request = { circuit, softStart, closed: softStart.closed, values, target_V: softStart.allowed_V - softStart.drain_V };
  const now = charge(request);
  if (now.outcome === 'settles' && now.reached_s !== undefined) return undefined;
  const largest = softStart.starting.length === 0 ? own : largestResistance(request, 0.02);
  if (!(largest > 0.5)) return undefined;
  let resistance = nearestPreferred(E12, Math.min(0.8 * largest, 0.999 * own), 'below');
  for (let tries = 0; tries < 24 && resistance > 0.5; tries++) {
    const charging = charge({ ...request, resistance_ohm: resistance });
    // Ten per cent to spare: what is missing is known no better than the draw that makes it.
    if (charging.outcome === 'settles' && charging.residual_V < 0.9 * request.target_V) break;
    resistance = nearestPreferred(E12, 0.999 * resistance, 'below');
  }
  if (!(resistance > 0.5)) return undefined;
  const short_W = base.supply_V ** 2 / resistance;
  return {
    what: `${formatValue(resistance, 'resistance')} instead of ${formatValue(own, 'resistance')} for ${softStart.resistor}`,
    free: false,
    changes: [{ change: 'field', part: softStart.resistor, property: 'resistance', text: formatValue(resistance, 'resistance') }],
    caution: `${softStart.resistor} takes ${say(short_W, 'power')} while it is held into a short: choose a wirewound part with that pulse rating, and let go after the count.`,
  };
}

/** A load that hangs it is held off by its enable input until the main contact is closed. */
function holdLoadsOff(base: Study, softStart: PlacedSoftStart): Candidate[] {
  const main = softStart.mains[0];
  if (main === undefined) return [];
  return softStart.starting
    .filter((load) => load.waitsFor === undefined)
    .map((load) => ({
      what: `${called(base.circuit, load.part)} held off by its enable input until ${main.part} is closed`,
      free: false,
      changes: [{ change: 'field' as const, part: load.part, property: 'waitsFor', text: main.part }],
      caution: 'The radio is dark until then: it has to be up before anything can move.',
    }));
}
