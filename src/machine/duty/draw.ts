import { parseQuantity } from '../../quantity/parse.ts';
import { quantile, type Quantity } from '../../quantity/quantity.ts';
import { sampler } from '../../quantity/random.ts';
import { ACTS, type Duty, type DutyAct, type DutyEvent, type DutyProperty } from './duty.ts';
import { dimensionOf } from './rules.ts';

/** One thing that happens in one match. */
export interface Occurrence {
  readonly act: DutyAct;
  readonly with: readonly string[];
  readonly start_s: number;
  /** Infinity: until something else begins. */
  readonly end_s: number;
  readonly throttle: number;
  readonly takes: number;
  readonly against: number;
  readonly slope: number;
  /** Whether it goes backwards. */
  readonly back: boolean;
}

/**
 * The occurrences of one match in order of time. Every line of the duty draws from a stream of its own, so that changing
 * one line leaves the others as they were.
 * @param seed      whole number, 0 to 2³² − 1; the same gives the same match
 * @param length_s  length of the match, s
 */
export function drawDuty(duty: Duty, seed: number, length_s: number): Occurrence[] {
  return duty.events.flatMap((event, k) => occurrencesOf(event, sampler(seed, k), length_s)).sort((a, b) => a.start_s - b.start_s);
}

function occurrencesOf(event: DutyEvent, next: () => number, length_s: number): Occurrence[] {
  const draw = (property: DutyProperty): number | undefined => {
    const quantity = event.values[property] ?? usual(event.act, property);
    return quantity === undefined ? undefined : quantile(quantity, next());
  };
  const at = (start_s: number): Occurrence => {
    const lasts = draw('for');
    return {
      act: event.act, with: event.with, start_s, end_s: lasts === undefined ? Infinity : start_s + lasts,
      throttle: draw('throttle') ?? 0, takes: Math.min(1, draw('takes') ?? 0), against: draw('against') ?? 0, slope: draw('slope') ?? 0,
      back: BOTH_WAYS.has(event.act) && next() < BACK_SHARE,
    };
  };
  const { at: once, every, from, until } = event.values;
  if (once !== undefined) {
    const start = quantile(once, next());
    return start < length_s ? [at(start)] : [];
  }
  if (every === undefined) return [];
  const end = Math.min(length_s, until === undefined ? length_s : quantile(until, next()));
  const found: Occurrence[] = [];
  let start = (from === undefined ? 0 : quantile(from, next())) + next() * quantile(every, next());
  while (start < end && found.length < MOST) {
    found.push(at(start));
    start += quantile(every, next());
  }
  return found;
}

const known = new Map<string, Quantity>();

/** What an act takes when its line does not say. */
function usual(act: DutyAct, property: DutyProperty): Quantity | undefined {
  const text = ACTS[act].usual[property];
  if (text === undefined) return undefined;
  const key = `${property} ${text}`;
  const made = known.get(key);
  if (made !== undefined) return made;
  const parsed = parseQuantity(text, dimensionOf(property));
  if (!parsed.ok) throw new Error(`${act}: ${text}: expected ${parsed.expected}`);
  known.set(key, parsed.quantity);
  return parsed.quantity;
}

const BOTH_WAYS: ReadonlySet<DutyAct> = new Set(['drive', 'turn', 'move']);
/** Machines go back about once in three. Common practice, no source. */
const BACK_SHARE = 0.3;
/** A line that repeats every few milliseconds is a slip; a match ends all the same. */
const MOST = 3000;
