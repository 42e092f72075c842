import type { Extreme, MatchRecord } from '../machine/match/record.ts';
import { fightSamples, type NumberedMatch } from '../machine/match/spread.ts';
import type { Item } from './answer.ts';
import type { Fight, Fought } from './match-fought.ts';
import { dutyName } from './match-loads.ts';
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
export function matchBasis({ record, slow }: Fight): string[] {
  return [
    ...(slow ? ['Something in this machine switches on and off all through the match, and fighting it takes seconds: no changes and no other situations were tried on it.'] : []),
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
