import { batch, computed, signal } from '@preact/signals';
import { fingerprint } from '../../machine/file/fingerprint.ts';
import type { Machine } from '../../machine/machine.ts';
import { shippedRules } from '../../machine/rules/shipped.ts';
import type { Answer } from '../../questions/answer.ts';
import type { Paper } from '../../sheets/document/document.ts';
import { comparison } from '../../sheets/share/compare.ts';
import type { PaperSource } from '../../sheets/source.ts';
import { answers, SAMPLES, SEED, type Shown } from '../store/answers.ts';
import { bench } from '../store/bench.ts';
import { placeOf } from '../store/day.ts';
import { good } from '../store/document.ts';
import { Askers, type Told } from '../workers/askers.ts';
import type { Stage } from '../workers/messages.ts';

/** The version that the present one is compared with. */
export interface Other {
  readonly name: string;
  readonly text: string;
  readonly machine: Machine;
}

export const other = signal<Other | undefined>(undefined);
/** Why what was chosen cannot be compared. */
export const trouble = signal<string | undefined>(undefined);

const otherAnswers = signal<ReadonlyMap<string, { readonly answer: Answer; readonly stage: Stage }>>(new Map());
export const otherProgress = signal<{ readonly done: number; readonly of: number } | undefined>(undefined);

const askers = new Askers(take);

/** Takes a text to compare with, and asks it the same questions with the same samples. */
export async function compareWith(text: string, name: string): Promise<void> {
  const file = await bench({ does: 'read', text });
  if (!file.ok) {
    const [issue] = file.issues;
    trouble.value = `${name} is no machine file${issue === undefined ? '' : `: line ${issue.line}: expected ${issue.expected}, found ${issue.found}`}.`;
    return;
  }
  batch(() => {
    trouble.value = undefined;
    other.value = { name, text, machine: file.machine };
    otherAnswers.value = new Map();
    otherProgress.value = undefined;
  });
  askers.ask({ text, samples: SAMPLES, seed: SEED });
}

/** Ends the comparison and its computing. */
export function stopComparing(): void {
  askers.stop();
  batch(() => {
    other.value = undefined;
    otherAnswers.value = new Map();
    otherProgress.value = undefined;
  });
}

function take(report: Told): void {
  switch (report.report) {
    case 'answer':
      otherAnswers.value = new Map(otherAnswers.peek()).set(report.answer.id, { answer: report.answer, stage: report.stage });
      return;
    case 'progress':
      otherProgress.value = { done: report.done, of: report.of };
      return;
    case 'fault':
      trouble.value = report.message;
      return;
    case 'done':
      otherProgress.value = undefined;
  }
}

/** Answers of both versions that have come equally far: a spread that only one of them has had would look like a change. */
const pairs = computed(() => {
  const both = [...answers.value.values()].flatMap((now): { now: Shown; before: Answer }[] => {
    const before = otherAnswers.value.get(now.answer.id);
    return before === undefined || now.stale || (before.stage === 'spread') !== (now.stage === 'spread') ? [] : [{ now, before: before.answer }];
  });
  return both.sort((a, b) => placeOf(a.now.answer.id) - placeOf(b.now.answer.id));
});

/** Questions that one of the versions has not answered as far as the other. */
export const pending = computed(() => answers.value.size - pairs.value.length);

/** A changed or unchanged answer, with its words for both versions. */
export interface ChangedAnswer {
  readonly question: string;
  readonly was: { readonly verdict: string; readonly words: string };
  readonly is: { readonly verdict: string; readonly words: string };
  readonly changed: boolean;
}

/** What the paper about changes says. */
export const compared = computed((): { readonly paper: Paper; readonly answers: readonly ChangedAnswer[] } | undefined => {
  const [before, now] = [other.value, good.value];
  if (before === undefined || now === undefined) return undefined;
  const found = pairs.value;
  const paper = comparison(
    source(before.machine, before.text, found.map((pair) => pair.before)),
    source(now.machine, now.text, found.map((pair) => pair.now.answer)),
  );
  const [table] = paper.blocks;
  const rows = table?.type === 'table' ? table.rows : [];
  return {
    paper: { ...paper, blocks: paper.blocks.slice(1) },
    answers: rows.map(([question = '', was = '', wasWords = '', is = '', isWords = '', changed = '']) => ({ question, was: { verdict: was, words: wasWords }, is: { verdict: is, words: isWords }, changed: changed === 'yes' })),
  };
});

function source(machine: Machine, text: string, given: readonly Answer[]): PaperSource {
  const stamp = { machine: machine.name, revision: undefined, date: undefined, fingerprint: fingerprint(text), version: __VERSION__ };
  return { machine, text, stamp, seed: SEED, samples: SAMPLES, answers: given, rules: shippedRules(), sheets: [] };
}
