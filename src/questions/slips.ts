import type { Run } from '../engine/simulate.ts';
import { allowedEnergy_J } from '../physics/resistor-limits.ts';
import { PAUSE } from '../machine/inputs.ts';
import type { Item, Verdict } from './answer.ts';
import { benchSlips } from './bench-slips.ts';
import { closingName, closingSentence } from './closing-words.ts';
import { judged, runVariant, type JudgedClosing } from './judged-steps.ts';
import { judgeClosing } from './contact-judgement.ts';
import { contactData, recordClosing, Refused, runPowerUp, standingFrom, type PowerUpRun } from './runs.ts';
import { likelySlips, usedSoftStarts, type Slip } from './slip-steps.ts';
import { limitsOf } from './soft-start-heat.ts';
import { closedWays } from './soft-starts.ts';
import { resistorHeat_J, type PlacedSoftStart, type Study } from './study.ts';
import { called, figure, RANK, say } from './words.ts';

/** What the likely slips of the crew do. */
export interface SlipStudy {
  /** Slips that spark or burn something, the worst first. */
  readonly items: readonly Item[];
  /** Slips that do no harm, in words. */
  readonly harmless: readonly string[];
  /** Slips whose numbers cannot be trusted. */
  readonly refused: readonly string[];
}

/** More than these nobody reads. */
const MOST_ITEMS = 8;
/** A slip counts when it asks at least this much more of a contact or a resistor than the procedure as written. */
const WORSE = 1.1;
/** Half of what a resistor takes is used, as in the question about the soft-start parts. */
const HEAT_SHARE = 0.5;

interface Outcome {
  readonly verdict: Verdict;
  /** How far beyond its limit, for the order among equals. */
  readonly load: number;
  readonly item: Item;
}

/** Simulates what a tired crew does to the procedure. */
export function studySlips(base: Study): SlipStudy {
  const outcomes: Outcome[] = [];
  const harmless: string[] = [];
  const refused: string[] = [];
  const asWritten = judged(base, base.nominal);
  for (const slip of likelySlips(base)) {
    try {
      const run = perform(base, slip);
      const closings = judged(base, run, slip.hurried ? hurriedValues(base) : base.values);
      const found = [...sparks(base, slip, closings, asWritten), ...burns(base, slip, run)].sort(worstFirst)[0];
      if (found !== undefined) outcomes.push(found);
      else if (closings.every(({ judgement }) => judgement.verdict === 'good')) harmless.push(slip.words);
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      refused.push(slip.words);
    }
  }
  for (const { outcome, words } of deadSoftStarts(base)) {
    if (outcome !== undefined) outcomes.push(outcome);
    else harmless.push(words);
  }
  for (const slip of benchSlips(base)) {
    if (slip.item === undefined) harmless.push(slip.words);
    else outcomes.push({ verdict: slip.item.verdict, load: slip.load, item: slip.item });
  }
  return { items: outcomes.sort(worstFirst).slice(0, MOST_ITEMS).map(({ item }) => item), harmless, refused };
}

function worstFirst(a: Outcome, b: Outcome): number {
  return RANK[b.verdict] - RANK[a.verdict] || b.load - a.load;
}

function perform(base: Study, slip: Slip): PowerUpRun {
  const { circuit, values } = base;
  if (slip.stuck.size > 0) return runPowerUp(circuit, slip.steps, values, undefined, standingFrom(circuit, slip.stuck, closedWays(circuit, slip.stuck), values));
  if (slip.hurried) return runPowerUp(circuit, slip.steps, hurriedValues(base));
  return runVariant(base, slip.steps);
}

function hurriedValues({ circuit, values }: Study): Float64Array {
  const hurried = Float64Array.from(values);
  hurried[circuit.inputs.at('crew.pause')] = PAUSE.low;
  return hurried;
}

/** Contacts that this slip treats worse than the procedure as written does. */
function sparks(base: Study, slip: Slip, closings: readonly JudgedClosing[], asWritten: readonly JudgedClosing[]): Outcome[] {
  return closings.flatMap((one): Outcome[] => {
    const { closing, judgement } = one;
    if (closing.refused || judgement.verdict === 'good') return [];
    const before = asWritten.find((other) => other.closing.way === closing.way)?.judgement;
    if (before !== undefined && RANK[judgement.verdict] <= RANK[before.verdict] && judgement.load <= WORSE * before.load) return [];
    const name = closingName(base.circuit, closing);
    return [sparkOutcome(base, slip.words.includes(name) ? slip.words : `${slip.words}: ${name}`, one)];
  });
}

