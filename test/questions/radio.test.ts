import { describe, expect, test } from 'vitest';
import { askQuestions } from '../../src/questions/ask.ts';
import { Asking } from '../../src/questions/asking.ts';
import { radio } from '../../src/questions/radio.ts';
import { NO_SPREAD } from '../../src/questions/spread.ts';
import { keepsTheRules } from './answer-rules.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { fightOfStudy } from './fight.ts';
import { mutated } from './mutations.ts';
import { ALL_DEMOS, DEMO_NAMES, demoText, edited, machineOf, studyOf } from './machines.ts';

const WEAK = edited(demoText('crush10s'), { 'parts.G1.cell resistance': '30 mΩ' });

describe('a pack that sags below what the converter needs', () => {
  test('loses the radio: how often, how long, at what', () => {
    const base = studyOf(WEAK);
    const { answer } = radio(base, [], []);
    const { record } = fightOfStudy(base);
    const { losses, without_s } = record.radios[0]!;
    expect(answer.verdict).toBe('bad');
    expect(losses.length).toBeGreaterThan(0);
    expect(answer.says).toContain(`Lost ${losses.length} times`);
    // Each loss lasts at least the 1.5 s that the receiver takes to come back (but for one at the very end).
    for (const { from_s, until_s } of losses) if (until_s !== undefined) expect(until_s - from_s).toBeGreaterThanOrEqual(1.5 - 1e-6);
    expect(without_s).toBeCloseTo(losses.reduce((sum, { from_s, until_s }) => sum + (until_s ?? record.length_s) - from_s, 0), 9);
    expect(answer.cautions.join()).toContain('battery of its own');
    const table = answer.evidence.find((one) => one.type === 'table')!;
    if (table.type !== 'table') throw new Error('no table');
    expect(table.rows).toHaveLength(Math.min(20, losses.length));
    keepsTheRules(answer, 'weak');
  });

  test('lower battery-current limits are advised, and hold', async () => {
    const advice = await expectAdviceToHold(WEAK, 'radio');
    expect(advice[0]!.what).toContain('battery-current limits');
  });
});

describe('the demos', () => {
  for (const name of ALL_DEMOS)
    test(`${name.toUpperCase()} keeps its radio`, () => {
      const { answer } = radio(studyOf(demoText(name)), [], []);
      expect(answer.verdict).toBe('good');
      keepsTheRules(answer, name);
    });

  test('shares come from matches of the spread', async () => {
    const text = demoText('bar3s');
    const [answer] = await askQuestions({ machine: machineOf(text), text, samples: 2, seed: 3, only: ['radio'] });
    expect(answer!.passes).toBe(1);
    keepsTheRules(answer!, 'bar3s');
  });
});

test('a machine without a receiver has no radio to lose', () => {
  const { answer } = radio(studyOf(demoText('kart16s')), [], []);
  expect(answer.says).toMatch(/no receiver/);
  expect(answer.items).toEqual([]);
});

test('what a power-up asks runs no match', async () => {
  const base = studyOf(demoText('bar3s'));
  const watched = { ...base, fought: () => { throw new Error('a match was run'); } };
  const answer = new Asking(watched).whole('stall', { seed: 1, samples: 0, spread: NO_SPREAD });
  expect(answer.id).toBe('stall');
});

describe('machines with values drawn over wide ranges, seed 20261125', () => {
  for (const name of DEMO_NAMES)
    for (let k = 0; k < 3; k++)
      test(`${name} ${k}: the questions of the match end in answers`, async () => {
        const { text } = mutated(name, 20261125, k);
        const answers = await askQuestions({ machine: machineOf(text), text, samples: 0, seed: 1, only: ['radio', 'pack', 'heat', 'overvoltage', 'turnaround'] });
        for (const answer of answers) keepsTheRules(answer, `${name} ${k}`, text);
      });
});
