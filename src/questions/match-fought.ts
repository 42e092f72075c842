import type { Machine } from '../machine/machine.ts';
import { buildMatch, canFight, type MatchModel } from '../machine/match/model.ts';
import type { MatchOutcome, MatchRecord } from '../machine/match/record.ts';
import { runMatch } from '../machine/match/run.ts';

/** A machine in the match of its own duty, as the file has it. */
export interface Fight {
  readonly match: MatchModel;
  /** With curves. */
  readonly record: MatchRecord;
}

/** The match of a machine, what it lacks for one, or why its numbers cannot be trusted. */
export type Fought =
  | { readonly status: 'fought'; readonly fight: Fight }
  | { readonly status: 'impossible'; readonly needs: readonly string[] }
  | { readonly status: 'refused'; readonly cause: string };

/** Seed of the events of the match that is shown. */
export const SHOWN_SEED = 1;

/** Fights the match that is shown: the machine as the file has it. */
export function fightOnce(machine: Machine): Fought {
  const match = buildMatch(machine);
  if (!canFight(match)) return { status: 'impossible', needs: match.needs };
  if (match.units.length === 0) return { status: 'impossible', needs: match.needs.length > 0 ? match.needs : ['a controller that drives a motor'] };
  if (machine.duty.events.length === 0) return { status: 'impossible', needs: ['a duty: what the machine does in a match'] };
  const outcome = runMatch(match, { seed: SHOWN_SEED, curves: true });
  return outcome.status === 'done' ? { status: 'fought', fight: { match, record: outcome.record } } : { status: 'refused', cause: causeOf(outcome) };
}

function causeOf(outcome: Extract<MatchOutcome, { status: 'refused' }>): string {
  const { cause, time, where, detail } = outcome.refusal;
  return `${cause} at ${time.toPrecision(4)} s of the match (${where}${detail === '' ? '' : `: ${detail}`})`;
}
