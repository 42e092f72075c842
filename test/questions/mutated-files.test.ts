import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readMachine } from '../../src/machine/file/read.ts';
import type { Machine } from '../../src/machine/machine.ts';
import { askQuestions } from '../../src/questions/ask.ts';
import { QUESTION_IDS } from '../../src/questions/catalogue.ts';
import { mutate, mutation, randomFile } from '../machine/file/mutate.ts';
import { processorTime_ms } from '../processor-time.ts';
import { keepsTheRules } from './answer-rules.ts';

/** Twenty thousand with AMPWRIGHT_PROVE=1, every one that reads asked in full; otherwise a tenth is read and a fortieth of those that read is asked. */
const PROVE = process.env['AMPWRIGHT_PROVE'] === '1';
const FILES = PROVE ? 20_000 : 2000;
const ASK_EACH = PROVE ? 1 : 40;
const BLOCKS = PROVE ? 100 : 20;
const BLOCK = FILES / BLOCKS;
const SEED = 20261126;
const WITHIN_MS = 60_000;
const DEMOS = ['crush10s', 'bar3s', 'lift6s', 'trk14s', 'kart16s', 'board10s'].map((name) => readFileSync(`machines/${name}.yaml`, 'utf8'));

const mutated = fc.tuple(fc.constantFrom(...DEMOS), fc.array(mutation, { minLength: 1, maxLength: 3 })).map(([demo, mutations]) => mutations.reduce(mutate, demo));
const file = fc.oneof({ weight: 9, arbitrary: mutated }, { weight: 1, arbitrary: randomFile(DEMOS) });

describe(`${FILES} random and mutated files, seed ${SEED}`, () => {
  const counts = { files: 0, refused: 0, asked: 0, known: 0 };
  /** Machines that were asked: a file that reads as one of them, its line numbers aside, has its answers already. */
  const known = new Set<string>();
  let readable = 0;
  for (let block = 0; block < BLOCKS; block++)
    test(
      `block ${block + 1}: each ends in answers or in named errors`,
      async () => {
        const failures: string[] = [];
        for (const [k, text] of fc.sample(file, { seed: SEED + block, numRuns: BLOCK }).entries()) {
          counts.files++;
          try {
            await oneFile(text);
          } catch (error) {
            failures.push(`block ${block + 1} case ${k}: ${String(error).slice(0, 500)}`);
          }
        }
        if (PROVE) console.log(`${counts.files} of ${FILES} files: ${counts.refused} named errors, ${counts.asked} asked in full, ${counts.known} read as one of these`);
        expect(failures).toEqual([]);
      },
      BLOCK * WITHIN_MS,
    );

  async function oneFile(text: string): Promise<void> {
    const read = readMachine(text);
    if (!read.ok) {
      counts.refused++;
      expect(read.issues.length).toBeGreaterThan(0);
      for (const issue of read.issues) expect(issue.line >= 1 && issue.expected !== '' && issue.found !== '').toBe(true);
      return;
    }
    if (readable++ % ASK_EACH !== 0) return;
    const key = keyOf(read.machine);
    if (known.has(key)) {
      counts.known++;
      return;
    }
    known.add(key);
    counts.asked++;
    const begun = processorTime_ms();
    const answers = await askQuestions({ machine: read.machine, text, samples: 0, seed: 1, only: QUESTION_IDS });
    expect(processorTime_ms() - begun, 'processor time').toBeLessThan(WITHIN_MS);
    expect(answers.map(({ id }) => id)).toEqual(QUESTION_IDS);
    for (const answer of answers) keepsTheRules(answer, 'file', text);
  }

  test('some read and some do not', () => {
    expect(counts.refused).toBeGreaterThan(FILES / 4);
    expect(readable).toBeGreaterThan(FILES / 20);
  });
});

function keyOf(machine: Machine): string {
  return JSON.stringify(machine, (key, value: unknown) => (key === 'line' ? undefined : value instanceof Map ? [...value.entries()] : value));
}
