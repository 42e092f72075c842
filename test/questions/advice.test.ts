import { describe, expect, test } from 'vitest';
import { editMachine } from '../../src/machine/file/edit.ts';
import type { Verdict } from '../../src/questions/answer.ts';
import { askQuestions } from '../../src/questions/ask.ts';
import type { QuestionId } from '../../src/questions/catalogue.ts';
import { demoText, edited, machineOf } from './machines.ts';

const RANK: Record<Verdict, number> = { good: 0, marginal: 1, 'cannot tell': 2, bad: 3 };
/** The questions whose candidates are a longer count, a smaller resistor, and loads held off. */
const POWER_UP: readonly QuestionId[] = ['spark', 'hold', 'stall'];
const crush = demoText('crush10s');
const lift = demoText('lift6s');

/** The drive of CRUSH10S without its converter and what hangs on it. */
function withoutConverter(text: string): string {
  const gone = /^ {2}(T3|T5|K1|T6|M4|logic|radio|servo supply|servo|services):/;
  const lines = text.split('\n');
  const kept: string[] = [];
  let dropping = false;
  for (const line of lines) {
    if (gone.test(line)) dropping = true;
    else if (!/^ {4}\S/.test(line)) dropping = false;
    if (!dropping) kept.push(line);
  }
  return kept.join('\n').replace(/signal grounds:\n( {2}.*\n)+/, '').replace(/^ {2}- \{ do: servo.*\n/m, '');
}

const CASES: readonly { readonly name: string; readonly text: string; readonly advised: boolean }[] = [
  { name: 'crush10s', text: crush, advised: true },
  { name: 'crush10s, R1 68 Ω', text: edited(crush, { 'parts.R1.resistance': '68 Ω' }), advised: true },
  { name: 'crush10s, R1 47 Ω', text: edited(crush, { 'parts.R1.resistance': '47 Ω' }), advised: true },
  { name: 'crush10s, R1 10 Ω', text: edited(crush, { 'parts.R1.resistance': '10 Ω' }), advised: false },
  { name: 'crush10s, converter starts at 20 V', text: edited(crush, { 'parts.T3.start': '20 V' }), advised: true },
  { name: 'crush10s, counts to a tenth of a second', text: edited(crush, { 'parts.R1.resistance': '10 Ω', 'procedure.3': 'wait 0.1 s' }), advised: true },
  { name: 'crush10s without the converter', text: withoutConverter(crush), advised: false },
  { name: 'lift6s', text: lift, advised: false },
  { name: 'lift6s, R1 220 Ω', text: edited(lift, { 'parts.R1.resistance': '220 Ω' }), advised: true },
  { name: 'lift6s, pressed for 30 ms', text: edited(lift, { 'procedure.3': 'wait 0.03 s' }), advised: true },
  { name: 'bar3s', text: demoText('bar3s'), advised: false },
];

describe('advice', () => {
  for (const { name, text, advised } of CASES)
    test(`of ${name}: its edits, made in the file and read again, give the verdict that it promised`, async () => {
      const answers = await askQuestions({ machine: machineOf(text), text, samples: 0, seed: 1, only: POWER_UP });
      const advice = answers.flatMap((answer) => answer.advice.map((entry) => ({ answer, entry })));
      if (answers.every((answer) => answer.verdict === 'good')) expect(advice).toEqual([]);
      expect(advice.length > 0, answers.map((a) => `${a.id} ${a.verdict}`).join()).toBe(advised);
      for (const { answer, entry } of advice) {
        expect(entry.edits.length, entry.what).toBeGreaterThan(0);
        const changed = editMachine(text, entry.edits);
        expect(changed).not.toBe(text);
        const [again] = await askQuestions({ machine: machineOf(changed), text: changed, samples: 0, seed: 1, only: [answer.id as QuestionId] });
        expect(again!.verdict, `${answer.id}: ${entry.what}`).toBe(entry.verdict);
        expect(RANK[entry.verdict], `${answer.id}: ${entry.what}`).toBeLessThan(RANK[answer.verdict]);
      }
      for (const answer of answers) {
        // Free changes first, the better verdict first among equals.
        const order = answer.advice.map((entry) => (entry.free ? 0 : 10) + RANK[entry.verdict]);
        expect(order).toEqual([...order].sort((a, b) => a - b));
      }
    });

  test('for the hang of crush10s names a smaller resistor and holding the converter off', async () => {
    const answers = await askQuestions({ machine: machineOf(crush), text: crush, samples: 0, seed: 1, only: ['stall'] });
    const paths = answers[0]!.advice.map((entry) => entry.edits.map((edit) => edit.path.join('.')).join());
    expect(paths).toEqual(expect.arrayContaining(['parts.R1.resistance', 'parts.T3.waits for']));
    const resistor = answers[0]!.advice.find((entry) => entry.edits[0]!.path.includes('resistance'))!;
    // 38.0 ohms pass (algebra of the balance); a preferred value well below.
    expect(Number.parseFloat(resistor.edits[0]!.text)).toBeLessThan(0.85 * 38);
    expect(resistor.caution).toContain('short');
  });

  test('for a count that is too short is to count longer, and free', async () => {
    const short = edited(crush, { 'parts.R1.resistance': '10 Ω', 'procedure.3': 'wait 0.04 s' });
    const [answer] = await askQuestions({ machine: machineOf(short), text: short, samples: 0, seed: 1, only: ['hold'] });
    expect(answer!.verdict).toBe('bad');
    expect(answer!.advice[0]).toMatchObject({ free: true, verdict: 'good', edits: [{ path: ['procedure', 3] }] });
  });
});
