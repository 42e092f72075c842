import { existsSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import type { NumberedMatch } from '../machine/match/spread.ts';
import type { MatchTask } from './match-worker.ts';

/** Threads that fight matches. */
export interface MatchThreads {
  readonly fight: (task: MatchTask) => Promise<readonly NumberedMatch[]>;
  readonly close: () => Promise<void>;
}

/** Below this many matches a second thread costs more to start than it saves. */
const WORTH_A_THREAD = 12;

/** Worker threads for many matches, one per core; undefined where they are not worth it, or not there. */
export async function matchThreads(matches: number): Promise<MatchThreads | undefined> {
  const worker = new URL('./match-worker.mjs', import.meta.url);
  const threads = availableParallelism();
  if (matches < WORTH_A_THREAD || threads < 2 || !existsSync(fileURLToPath(worker))) return undefined;
  const { Tinypool } = await import('tinypool');
  const pool = new Tinypool({ filename: worker.href, minThreads: threads, maxThreads: threads, runtime: 'worker_threads' });
  return {
    fight: async (task) => (await pool.run(task, { name: 'matches' })) as NumberedMatch[],
    close: async () => {
      await pool.destroy();
    },
  };
}
