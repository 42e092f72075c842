import { readMachine } from '../../machine/file/read.ts';
import { askQuestions, firstAnswer, QUESTION_IDS, sampleHere, type AskRequest, type NumberedRecord, type QuestionId } from '../../questions/ask.ts';
import { study, type Study } from '../../questions/study.ts';
import type { AskMessage, AskReport, Stage } from './messages.ts';
import { breath, scope } from './scope.ts';

/** Samples between two looks at whether something newer is wanted. */
const SAMPLES_PER_BREATH = 2;

let newest = 0;

scope.onmessage = ({ data }) => {
  const message = data as AskMessage;
  newest = message.request;
  answer(message).catch((error: unknown) => {
    report({ request: message.request, report: 'fault', message: wordsOf(error) });
    report({ request: message.request, report: 'done' });
  });
};

function report(one: AskReport): void {
  scope.postMessage(one);
}

async function answer({ request, text, samples, seed, first }: AskMessage): Promise<void> {
  await breath();
  if (request !== newest) return;
  const file = readMachine(text);
  if (!file.ok) {
    report({ request, report: 'no machine' });
    return;
  }
  const { machine } = file;
  const order = [...QUESTION_IDS].sort((a, b) => Number(b === first) - Number(a === first));
  const base = baseOf(() => study(machine));
  const common: Omit<AskRequest, 'only'> = { machine, text, samples: 0, seed, ...(base === undefined ? {} : { base }) };
  const each = async (ids: readonly QuestionId[], stage: Stage, ask: (id: QuestionId) => Promise<AnswerList> | AnswerList): Promise<boolean> => {
    for (const id of ids) {
      try {
        for (const one of await ask(id)) report({ request, report: 'answer', answer: one, stage });
      } catch (error) {
        // One question that fails by our fault leaves the others their answers.
        report({ request, report: 'fault', message: wordsOf(error, id) });
      }
      await breath();
      if (request !== newest) return false;
    }
    return true;
  };
  if (base !== undefined && !(await each(order, 'first', (id) => [firstAnswer(base, id)]))) return;
  if (!(await each(order, 'advised', (id) => askQuestions({ ...common, only: [id] })))) return;
  if (base !== undefined && samples > 0) {
    const records: NumberedRecord[] = [];
    for (let sample = 0; sample < samples; sample += SAMPLES_PER_BREATH) {
      records.push(...sampleHere(base, seed, Array.from({ length: Math.min(SAMPLES_PER_BREATH, samples - sample) }, (_, k) => sample + k)));
      report({ request, report: 'progress', done: Math.min(samples, sample + SAMPLES_PER_BREATH), of: samples });
      await breath();
      if (request !== newest) return;
    }
    const pool = { records: (_text: string, _seed: number, some: readonly number[]) => Promise.resolve(records.filter((one) => some.includes(one.sample))) };
    if (!(await each(order, 'spread', (id) => askQuestions({ ...common, only: [id], samples, pool })))) return;
  }
  report({ request, report: 'done' });
}

function wordsOf(error: unknown, id?: string): string {
  return `${id === undefined ? '' : `${id}: `}${error instanceof Error ? error.message : String(error)}`;
}

type AnswerList = Awaited<ReturnType<typeof askQuestions>>;

/** Undefined where the numbers cannot be trusted: then each question says so itself. */
function baseOf(make: () => Study): Study | undefined {
  try {
    return make();
  } catch {
    return undefined;
  }
}
