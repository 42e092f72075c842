import { existsSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import type { PairRow } from '../questions/states/failure-pairs.ts';
import type { PairTask } from './pair-worker.ts';

/** Threads that try rows of pairs. */
export interface PairThreads {
  readonly count: number;
  readonly row: (task: PairTask) => Promise<PairRow>;
  readonly close: () => Promise<void>;
}

/** Below this many cases a second thread costs more to start than it saves. */
const WORTH_A_THREAD = 20_000;

/** Worker threads for pairs of failures, one per core; undefined where they are not worth it, or not there. */
export async function pairThreads(cases: number): Promise<PairThreads | undefined> {
  const worker = new URL('./pair-worker.mjs', import.meta.url);
  const count = availableParallelism();
  if (cases < WORTH_A_THREAD || count < 2 || !existsSync(fileURLToPath(worker))) return undefined;
  const { Tinypool } = await import('tinypool');
  const pool = new Tinypool({ filename: worker.href, minThreads: count, maxThreads: count, runtime: 'worker_threads' });
  return {
    count,
    row: async (task) => (await pool.run(task, { name: 'pairRow' })) as PairRow,
    close: async () => {
      await pool.destroy();
    },
  };
}
