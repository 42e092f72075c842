import { readyMadeDuty } from '../machine/duty/ready-made.ts';
import { readMachine } from '../machine/file/read.ts';
import { buildMatch, canFight, type MatchModel } from '../machine/match/model.ts';
import { fightSamples, type NumberedMatch } from '../machine/match/spread.ts';

/** What a thread is asked: matches of the machine in this text. */
export interface MatchTask {
  readonly text: string;
  /** Name of a ready-made duty; the machine's own when left out. */
  readonly duty: string | undefined;
  readonly seed: number;
  readonly samples: readonly number[];
}

let known: { text: string; match: MatchModel } | undefined;

/** Runs in a worker thread; keeps the machine's model between tasks. */
export function matches({ text, duty, seed, samples }: MatchTask): NumberedMatch[] {
  if (known?.text !== text) {
    const file = readMachine(text);
    if (!file.ok) throw new Error('the machine file has errors');
    const match = buildMatch(file.machine);
    if (!canFight(match)) throw new Error('the machine cannot fight');
    known = { text, match };
  }
  const { match } = known;
  return fightSamples(match, (duty === undefined ? undefined : readyMadeDuty(duty)) ?? match.machine.duty, seed, samples);
}
