import { expect } from 'vitest';
import { editMachine } from '../../src/machine/file/edit.ts';
import { askQuestions } from '../../src/questions/ask.ts';
import type { QuestionId } from '../../src/questions/catalogue.ts';
import type { Advice, Answer } from '../../src/questions/answer.ts';
import { machineOf } from './machines.ts';

/** Writes each advice into the file, reads it back, asks again: the same verdict, better than before. */
export async function expectAdviceToHold(text: string, id: QuestionId): Promise<readonly Advice[]> {
  const ask = async (file: string): Promise<Answer> => (await askQuestions({ machine: machineOf(file), text: file, samples: 0, seed: 1, only: [id] }))[0]!;
  const { advice, verdict } = await ask(text);
  expect(advice.length).toBeGreaterThan(0);
  for (const one of advice) {
    expect(one.verdict).not.toBe(verdict);
    expect((await ask(editMachine(text, one.edits))).verdict).toBe(one.verdict);
  }
  return advice;
}
