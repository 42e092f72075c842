import { existsSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import type { NumberedMatch } from '../machine/match/spread.ts';
import type { NumberedRecord, SamplePool } from '../questions/ask.ts';

/** Below this many samples a second thread costs more to start than it saves. */
const WORTH_A_THREAD = 40;

/**
 * Worker threads for the spread's samples, one per core. Undefined where they are not worth it, or not there
 * (the worker's file exists only beside the built command).
 */
export async function samplePool(samples: number): Promise<{ readonly pool: SamplePool; close(): Promise<void> } | undefined> {
  const worker = new URL('./sample-worker.mjs', import.meta.url);
  const threads = availableParallelism();
  if (samples < WORTH_A_THREAD || threads < 2 || !existsSync(fileURLToPath(worker))) return undefined;
  const { Tinypool } = await import('tinypool');
  const pool = new Tinypool({ filename: worker.href, minThreads: threads, maxThreads: threads, runtime: 'worker_threads' });
  return {
    pool: {
      records: async (text, seed, some) => (await pool.run({ text, seed, samples: some }, { name: 'sample' })) as NumberedRecord[],
      matches: async (text, seed, some) => (await pool.run({ text, seed, samples: some }, { name: 'fight' })) as NumberedMatch[],
    },
    close: async () => {
      await pool.destroy();
    },
  };
}
