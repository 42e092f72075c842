import { batch, computed, effect, signal } from '@preact/signals';
import type { Answer } from '../../questions/answer.ts';
import { Askers, type Told } from '../workers/askers.ts';
import type { Stage } from '../workers/messages.ts';
import { placeOf } from './day.ts';
import { opened, text } from './document.ts';
import { openQuestion } from './view.ts';

/** An answer with how far it has come. */
export interface Shown {
  readonly answer: Answer;
  readonly stage: Stage;
  /** Belongs to the machine before the last edit. */
  readonly stale: boolean;
  /** Verdict of the same question before the edit, where the edit changed it. */
  readonly was: Answer['verdict'] | undefined;
}

export const SAMPLES = 200;
export const SEED = 1;

export const answers = signal<ReadonlyMap<string, Shown>>(new Map());
export const asking = signal<{ readonly done: number; readonly of: number } | 'answers' | undefined>(undefined);
/** A fault of the program while it answered. */
export const fault = signal<string | undefined>(undefined);
/** Answers as the machine stands, in the order of the questions. */
export const current = computed(() => [...answers.value.values()].map(({ answer }) => answer));

const askers = new Askers(take);
let last = 0;

// Not held up by anything else that wants the text read; the worker finds out by itself whether it is a machine.
effect(() => {
  const now = text.value;
  if (opened.value !== last) answers.value = new Map();
  last = opened.value;
  if (now !== '') ask(now);
});

/** Asks everything anew, first what the user looks at. */
function ask(now: string): void {
  const first = openQuestion.peek();
  batch(() => {
    answers.value = new Map([...answers.peek()].map(([id, shown]) => [id, { ...shown, stale: true, was: undefined }]));
    asking.value = 'answers';
    fault.value = undefined;
  });
  askers.ask({ text: now, samples: SAMPLES, seed: SEED, ...(first === undefined ? {} : { first }) });
}

/** Stops the samples: what has been answered stays. */
export function stopAsking(): void {
  asking.value = undefined;
  askers.stop();
}

/** Loads the workers before there is something to ask. */
export function warmUp(): void {
  askers.warmUp();
}

function take(report: Told): void {
  switch (report.report) {
    case 'answer':
      keep(report.answer, report.stage);
      return;
    case 'progress':
      asking.value = { done: report.done, of: report.of };
      return;
    case 'done':
      asking.value = undefined;
      return;
    case 'fault':
      fault.value = report.message;
  }
}

function keep(answer: Answer, stage: Stage): void {
  // For whoever measures how quickly answers come.
  performance.mark(`answer ${stage}`, { detail: answer.id });
  const before = answers.peek().get(answer.id);
  const earlier = before?.stale === true ? before.answer.verdict : before?.was;
  const was = earlier === answer.verdict ? undefined : earlier;
  const next = new Map(answers.peek()).set(answer.id, { answer, stage, stale: false, was });
  answers.value = new Map([...next].sort(([a], [b]) => placeOf(a) - placeOf(b)));
}
