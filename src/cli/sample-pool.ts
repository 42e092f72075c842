import { existsSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import type { NumberedMatch } from '../machine/match/spread.ts';
import type { NumberedRecord, SamplePool } from '../questions/spread.ts';

/** Resolves once what has come in from other threads has been heard. */
const breath = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/** Room for what a sample leaves behind: with the usual 16 MB a twentieth of the time goes into clearing up. */
const YOUNG_MB = 64;

/** Pieces of work that may wait at a thread. */
const WAITING = 8;

/** Below this many samples a second thread costs more to start than it saves. */
const WORTH_A_THREAD = 40;

/**
 * Worker threads for the spread's samples, one for each core but that on which this program runs. Undefined where they are not worth it, or not there
 * (the worker's file exists only beside the built command).
 */
export async function samplePool(samples: number): Promise<{ readonly pool: SamplePool; close(): Promise<void> } | undefined> {
  const worker = new URL('./sample-worker.mjs', import.meta.url);
  const threads = availableParallelism() - 1;
  if (samples < WORTH_A_THREAD || threads < 1 || !existsSync(fileURLToPath(worker))) return undefined;
  const { Tinypool } = await import('tinypool');
  const pool = new Tinypool({ filename: worker.href, minThreads: threads, maxThreads: threads, concurrentTasksPerWorker: WAITING, runtime: 'worker_threads', resourceLimits: { maxYoungGenerationSizeMb: YOUNG_MB } });
  return {
    pool: {
      hands: threads,
      breath,
      records: async (text, seed, some) => (await pool.run({ text, seed, samples: some }, { name: 'sample' })) as NumberedRecord[],
      matches: async (text, seed, some) => (await pool.run({ text, seed, samples: some }, { name: 'fight' })) as NumberedMatch[],
    },
    close: async () => {
      await pool.destroy();
    },
  };
}
