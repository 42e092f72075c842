import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readMachine } from '../../src/machine/file/read.ts';
import { askQuestions, QUESTION_IDS } from '../../src/questions/ask.ts';
import { mutate, mutation } from '../machine/file/mutate.ts';
import { keepsTheRules } from './answer-rules.ts';

/** Twenty thousand with AMPWRIGHT_PROVE=1; otherwise a tenth is read and every tenth of those that read is asked. */
const PROVE = process.env['AMPWRIGHT_PROVE'] === '1';
const FILES = PROVE ? 20_000 : 2000;
const ASK_EACH = PROVE ? 1 : 12;
const BLOCK = FILES / 20;
const SEED = 20261126;
const WITHIN_MS = 30_000;
const DEMOS = ['crush10s', 'bar3s', 'lift6s', 'trk14s', 'kart16s', 'board10s'].map((name) => readFileSync(`machines/${name}.yaml`, 'utf8'));

describe(`${FILES} mutated files, seed ${SEED}`, () => {
  for (let block = 0; block < FILES / BLOCK; block++)
    test(
      `block ${block + 1}: each ends in answers or in named errors`,
      async () => {
        const cases = fc.sample(fc.tuple(fc.constantFrom(...DEMOS), fc.array(mutation, { minLength: 1, maxLength: 3 })), { seed: SEED + block, numRuns: BLOCK });
        let readable = 0;
        for (const [k, [demo, mutations]] of cases.entries()) {
          const text = mutations.reduce(mutate, demo);
          const file = readMachine(text);
          if (!file.ok) {
            expect(file.issues.length).toBeGreaterThan(0);
            for (const issue of file.issues) expect(issue.line >= 1 && issue.expected !== '' && issue.found !== '').toBe(true);
            continue;
          }
          readable++;
          if (readable % ASK_EACH !== 0) continue;
          const where = `block ${block} case ${k}`;
          const begun = performance.now();
          const answers = await askQuestions({ machine: file.machine, text, samples: 0, seed: 1, only: k % 10 === 0 ? QUESTION_IDS : ['spark', 'hold', 'stall'] }).catch((error: unknown) => {
            throw new Error(`${where} threw on\n${text}`, { cause: error });
          });
          expect(performance.now() - begun, where).toBeLessThan(WITHIN_MS);
          for (const answer of answers) keepsTheRules(answer, where);
        }
      },
      BLOCK * 1000,
    );
});
