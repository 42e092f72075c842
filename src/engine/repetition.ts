import type { Note } from './automaton.ts';
import type { Model } from './model.ts';
import type { PeakRequest } from './peaks.ts';
import type { Stepper } from './stepper.ts';

/** A stretch of a run that goes on repeating itself. */
export interface Repeats {
  readonly period_s: number;
  /** What every unknown gains in one round: quadratures, and states that drift slowly. */
  readonly gained: Float64Array;
  /** Notes of one round. */
  readonly notes: readonly Note[];
  /** Rounds that may be left out with the states staying within the run's tolerance of where they would have come. */
  readonly most: number;
}

interface Moment {
  readonly time_s: number;
  readonly unknowns: Float64Array;
  readonly parameters: Float64Array;
  readonly notes: number;
  readonly round: { readonly period_s: number; readonly gained: Float64Array; /** Rounds left out since. */ readonly since: number } | undefined;
}

/** Two rounds are alike when their periods differ by less than this share. */
const SAME_PERIOD = 1e-3;
/** Largest drift of a round, and of all that are left out at once, in units of what one step may be off by. */
const LARGEST_DRIFT = 1;
const LARGEST_JUMP = 30;
/** How far from a straight line the drift may bend over the rounds that are left out, in the same units. */
const LARGEST_BEND = 0.25;

/**
 * Watches a run for a converter that tries, fails and tries again, or whatever else comes back to the same state each
 * time that it switches. Where neither time itself nor a sum matters the next round is the last one over again, but for
 * what drifts slowly (a pack that settles); that drift is followed on a straight line for as long as it is one.
 */
export class Repetition {
  private readonly last = new Map<string, Moment>();

  /** Looks at the state after something has switched; the rounds that may be left out, if it has been here twice before. */
  seen(who: string, time_s: number, stepper: Stepper, notes: readonly Note[], states: number): Repeats | undefined {
    const before = this.last.get(who);
    const round = before === undefined ? undefined : { period_s: time_s - before.time_s, gained: stepper.y.map((value, k) => value - before.unknowns[k]!), since: 0 };
    this.last.set(who, { time_s, unknowns: stepper.y.slice(), parameters: stepper.p.slice(), notes: notes.length, round });
    if (before?.round === undefined || round === undefined || !(Math.abs(round.period_s - before.round.period_s) <= SAME_PERIOD * round.period_s)) return undefined;
    if (before.parameters.some((value, k) => value !== stepper.p[k])) return undefined;
    const drift = stepper.largestState(round.gained);
    if (!(drift <= LARGEST_DRIFT)) return undefined;
    const { gained: earlier, since } = before.round;
    // A change that turns round each time is what the steps are off by, and no drift.
    const gained = round.gained.map((gain, k) => (k < states && gain * earlier[k]! <= 0 ? 0 : gain));
    const bend = stepper.largestState(gained.map((gain, k) => (gain === 0 ? 0 : (gain - earlier[k]!) / (1 + since))));
    const most = Math.floor(Math.min(LARGEST_JUMP / Math.max(drift, 1e-6), Math.sqrt((2 * LARGEST_BEND) / Math.max(bend, 1e-12))));
    return { period_s: round.period_s, gained, notes: notes.slice(before.notes), most };
  }

  /** Says that the run has gone on to this state without running the rounds between. */
  moved(who: string, rounds: number, time_s: number, stepper: Stepper, notes: number): void {
    const last = this.last.get(who);
    if (last?.round !== undefined) this.last.set(who, { ...last, time_s, unknowns: stepper.y.slice(), notes, round: { ...last.round, since: rounds } });
  }
}

/** More lines of history than this nobody reads: such a run goes on step by step, until it has taken too many. */
const MOST_NOTES = 50_000;

/** Rounds whose notes there is still room for. */
export function roundsToWrite({ notes }: Repeats, written: number): number {
  return notes.length === 0 ? Infinity : Math.floor((MOST_NOTES - written) / notes.length);
}

/** Notes of rounds that are left out, as they would have been written. */
export function notesOf({ notes, period_s }: Repeats, rounds: number): Note[] {
  return Array.from({ length: rounds }, (_, round) => notes.map((note) => ({ ...note, time: note.time + (round + 1) * period_s }))).flat();
}

/** Whether an extreme is asked for of something that only adds up. */
export function looksAtSums({ system, plan }: Model, peaks: readonly PeakRequest[]): boolean {
  return peaks.some(({ of }) => ('unknown' in of ? of.unknown >= plan.states : [...system.graph.unknownsOf(system.watches[of.watch]!.expression)].some((k) => k >= plan.states)));
}

/** The same but for rounding. */
export function alike(a: number, b: number): boolean {
  return a === b || Math.abs(a - b) <= 1e-9 * Math.max(Math.abs(a), Math.abs(b), 1e-3);
}
