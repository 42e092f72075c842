import { existsSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import type { MadeFile } from './made-files.ts';
import type { PapersJob } from './papers-making.ts';

/** Room for what is soon thrown away: with the usual 16 MB a tenth of the time goes into clearing up. */
const YOUNG_MB = 64;

/** Threads that make the papers of a machine each. */
export interface PapersThreads {
  readonly make: (job: PapersJob) => Promise<readonly MadeFile[]>;
  readonly close: () => Promise<void>;
}

/** Worker threads for the papers of several machines, one per core; undefined for a single one, or where they are not there. */
export async function papersThreads(machines: number): Promise<PapersThreads | undefined> {
  const worker = new URL('./papers-worker.mjs', import.meta.url);
  const threads = Math.min(machines, availableParallelism());
  if (threads < 2 || !existsSync(fileURLToPath(worker))) return undefined;
  const { Tinypool } = await import('tinypool');
  const pool = new Tinypool({ filename: worker.href, minThreads: threads, maxThreads: threads, runtime: 'worker_threads', resourceLimits: { maxYoungGenerationSizeMb: YOUNG_MB } });
  return {
    make: async (job) => (await pool.run(job, { name: 'papers' })) as readonly MadeFile[],
    close: async () => {
      await pool.destroy();
    },
  };
}
