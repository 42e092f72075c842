import type { Machine } from '../machine/machine.ts';
import type { Answer } from './answer.ts';
import { Asking, refusal } from './asking.ts';
import { QUESTION_IDS, QUESTIONS, type QuestionId } from './catalogue.ts';
import { MOST_MATCHES } from './match-study.ts';
import { gatherSpread, NO_SPREAD, type SamplePool, type Spread } from './spread.ts';
import { study } from './study.ts';

export interface AskRequest {
  readonly machine: Machine;
  /** Text of the machine's file: what a pool's threads read. */
  readonly text: string;
  readonly only?: readonly QuestionId[];
  readonly samples: number;
  readonly seed: number;
  readonly progress?: (done: number, of: number, what: string) => void;
  readonly pool?: SamplePool;
}

/** Asks a machine's questions. Samples are shared by all of them. */
export async function askQuestions(request: AskRequest): Promise<Answer[]> {
  const { machine, only: ids = QUESTION_IDS, samples, seed } = request;
  let asking: Asking;
  try {
    asking = new Asking(study(machine));
  } catch (error) {
    return ids.map((id) => refusal(id, error));
  }
  const spread = await spreadFor(asking, ids, request);
  return ids.map((id) => asking.whole(id, { seed, samples, spread }));
}

/** As much of the spread as these questions look at. */
async function spreadFor(asking: Asking, ids: readonly QuestionId[], { text, samples, seed, progress, pool }: AskRequest): Promise<Spread> {
  const wanted = new Set(ids.flatMap((id) => QUESTIONS[id].spread));
  if (samples === 0 || wanted.size === 0) return NO_SPREAD;
  const found = await gatherSpread({ base: asking.base, text, seed, samples: wanted.has('power-ups') ? samples : 0, matches: wanted.has('matches') ? Math.min(samples, MOST_MATCHES) : 0, progress, pool, meanwhile: withoutSpread(asking, ids) });
  return found ?? NO_SPREAD;
}

/** Everything that does not wait for the spread, one question at a time: what is worked out here is not worked out again. */
function* withoutSpread(asking: Asking, ids: readonly QuestionId[]): Iterable<QuestionId> {
  for (const id of ids) {
    asking.prepare(id);
    yield id;
  }
}
