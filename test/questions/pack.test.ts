import { describe, expect, test } from 'vitest';
import { askQuestions } from '../../src/questions/ask.ts';
import { pack } from '../../src/questions/pack.ts';
import { external } from '../external.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { keepsTheRules } from './answer-rules.ts';
import { fightOfStudy, heldStill, integral } from './fight.ts';
import { ALL_DEMOS, demoText, edited, machineOf, studyOf } from './machines.ts';

const SMALL = heldStill({}).replace('capacity: 100 Ah', 'capacity: 1.5 Ah').replace('motor current: 200 A', 'motor current: 100 A');

describe('a motor held still', () => {
  test('takes I²R over the pack\'s voltage out of it', () => {
    // 100 A through 50 mΩ are 500 W; 90 kJ in 180 s. 1.5 Ah of 6 cells hold 124 kJ at the 22.9 V that they have on average.
    const base = studyOf(SMALL);
    const { answer } = pack(base, [], []);
    const { record } = fightOfStudy(base);
    const mean_V = integral(record, 'G1 voltage') / 180;
    external({ source: 'Ohm and Joule: I²R·t/U, textbook', what: '100 A through 50 mΩ for 180 s: share of 1.5 Ah used', expected: (500 * 180) / mean_V / 5400, got: 1 - answer.items.find((item) => item.where.startsWith('charge'))!.figure!.value, unit: '1', relative: 0.02, note: 'the limit of 100 A is rounded off over 1 A' });
    keepsTheRules(answer, 'held');
  });

  test('is bad when it empties the pack, and a bigger one is advised that holds', async () => {
    const text = SMALL.replace('1.5 Ah', '1.1 Ah');
    expect(pack(studyOf(text), [], []).answer.verdict).toBe('bad');
    const advice = await expectAdviceToHold(text, 'pack');
    expect(advice.map(({ what }) => what).join()).toMatch(/instead of 1\.1 Ah for G1/);
  });
});

test('charge used is the integral of the recorded current, to what thinning leaves', () => {
  const base = studyOf(demoText('crush10s'));
  const { record } = fightOfStudy(base);
  external({ source: 'trapezium rule on the recorded current', what: 'CRUSH10S: charge used in its own match', expected: integral(record, 'G1 current'), got: record.packs[0]!.used_C, unit: 'C', relative: 0.1, note: 'the curve is thinned to 1200 pieces and keeps their extremes' });
});

describe('its limits', () => {
  test('a label of less than twice the current that lasts is bad, one below the peak marginal', () => {
    const at = (rate: number) => pack(studyOf(edited(demoText('crush10s'), { 'parts.G1.label rate': `${rate}` })), [], []).answer.items.find((item) => item.where.startsWith('current'))!;
    // 73 A root mean square and 211 A at the most from 8 Ah: 18.4 C and 26.4 C.
    expect([17, 22, 40].map((rate) => at(rate).verdict)).toEqual(['bad', 'marginal', 'good']);
  });

  test('cold and aged sag more than as it is, and never decide', () => {
    const base = studyOf(demoText('crush10s'));
    const { answer } = pack(base, [], []);
    const own = answer.items.find((item) => item.where.startsWith('weakest'))!;
    const slips = answer.items.filter((item) => item.slip && item.measure === own.measure);
    expect(slips).toHaveLength(2);
    for (const slip of slips) expect(slip.figure!.value).toBeLessThan(own.figure!.value);
  });
});

describe('the demos', () => {
  for (const name of ALL_DEMOS)
    test(`${name.toUpperCase()} is answered from its match`, () => {
      const { answer } = pack(studyOf(demoText(name)), [], []);
      expect(answer.figure).toBeDefined();
      keepsTheRules(answer, name);
    });

  test('shares come from matches of the spread, and the answer says how many', async () => {
    const text = demoText('bar3s');
    const [answer] = await askQuestions({ machine: machineOf(text), text, samples: 3, seed: 3, only: ['pack'] });
    expect(answer!.basis.join(' ')).toContain('3 matches with every input drawn');
    expect(answer!.items[0]!.figure!.low).toBeLessThan(answer!.items[0]!.figure!.high);
    keepsTheRules(answer!, 'bar3s');
  });
});

test('without motors no match can be run, and it says what is needed', () => {
  const text = demoText('crush10s').replace(/ {4}drives: M[123]\n/g, '').replace(/^ {2}M[123]:[^\n]*\n(?: {4}[^\n]*\n)*/gm, '').replace(/\nduty:[\s\S]*?\n\n/, '\n\n');
  const { answer } = pack(studyOf(text), [], []);
  expect(answer).toMatchObject({ verdict: 'cannot tell', needs: ['a controller that drives a motor'] });
  keepsTheRules(answer, 'no motors');
});
