import { mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Tinypool } from 'tinypool';
import { build } from 'vite';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { matchThreads as made } from '../../src/cli/match-threads.ts';
import type { MatchTask } from '../../src/cli/match-worker.ts';
import { readMachine } from '../../src/machine/file/read.ts';
import type { NumberedMatch } from '../../src/machine/match/spread.ts';
import { fileText } from '../machine/file/demos.ts';
import { reportOf } from './fixture.ts';
import { run } from './run.ts';

// Threads need a file that Node itself can read: the worker is built into a folder of its own.

const folder = mkdtempSync(join(tmpdir(), 'match-threads-'));
const file = join(folder, 'bar.yaml');
writeFileSync(file, fileText('machines/bar3s.yaml'));
const root = fileURLToPath(new URL('../../', import.meta.url));

beforeAll(async () => {
  await build({
    configFile: false, root, logLevel: 'silent',
    build: { ssr: true, outDir: folder, emptyOutDir: false, minify: false, rollupOptions: { input: { 'match-worker': join(root, 'src/cli/match-worker.ts'), 'match-threads': join(root, 'src/cli/match-threads.ts') }, output: { entryFileNames: '[name].mjs' } } },
  });
  symlinkSync(join(root, 'node_modules'), join(folder, 'node_modules'), 'junction');
}, 60_000);

afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

/** The command on so many threads of its own; undefined on none. */
async function onThreads(threads: number | undefined): Promise<string> {
  const used = new Set<number>();
  const matchThreads = () => {
    const pool = new Tinypool({ filename: join(folder, 'match-worker.mjs'), minThreads: threads!, maxThreads: threads!, runtime: 'worker_threads' });
    return Promise.resolve({
      fight: async (task: MatchTask) => {
        const found = (await pool.run(task, { name: 'matches' })) as NumberedMatch[];
        for (const { threadId } of pool.threads) if (threadId !== undefined) used.add(threadId);
        return found;
      },
      close: () => pool.destroy(),
    });
  };
  const { code, out } = await run(['match', file, '--json', '--matches', '16', '--seed', '5'], reportOf(), { readMachine, ...(threads === undefined ? {} : { matchThreads }) });
  expect(code).toBe(0);
  if (threads !== undefined) expect(used.size).toBe(threads);
  return out;
}

it('sixteen matches give the same numbers on no thread, on one and on two', async () => {
  const alone = await onThreads(undefined);
  const { matches } = JSON.parse(alone) as { matches: { sample: number; outcome: { status: string } }[] };
  expect(matches.map(({ sample }) => sample)).toEqual(Array.from({ length: 16 }, (_, k) => k));
  expect(matches.every(({ outcome }) => outcome.status === 'done')).toBe(true);
  expect(await onThreads(1)).toBe(alone);
  expect(await onThreads(2)).toBe(alone);
}, 60_000);

it('makes threads of its own beside a built worker, and none for a few matches', async () => {
  const { matchThreads } = (await import(join(folder, 'match-threads.mjs'))) as { readonly matchThreads: typeof made };
  expect(await matchThreads(11)).toBeUndefined();
  const threads = await matchThreads(12);
  const { availableParallelism } = await import('node:os');
  expect(threads !== undefined).toBe(availableParallelism() > 1);
  const [found] = (await threads?.fight({ text: fileText('machines/bar3s.yaml'), duty: 'gentle', seed: 1, samples: [3] })) ?? [];
  if (threads !== undefined) expect(found?.sample).toBe(3);
  await threads?.close();
}, 60_000);
