import type { Machine } from '../machine/machine.ts';
import { buildMatch, canFight, type MatchModel } from '../machine/match/model.ts';
import type { MatchOutcome, MatchRecord } from '../machine/match/record.ts';
import { runMatch } from '../machine/match/run.ts';

/** A match of the demos takes about seven thousand steps, and less than a tenth of a second. */
const MOST_STEPS = 40_000;

/** A machine in the match of its own duty, as the file has it. */
export class Fight {
  private readonly others = new Map<string, MatchRecord | undefined>();

  /** @param record  with curves where they were asked for */
  constructor(readonly match: MatchModel, readonly record: MatchRecord) {}

  /** Whether it takes seconds to fight, as where a converter fails and tries again all the time: nothing is tried on such a machine. */
  get slow(): boolean {
    return this.record.statistics.steps > MOST_STEPS;
  }

  /** The match with some values changed, fought once for each name; undefined when it is refused. */
  again(name: string, change: (values: Float64Array) => void): MatchRecord | undefined {
    if (!this.others.has(name)) {
      const values = this.match.inputs.nominal();
      change(values);
      const outcome = runMatch(this.match, { seed: SHOWN_SEED, values });
      this.others.set(name, outcome.status === 'done' ? outcome.record : undefined);
    }
    return this.others.get(name);
  }
}

/** The match of a machine, what it lacks for one, or why its numbers cannot be trusted. */
export type Fought =
  | { readonly status: 'fought'; readonly fight: Fight }
  | { readonly status: 'impossible'; readonly needs: readonly string[] }
  | { readonly status: 'refused'; readonly cause: string };

/** Seed of the events of the match that is shown. */
export const SHOWN_SEED = 1;

/** A machine before its match, or what it lacks for one. */
export type Entered = { readonly status: 'ready'; readonly match: MatchModel } | { readonly status: 'impossible'; readonly needs: readonly string[] };

/** Makes a machine ready for the match of its own duty. */
export function enter(machine: Machine): Entered {
  const match = buildMatch(machine);
  if (!canFight(match)) return { status: 'impossible', needs: match.needs };
  if (match.units.length === 0) return { status: 'impossible', needs: match.needs.length > 0 ? match.needs : ['a controller that drives a motor'] };
  if (machine.duty.events.length === 0) return { status: 'impossible', needs: ['a duty: what the machine does in a match'] };
  return { status: 'ready', match };
}

/** Fights the match that is shown: the machine as the file has it. Without curves it takes three quarters of the time. */
export function fightOnce(entered: Entered, curves: boolean): Fought {
  if (entered.status === 'impossible') return entered;
  const { match } = entered;
  const outcome = runMatch(match, { seed: SHOWN_SEED, curves });
  return outcome.status === 'done' ? { status: 'fought', fight: new Fight(match, outcome.record) } : { status: 'refused', cause: causeOf(outcome) };
}

function causeOf(outcome: Extract<MatchOutcome, { status: 'refused' }>): string {
  const { cause, time, where, detail } = outcome.refusal;
  return `${cause} at ${time.toPrecision(4)} s of the match (${where}${detail === '' ? '' : `: ${detail}`})`;
}
