import type { Extreme, MatchRecord } from '../machine/match/record.ts';
import { fightSamples, type NumberedMatch } from '../machine/match/spread.ts';
import type { Item } from './answer.ts';
import type { Fight, Fought } from './match-fought.ts';
import type { MatchLoads } from './match-loads.ts';
import type { CurrentCurve } from './pulse-shape.ts';
import { Refused } from './runs.ts';
import type { Study } from './study.ts';
import { say } from './words.ts';

/** Matches of the spread that questions look at: one takes about a tenth of a second. */
export const MOST_MATCHES = 16;
/**
 * The machine's match; what it lacks when there is none.
 * @throws Refused when its numbers cannot be trusted
 */
export function fightOf(base: Study): Exclude<Fought, { status: 'refused' }> {
  const fought = base.fought();
  if (fought.status === 'refused') throw new Refused(fought.cause);
  return fought;
}

/** Numbered matches of the spread, values and events drawn anew in each; none where the machine cannot fight. */
export function fightHere(base: Study, seed: number, samples: readonly number[]): readonly NumberedMatch[] {
  const entered = base.entered();
  return entered.status === 'ready' ? fightSamples(entered.match, base.machine.duty, seed, samples) : [];
}

/** The loads of the match that is shown, for questions that otherwise take the controllers' limits. */
export function matchLoads(base: Study): MatchLoads | undefined {
  const fought = base.foughtWithCurves();
  if (fought.status !== 'fought' || fought.fight.match.needs.length > 0) return undefined;
  const { match, record } = fought.fight;
  const { curves } = record;
  // What blew or tripped took its load away: such a match says nothing of what a part that holds would carry.
  const cutOff = record.fuses.some(({ blows_s }) => blows_s !== undefined) || record.protections.some(({ trips_s }) => trips_s !== undefined);
  if (curves === undefined || cutOff) return undefined;
  return {
    name: dutyName(record),
    currentThrough(part) {
      const key = match.fuses.find((one) => one.part === part)?.current.key ?? match.protections.find((one) => one.part === part)?.current.key
        ?? match.packs.find((one) => one.part === part)?.current.key ?? match.lumps.find((one) => one.where === part && one.sort !== 'winding')?.carries;
      const column = curves.columns.find((one) => one.name === `${key} current`);
      if (key === undefined || column === undefined) return undefined;
      const peak = record.fuses.find((one) => one.part === part)?.peak.value ?? record.heats.find((one) => one.where === part)?.peak_A ?? 0;
      return raised({ time_s: curves.time_s, current_A: column.values }, Math.abs(peak));
    },
  };
}

/** Thinned curves may have lost the very peak of a branch: their largest point is set to it. */
function raised(curve: CurrentCurve, peak_A: number): CurrentCurve {
  const at = curve.current_A.reduce((most, one, k) => (Math.abs(one) > Math.abs(curve.current_A[most]!) ? k : most), 0);
  if (!(Math.abs(curve.current_A[at] ?? Infinity) < peak_A)) return curve;
  return { ...curve, current_A: curve.current_A.map((one, k) => (k === at ? Math.sign(one || 1) * peak_A : one)) };
}

/** `own, seed 1`. */
export function dutyName({ duty, seed }: MatchRecord): string {
  return `${duty === 'own' ? "of the file's own duty" : `of the duty ${duty}`}, seed ${seed}`;
}

/** `95 s into the match, in a stall with M1, M2`. */
export function moment({ time_s, during }: Extreme): string {
  return `${say(time_s, 'time')} into the match${during.length === 0 ? '' : ` (${during.join('; ')})`}`;
}

/** A long time as people say it: `28 min`. */
export function span(time_s: number): string {
  return time_s < 120 ? say(time_s, 'time') : `${say(time_s / 60, 'count')} min`;
}

/** A motor that no match can drive for want of a value says nothing of what it would draw. */
export function standingStill({ match }: Fight): Item[] {
  if (match.needs.length === 0) return [];
  return [
    {
      where: 'motors that stand still', verdict: 'cannot tell', measure: 'in the match', figure: undefined, limit: undefined, margin: undefined, passes: undefined, parts: [],
      says: `The match runs without them, for want of ${match.needs.join(', ')}.`, slip: false,
    },
  ];
}

/** What every answer from the match rests on. */
export function matchBasis({ record }: Fight): string[] {
  return [
    `A match of ${span(record.length_s)} ${dutyName(record)}, simulated with the pack's sag, heat, and every limit of the controllers; its energy balances.`,
    'Fights differ more than machines: the duty is what decides, and it is an assumption. Name it in the file, or play a log.',
  ];
}

/** What stands in an answer's basis of the matches behind its shares. */
export function matchSpread(fights: readonly MatchRecord[]): string {
  return fights.length === 0
    ? 'No matches of the spread were run: shares that pass are not known.'
    : `${fights.length} matches with every input drawn from its spread and the duty's events drawn anew: shares and ranges are as coarse as that number.`;
}
