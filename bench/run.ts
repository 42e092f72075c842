// Prints how long the engine and a demo's questions take, cold and warm, with the error that they achieve.
// With --record writes docs/benchmarks.md.
import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { cpus, loadavg } from 'node:os';
import { fileURLToPath } from 'node:url';
import type { Measured } from './measure.ts';
import type { MeasuredStates } from './states.ts';

const COLD_REPEATS = 3;
const rows: string[][] = [];

function row(...cells: string[]): void {
  rows.push(cells);
  console.log(cells.map((cell, k) => cell.padEnd(k === 0 ? 44 : 14)).join(' '));
}

const ms = (value: number | undefined): string => (value === undefined ? '' : `${Number(value.toPrecision(3))} ms`);

function measure(name: string, ...args: string[]): void {
  const { stdout, stderr, status } = spawnSync(process.execPath, [fileURLToPath(new URL('./measure.mjs', import.meta.url)), ...args], { encoding: 'utf8' });
  if (status !== 0) throw new Error(`${name}: ${stderr}`);
  const { cold_ms, warm_ms, least_ms, error } = JSON.parse(stdout) as Measured;
  row(name, ms(cold_ms), ms(warm_ms), ms(least_ms), error === undefined ? '' : error.toExponential(1));
}

/** Cases of a machine of eight isolators, each within its gate. */
function states(): void {
  const { stdout, stderr, status } = spawnSync(process.execPath, [fileURLToPath(new URL('./states.mjs', import.meta.url))], { encoding: 'utf8' });
  if (status !== 0) throw new Error(`states: ${stderr}`);
  for (const { what, time_ms, processor_ms, covered, solved, unsolved, gate_ms } of JSON.parse(stdout) as MeasuredStates[])
    row(`BRANCHES8: ${what}: ${covered} cases, ${solved} solved, ${unsolved} without a state of rest`, ms(time_ms), `processor ${ms(processor_ms)}`, `gate ${ms(gate_ms)}`, time_ms <= gate_ms ? 'holds' : 'MISSED');
}

/** The page in a browser: opening it, and from a value that is entered to each question's new verdict. */
function page(): void {
  const { stdout, stderr, status } = spawnSync(process.execPath, ['bench/page.mjs'], { encoding: 'utf8' });
  if (status !== 0) throw new Error(`page: ${stderr}`);
  const { first_ms, allFirst_ms, edits, longest_ms, own_kB, scripts_kB } = JSON.parse(stdout) as MeasuredPage;
  row('Page: opened to the first answer', '', '', ms(first_ms), '');
  row('Page: opened to all answers without samples', '', '', ms(allFirst_ms), '');
  row('Page: scripts of its own until then, compressed', `${Math.round(own_kB)} kB`, '', `with workers ${Math.round(scripts_kB)} kB`, '');
  row('Page: longest task on its main thread over the edits', '', '', longest_ms === 0 ? 'under 50 ms' : ms(longest_ms), '');
  for (const [id, { middle_ms, least_ms }] of Object.entries(edits).sort(([, a], [, b]) => a.least_ms - b.least_ms)) row(`Page: an edit of R1 to the new verdict of ${id}${id === 'stall' ? ', which is open' : ''}`, '', ms(middle_ms), ms(least_ms), '');
}

interface MeasuredPage {
  readonly first_ms: number;
  readonly allFirst_ms: number;
  readonly edits: Readonly<Record<string, { readonly middle_ms: number; readonly least_ms: number }>>;
  readonly longest_ms: number;
  readonly own_kB: number;
  readonly scripts_kB: number;
}

/** The quickest and the middle one of a few fresh processes. */
function askCold(name: string, args: readonly string[]): void {
  const times = Array.from({ length: COLD_REPEATS }, () => {
    const start = performance.now();
    const { status, stderr } = spawnSync(process.execPath, ['bin/ampwright.mjs', 'ask', 'machines/crush10s.yaml', ...args], { encoding: 'utf8' });
    // 1 is an answer that is bad, which it is for this machine; anything above is no answer.
    if (status !== 0 && status !== 1) throw new Error(`${name}: ${stderr}`);
    return performance.now() - start;
  }).sort((a, b) => a - b);
  row(name, ms(times[COLD_REPEATS >> 1]), '', ms(times[0]), '');
}

// A working copy builds itself when it has to; not while the clock runs.
spawnSync(process.execPath, ['bin/ampwright.mjs', '--version'], { stdio: 'ignore' });
const loadBefore = loadavg()[0]!;
row('problem', 'cold', 'warm', 'least', 'largest error');
for (const tolerance of ['0.001', '0.0001', '0.00001']) measure(`K1, tolerance ${tolerance}`, 'k1', tolerance);
for (const resistance of ['33', '68'])
  for (const tolerance of ['0.0003', '0.0001', '0.00003', '0.00001']) measure(`K2, ${resistance} Ω, tolerance ${tolerance}`, `k2-${resistance}`, tolerance);
measure('1000 samples of K2, one thread', 'samples');
measure('1000 samples of K2, two threads', 'samples-on-two-threads');
measure('CRUSH10S: one edit, stall alone, no samples', 'edit', 'stall');
measure('CRUSH10S: one edit, all questions, no samples', 'edit');
states();
askCold('CRUSH10S: ask --only stall, no samples', ['--only', 'stall', '--samples', '0']);
askCold('CRUSH10S: ask --only stall, 200 samples', ['--only', 'stall']);
askCold('CRUSH10S: ask, all questions, no samples', ['--samples', '0']);
askCold('CRUSH10S: ask, all questions, 200 samples', []);
page();

if (process.argv.includes('--record')) {
  const table = [rows[0]!, rows[0]!.map(() => '---'), ...rows.slice(1)].map((cells) => `| ${cells.join(' | ')} |`).join('\n');
  const about = [
    `Written by \`npm run bench -- --record\` on ${cpus().length} × ${cpus()[0]?.model ?? 'unknown'}, Node ${process.version}; load average before it ${loadBefore.toFixed(1)}, so ${loadBefore < 0.5 ? 'the machine was quiet' : 'other work was in the way: the least of the repeats tells more than the middle'}.`,
    'Each problem runs in a process of its own. Cold is the first run in it; warm the median, least the quickest of 60 tens after 0.6 s of warm-up, of five thousands of samples, or of eight edits. Asking is measured from start to end of the process, the middle and the quickest of three.',
    'The error is the largest over the values compared: relative, with currents and voltages below 10 A and 10 V against those. For the samples it is the difference from a run at 1e-8, over a hundred of them.',
  ].join('\n\n');
  const others =
    'For comparison, prototypes of the same methods and SUNDIALS 6.4.1 in C on this kind of machine, at an achieved error of 1e-4: K1 0.010 ms and 0.28 ms; K2 at 33 Ω 0.15 to 0.22 ms and 2.6 ms; 1,000 samples 0.23 to 0.27 s and 3.9 s.';
  writeFileSync('docs/benchmarks.md', `# Benchmarks\n\n${about}\n\n${table}\n\n${others}\n`);
}
