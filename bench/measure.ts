// One measurement in a process of its own, so that no other problem's code and type feedback is in its way; prints JSON.
import { readFileSync } from 'node:fs';
import { Worker } from 'node:worker_threads';
import { readMachine } from '../src/machine/file/read.ts';
import { askQuestions } from '../src/questions/ask.ts';
import { QUESTION_IDS, type QuestionId } from '../src/questions/catalogue.ts';
import { k1Problem, k2Problem, SpreadK2, type Problem } from './problems.ts';

export interface Measured {
  readonly cold_ms?: number;
  readonly warm_ms: number;
  /** The quickest of the repeats: what is left when nobody else is on the machine. */
  readonly least_ms?: number;
  readonly error?: number;
}

const WARM_UP_MS = 600;
const SAMPLES = 1000;
const TOLERANCE = 1e-4;

const median = (times: readonly number[]): number => [...times].sort((a, b) => a - b)[times.length >> 1]!;

async function timed(work: () => unknown): Promise<number> {
  const start = performance.now();
  await work();
  return performance.now() - start;
}

async function engine(problem: Problem): Promise<Measured> {
  let run: ReturnType<Problem['run']> | undefined;
  const cold_ms = await timed(() => (run = problem.run()));
  const until = performance.now() + WARM_UP_MS;
  while (performance.now() < until) run = problem.run();
  const times: number[] = [];
  for (let k = 0; k < 60; k++) {
    const start = performance.now();
    for (let j = 0; j < 10; j++) run = problem.run();
    times.push((performance.now() - start) / 10);
  }
  return { cold_ms, warm_ms: median(times), least_ms: Math.min(...times), error: problem.error(run!) };
}

async function samplesHere(): Promise<Measured> {
  const spread = new SpreadK2();
  for (let k = 0; k < 300; k++) spread.run(k, TOLERANCE);
  const times: number[] = [];
  for (let repeat = 0; repeat < 5; repeat++)
    times.push(
      await timed(() => {
        for (let k = 0; k < SAMPLES; k++) spread.run(k, TOLERANCE);
      }),
    );
  let error = 0;
  for (let k = 0; k < 100; k++) error = Math.max(error, spread.difference(spread.run(k, TOLERANCE), spread.run(k, 1e-8)));
  return { warm_ms: median(times), least_ms: Math.min(...times), error };
}

async function samplesOnTwoThreads(): Promise<Measured> {
  const workers = [0, 1].map(() => new Worker(new URL('./worker.mjs', import.meta.url)));
  const half = (k: number): Promise<number> =>
    new Promise((resolve) => {
      workers[k]!.once('message', resolve);
      workers[k]!.postMessage({ from: (k * SAMPLES) / 2, to: ((k + 1) * SAMPLES) / 2, tolerance: TOLERANCE });
    });
  const both = (): Promise<number> => timed(() => Promise.all([half(0), half(1)]));
  const cold_ms = await both();
  const times = [await both(), await both(), await both()];
  await Promise.all(workers.map((worker) => worker.terminate()));
  return { cold_ms, warm_ms: median(times), least_ms: Math.min(...times) };
}

/** A builder changes one value and looks again, without samples, in a process that has answered before. */
async function oneEdit(only: readonly QuestionId[]): Promise<Measured> {
  const original = readFileSync('machines/crush10s.yaml', 'utf8');
  const ask = async (text: string): Promise<void> => {
    const file = readMachine(text);
    if (!file.ok) throw new Error('the machine file has errors');
    await askQuestions({ machine: file.machine, text, only, samples: 0, seed: 1 });
  };
  const edited = (k: number): string => {
    const text = original.replace(/capacitance: 2000 µF/, `capacitance: ${2001 + k} µF`);
    if (text === original) throw new Error('the value to change is not in the file');
    return text;
  };
  const cold_ms = await timed(() => ask(original));
  const times: number[] = [];
  for (let k = 0; k < 8; k++) times.push(await timed(() => ask(edited(k))));
  return { cold_ms, warm_ms: median(times), least_ms: Math.min(...times) };
}

const [what, detail] = process.argv.slice(2);
const tolerance = Number(detail);
const MEASUREMENTS: Record<string, () => Promise<Measured>> = {
  k1: () => engine(k1Problem(tolerance)),
  'k2-33': () => engine(k2Problem(33, tolerance)),
  'k2-68': () => engine(k2Problem(68, tolerance)),
  samples: samplesHere,
  'samples-on-two-threads': samplesOnTwoThreads,
  edit: () => oneEdit(QUESTION_IDS.filter((id) => detail === undefined || id === detail)),
};
console.log(JSON.stringify(await MEASUREMENTS[what!]!()));