function sparkOutcome(base: Study, where: string, { closing, measures, judgement }: Pick<JudgedClosing, 'measures' | 'judgement'> & { readonly closing: Pick<JudgedClosing['closing'], 'part' | 'way'> }): Outcome {
  const missing_V = Math.max(0, measures.missing_V);
  const limit = base.softStarts.find(({ mains }) => mains.some(({ way }) => way === closing.way))?.allowed_V;
  return {
    verdict: judgement.verdict,
    load: judgement.load,
    item: {
      where,
      verdict: judgement.verdict,
      measure: 'across the contact as it closes',
      figure: figure(missing_V, 'V', 'voltage', []),
      limit,
      margin: limit === undefined ? undefined : limit - missing_V,
      passes: undefined,
      parts: [closing.part],
      says: closingSentence(measures, judgement, base.supply_V),
      slip: true,
    },
  };
}

/** Soft-start resistors that this slip heats too much, and more than the procedure as written does. */
function burns(base: Study, slip: Slip, run: PowerUpRun): Outcome[] {
  return base.softStarts.flatMap((softStart): Outcome[] => {
    const { resistor } = softStart;
    const limits = limitsOf(base, resistor);
    if (limits === undefined) return [];
    const heat_J = heatOf(base, softStart, run.run);
    if (heat_J <= WORSE * heatOf(base, softStart, base.nominal.run)) return [];
    const carried_s = carrying_s(softStart, run);
    const takes_J = allowedEnergy_J(limits, carried_s);
    if (heat_J <= HEAT_SHARE * takes_J) return [];
    const verdict = heat_J > takes_J ? 'bad' : 'marginal';
    return [{
      verdict,
      load: heat_J / (HEAT_SHARE * takes_J),
      item: {
        where: `${slip.words}: ${called(base.circuit, resistor)}`,
        verdict,
        measure: 'heat in it',
        figure: figure(heat_J, 'J', 'energy', []),
        limit: HEAT_SHARE * takes_J,
        margin: HEAT_SHARE * takes_J - heat_J,
        passes: undefined,
        parts: [resistor],
        says: `${say(heat_J, 'energy')} in ${say(carried_s, 'time')}; it takes ${say(takes_J, 'energy')} in that time, and half of that should be enough.`,
        slip: true,
      },
    }];
  });
}

function heatOf({ circuit, values }: Study, { resistor }: PlacedSoftStart, run: Run): number {
  return resistorHeat_J(circuit, resistor, run, values);
}

/** How long a soft start carries in a run: from its first closing, or from the start where it stood closed, to its main contact's last. */
function carrying_s({ entry, mains }: PlacedSoftStart, { timeline }: PowerUpRun): number {
  const begins_s = timeline.closings.find(({ way }) => way === entry)?.time_s ?? timeline.steps[0]?.time_s ?? 0;
  const ends_s = timeline.closings.findLast(({ way, time_s }) => time_s > begins_s && mains.some((main) => main.way === way))?.time_s;
  return Math.max((ends_s ?? timeline.end_s) - begins_s, Number.EPSILON);
}

/** A soft start that a switch runs by itself cannot be forgotten, but its resistor can be dead. */
function deadSoftStarts(base: Study): { readonly words: string; readonly outcome: Outcome | undefined }[] {
  const { circuit, machine, values, supply_V } = base;
  const operated = new Set(usedSoftStarts(base).map(({ softStart }) => softStart));
  const own = base.softStarts.filter((soft) => !operated.has(soft) && soft.mains.some(({ part }) => part === soft.entryPart) && base.nominal.closings.some(({ closing }) => closing.way === soft.entry));
  return own.flatMap((soft) =>
    soft.mains.map(({ part, way }) => {
      const name = closingName(circuit, { part, position: way.position });
      const found = machine.parts.get(part);
      if (found?.kind === 'contactor' && found.values.threshold !== undefined) return { words: `${name} with its soft start dead (its threshold keeps it open)`, outcome: undefined };
      const { measures } = recordClosing({ circuit, part, way, closed: soft.closed, banks: soft.banks, missing_V: supply_V, values });
      const judgement = judgeClosing(measures, contactData(circuit, part, values));
      const words = `${name} without its soft start`;
      return { words, outcome: judgement.verdict === 'good' ? undefined : sparkOutcome(base, words, { closing: { part, way }, measures, judgement }) };
    }),
  );
}
