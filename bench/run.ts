// Prints how long the engine and a demo's questions take, cold and warm, with the error that they achieve.
// With --record writes docs/benchmarks.md.
import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { Worker } from 'node:worker_threads';
import { k1Problem, k2Problem, SpreadK2, type Problem } from './problems.ts';

const WARM_UP_MS = 600;
const SAMPLES = 1000;
const rows: string[][] = [];

function row(...cells: string[]): void {
  rows.push(cells);
  console.log(cells.map((cell, k) => cell.padEnd(k === 0 ? 44 : 14)).join(' '));
}

const ms = (value: number): string => `${Number(value.toPrecision(3))} ms`;

function measure(problem: Problem): void {
  const start = performance.now();
  let run = problem.run();
  const cold = performance.now() - start;
  const until = performance.now() + WARM_UP_MS;
  while (performance.now() < until) run = problem.run();
  const times: number[] = [];
  for (let k = 0; k < 60; k++) {
    const at = performance.now();
    for (let j = 0; j < 10; j++) run = problem.run();
    times.push((performance.now() - at) / 10);
  }
  times.sort((a, b) => a - b);
  row(`${problem.name}, tolerance ${problem.tolerance}`, ms(cold), ms(times[30]!), problem.error(run).toExponential(1));
}

row('problem', 'cold', 'warm', 'largest error');
for (const tolerance of [1e-3, 1e-4, 1e-5]) measure(k1Problem(tolerance));
for (const resistance of [33, 68] as const) for (const tolerance of [1e-4, 3e-5, 1e-5]) measure(k2Problem(resistance, tolerance));

const spread = new SpreadK2();
for (let k = 0; k < 300; k++) spread.run(k, 1e-4);
const start = performance.now();
for (let k = 0; k < SAMPLES; k++) spread.run(k, 1e-4);
const one = performance.now() - start;
let worst = 0;
for (let k = 0; k < 100; k++) worst = Math.max(worst, spread.difference(spread.run(k, 1e-4), spread.run(k, 1e-8)));
row(`${SAMPLES} samples of K2, one thread`, '', ms(one), worst.toExponential(1));

const workers = [0, 1].map(() => new Worker(new URL('./worker.mjs', import.meta.url)));
const half = (k: number): Promise<number> =>
  new Promise((resolve) => {
    workers[k]!.once('message', resolve);
    workers[k]!.postMessage({ from: (k * SAMPLES) / 2, to: ((k + 1) * SAMPLES) / 2, tolerance: 1e-4 });
  });
const firstStart = performance.now();
await Promise.all([half(0), half(1)]);
const first = performance.now() - firstStart;
const secondStart = performance.now();
await Promise.all([half(0), half(1)]);
row(`${SAMPLES} samples of K2, two threads`, ms(first), ms(performance.now() - secondStart), worst.toExponential(1));
await Promise.all(workers.map((worker) => worker.terminate()));

for (const [what, args] of [
  ['ask --only stall, no samples, cold process', ['--only', 'stall', '--samples', '0']],
  ['ask --only stall, 200 samples, cold process', ['--only', 'stall']],
  ['ask, all questions, no samples, cold process', ['--samples', '0']],
  ['ask, all questions, 200 samples, cold process', []],
] as const) {
  const at = performance.now();
  spawnSync(process.execPath, ['bin/ampwright.mjs', 'ask', 'machines/crush10s.yaml', ...args], { stdio: 'ignore' });
  row(`CRUSH10S: ${what}`, ms(performance.now() - at), '', '');
}

if (process.argv.includes('--record')) {
  const table = [rows[0]!, rows[0]!.map(() => '---'), ...rows.slice(1)].map((cells) => `| ${cells.join(' | ')} |`).join('\n');
  const about = `Written by \`npm run bench -- --record\` on ${cpus().length} × ${cpus()[0]?.model ?? 'unknown'}, Node ${process.version}.\n\nCold is the first run in its process; warm the median of 60 tens after 0.6 s of warm-up. The error is the largest over the values compared: relative, with currents and voltages below 10 A and 10 V against those. For the samples it is the difference from a run at 1e-8, over a hundred of them.\n`;
  writeFileSync('docs/benchmarks.md', `# Benchmarks\n\n${about}\n${table}\n`);
}
