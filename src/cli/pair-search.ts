import { setImmediate } from 'node:timers/promises';
import { byRank, type PairFound, type PairRow, type PairSearch } from '../questions/states/failure-pairs.ts';
import type { PairThreads } from './pair-threads.ts';
import { progressLine } from './progress.ts';
import type { Services } from './services.ts';

/** How far a search over pairs came, and what it found. */
export interface PairsTried {
  readonly done: number;
  readonly of: number;
  readonly covered: number;
  readonly solved: number;
  readonly unsolved: number;
  /** The worst first. */
  readonly found: readonly PairFound[];
}

/**
 * Tries all pairs, on as many threads as there are, until done or until the user presses Ctrl-C. Row by row, and every row
 * gives the same wherever it runs, so that the outcome does not depend on the threads.
 */
export async function searchPairs(search: PairSearch, text: string, { terminal, pairThreads, onInterrupt }: Services): Promise<PairsTried> {
  const rows: PairRow[] = [];
  let done = 0;
  let stopped = false;
  const restore = onInterrupt?.(() => {
    stopped = true;
  });
  const progress = progressLine(terminal);
  const threads = await pairThreads?.(search.of * (search.states.length + 1));
  let next = 0;
  const work = async (row: (first: number) => Promise<PairRow>): Promise<void> => {
    while (next < search.rows && !stopped) {
      const tried = await row(next++);
      rows.push(tried);
      done += tried.pairs;
      progress.show(done, search.of, 'pairs of failures');
    }
  };
  try {
    if (threads === undefined) await work((first) => here(search, first));
    // Two rows a thread under way, so that none waits for its next one.
    else await Promise.all(Array.from({ length: 2 * threads.count }, () => work((row) => onThread(threads, text, row))));
  } finally {
    restore?.();
    progress.clear();
    await threads?.close();
  }
  const sum = (of: (row: PairRow) => number): number => rows.reduce((total, row) => total + of(row), 0);
  return { done, of: search.of, covered: sum((row) => row.covered), solved: sum((row) => row.solved), unsolved: sum((row) => row.unsolved), found: byRank(search, rows.flatMap((row) => row.found)) };
}

/** Lets Ctrl-C be heard between rows. */
async function here(search: PairSearch, first: number): Promise<PairRow> {
  await setImmediate();
  return search.row(first);
}

function onThread(threads: PairThreads, text: string, row: number): Promise<PairRow> {
  return threads.row({ text, row });
}
