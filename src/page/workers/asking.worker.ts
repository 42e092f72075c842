import { readMachine } from '../../machine/file/read.ts';
import type { Answer } from '../../questions/answer.ts';
import { Asking, refusal } from '../../questions/asking.ts';
import { QUESTION_IDS, type QuestionId } from '../../questions/catalogue.ts';
import { MOST_MATCHES } from '../../questions/match-study.ts';
import { gatherSpread, spreadOf, type NumberedRecord, type Spread } from '../../questions/spread.ts';
import { study } from '../../questions/study.ts';
import { laneOf } from './lanes.ts';
import type { AskMessage, AskReport, RecordsMessage, Stage } from './messages.ts';
import { breath, scope } from './scope.ts';

/** Samples or matches between two looks at whether something newer is wanted. */
const PER_BREATH = 2;

let newest = 0;
/** Where the power-ups of the spread, which the other worker runs, are waited for. */
let arrived: ((records: readonly NumberedRecord[]) => void) | undefined;

scope.onmessage = ({ data }) => {
  const message = data as AskMessage | RecordsMessage;
  if ('records' in message) {
    if (message.request === newest) arrived?.(message.records);
    return;
  }
  newest = message.request;
  arrived = undefined;
  answer(message).catch((error: unknown) => {
    report({ request: message.request, report: 'fault', message: wordsOf(error) });
    report({ request: message.request, report: 'done' });
  });
};

function report(one: AskReport): void {
  scope.postMessage(one);
}

async function answer(message: AskMessage): Promise<void> {
  const { request, text, samples, seed, first, lane } = message;
  // Before anything that takes time: the records may be there first.
  const records = new Promise<readonly NumberedRecord[]>((resolve) => (arrived = resolve));
  await breath();
  if (request !== newest) return;
  const file = readMachine(text);
  if (!file.ok) {
    report({ request, report: 'no machine' });
    return;
  }
  const ids = QUESTION_IDS.filter((id) => laneOf(id) === lane).sort((a, b) => Number(b === first) - Number(a === first));
  let asking: Asking;
  try {
    asking = new Asking(study(file.machine));
  } catch (error) {
    for (const id of ids) report({ request, report: 'answer', answer: refusal(id, error), stage: 'spread' });
    report({ request, report: 'done' });
    return;
  }
  const each = async (stage: Stage, ask: (id: QuestionId) => Answer): Promise<boolean> => {
    for (const id of ids) {
      try {
        report({ request, report: 'answer', answer: ask(id), stage });
      } catch (error) {
        // One question that fails by our fault leaves the others their answers.
        report({ request, report: 'fault', message: wordsOf(error, id) });
      }
      await breath();
      if (request !== newest) return false;
    }
    return true;
  };
  // What an answer rests on is looked at only where it is open: curves are most of what would have to be handed over.
  if (!(await each('first', (id) => (id === first ? asking.first(id) : { ...asking.first(id), evidence: [] })))) return;
  if (!(await each('advised', (id) => asking.whole(id, { seed, samples: 0, spread: spreadOf([], []) })))) return;
  if (samples > 0) {
    const spread = await spreadHere(asking, message, records);
    if (spread === undefined || !(await each('spread', (id) => asking.whole(id, { seed, samples, spread })))) return;
  }
  report({ request, report: 'done' });
}

/** The spread as far as this lane looks at it; undefined when something newer is wanted. */
async function spreadHere({ base }: Asking, { request, text, samples, seed, lane }: AskMessage, elsewhere: Promise<readonly NumberedRecord[]>): Promise<Spread | undefined> {
  const here = lane === 'power-up' ? { samples, matches: 0 } : { samples: 0, matches: Math.min(samples, MOST_MATCHES) };
  const found = await gatherSpread({
    base, text, seed, ...here, each: PER_BREATH,
    goOn: async () => {
      await breath();
      return request === newest;
    },
    progress: (done, of) => {
      if (lane === 'power-up') report({ request, report: 'progress', done, of });
    },
  });
  if (found === undefined) return undefined;
  if (lane === 'power-up') {
    report({ request, report: 'records', records: found.records.map((record, k) => ({ record, sample: found.numbers[k]! })) });
    return found;
  }
  const records = await elsewhere;
  return request === newest ? { ...spreadOf(records, []), fights: found.fights } : undefined;
}

function wordsOf(error: unknown, id?: string): string {
  return `${id === undefined ? '' : `${id}: `}${error instanceof Error ? error.message : String(error)}`;
}
