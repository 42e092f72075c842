import { describe, expect, test } from 'vitest';
import { askQuestions } from '../../src/questions/ask.ts';
import { QUESTION_IDS, type QuestionId } from '../../src/questions/catalogue.ts';
import { processorTime_ms } from '../processor-time.ts';
import { keepsTheRules } from './answer-rules.ts';
import { ALL_DEMOS, machineOf } from './machines.ts';
import { mutated } from './mutations.ts';

/**
 * All machines and questions with AMPWRIGHT_PROVE=1; otherwise a tenth, and the first three questions but for one machine
 * of each kind, so that a run of all tests stays short.
 */
const PROVE = process.env['AMPWRIGHT_PROVE'] === '1';
const MACHINES = PROVE ? 600 : 60;
const FEW: readonly QuestionId[] = ['spark', 'hold', 'stall'];
const EACH = MACHINES / ALL_DEMOS.length;
const BLOCK = 10;
/** For one machine with two samples and all advice tried, ms of processor time. */
const WITHIN_MS = 20_000;

describe(`${MACHINES} machines with values drawn over wide ranges, seed 21`, () => {
  for (const name of ALL_DEMOS)
    for (let first = 0; first < EACH; first += BLOCK)
      test(`${name}, ${first} to ${first + BLOCK - 1}: every question is answered or refused with a cause, and no number is NaN`, async () => {
        for (let k = first; k < first + BLOCK; k++) {
          const { text, values } = mutated(name, 21, k);
          const where = `${name} ${k}`;
          const asked = PROVE || k === 0 ? QUESTION_IDS : FEW;
          const begun = processorTime_ms();
          const answers = await askQuestions({ machine: machineOf(text), text, samples: 2, seed: k, only: asked }).catch((error: unknown) => {
            throw new Error(`${where} threw with ${JSON.stringify(values)}`, { cause: error });
          });
          expect(processorTime_ms() - begun, where).toBeLessThan(WITHIN_MS);
          expect(answers.map((answer) => answer.id)).toEqual(asked);
          for (const answer of answers) keepsTheRules(answer, where);
        }
      }, BLOCK * WITHIN_MS);
});
