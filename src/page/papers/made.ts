import { computed, effect, signal } from '@preact/signals';
import { asking, current, SAMPLES, SEED } from '../store/answers.ts';
import { fileName, good } from '../store/document.ts';
import { saveText } from '../store/save.ts';
import { view } from '../store/view.ts';
import { callerOf } from '../workers/caller.ts';
import type { MadePaper, MadePapers, PapersRequest } from '../workers/messages.ts';

const call = callerOf<PapersRequest, MadePapers | string | undefined>(() => new Worker(new URL('../workers/papers.worker.ts', import.meta.url), { type: 'module' }));

export const revision = signal('');
export const date = signal('');
export const size = signal<PapersRequest['size']>('A4');
/** The papers as they were made last, and from what. */
export const made = signal<MadePapers | undefined>(undefined);
export const making = signal(false);
export const trouble = signal<string | undefined>(undefined);

/** What the papers are made from; undefined where there is no machine. */
const wanted = computed((): Omit<PapersRequest, 'does'> | undefined => {
  const machine = good.value;
  if (machine === undefined) return undefined;
  const given = (text: string): string | undefined => (text.trim() === '' ? undefined : text.trim());
  return { text: machine.text, answers: current.value, samples: SAMPLES, seed: SEED, revision: given(revision.value), date: given(date.value), size: size.value };
});

let newest = 0;

// Made when they are looked at and every answer is there: a paper with half of its figures is worse than none.
effect(() => {
  const from = wanted.value;
  if (view.value !== 'papers' || from === undefined || asking.value !== undefined || from.answers.length === 0) return;
  const own = (newest += 1);
  making.value = true;
  call({ ...from, does: 'papers' })
    .then((found) => {
      if (own !== newest) return;
      made.value = typeof found === 'object' ? found : undefined;
      trouble.value = undefined;
    })
    .catch((error: unknown) => (trouble.value = String(error)))
    .finally(() => {
      if (own === newest) making.value = false;
    });
});

/** Hands the page to be shared to the browser, to be saved. */
export async function saveSharePage(): Promise<void> {
  const from = wanted.peek();
  if (from === undefined) return;
  const page = await call({ ...from, does: 'share' });
  if (typeof page === 'string') saveText(`${baseName()}-share.html`, page, 'text/html');
}

export function savePaper(paper: MadePaper): void {
  saveText(`${baseName()}-${paper.id}.html`, paper.html, 'text/html');
}

export function saveTable(paper: MadePaper): void {
  if (paper.csv !== undefined) saveText(`${baseName()}-${paper.id}.csv`, paper.csv, 'text/csv');
}

function baseName(): string {
  return fileName.peek().replace(/\.ya?ml$/i, '');
}
