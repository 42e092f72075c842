import { describe, expect, test } from 'vitest';
import { heat } from '../../src/questions/heat.ts';
import { external } from '../external.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { keepsTheRules } from './answer-rules.ts';
import { fightOfStudy, heldStill } from './fight.ts';
import { ALL_DEMOS, demoText, edited, studyOf } from './machines.ts';

/** 2 mΩ of connector with 10 K/W and 60 J/K: τ = 600 s. */
function connector(limit_C: number): string {
  return heldStill({ connector: `, thermal resistance: 10 K/W, heat capacity: 60 J/K, limit temperature: ${limit_C} °C` }).replace('closed resistance: 1e-3 mΩ, thermal', 'closed resistance: 10 mΩ, thermal');
}

describe('a connector at a steady current', () => {
  test('rises by I²R·Rth·(1 − e^(−t/τ))', () => {
    const base = studyOf(connector(105));
    const item = heat(base, [], []).answer.items.find(({ where }) => where === 'X1')!;
    const current_A = fightOfStudy(base).record.packs[0]!.rms_A;
    external({ source: 'closed form of a linear lump, textbook', what: `10 mΩ at ${current_A.toPrecision(3)} A, 10 K/W and 60 J/K: hottest in 180 s`, expected: 25 + current_A ** 2 * 0.01 * 10 * (1 - Math.exp(-180 / 600)), got: item.figure!.value, unit: '°C', relative: 0.01 });
    keepsTheRules(heat(base, [], []).answer, 'connector');
  });

  test('is good, marginal or bad by its limit', () => {
    const hottest = heat(studyOf(connector(400)), [], []).answer.items.find(({ where }) => where === 'X1')!.figure!.value;
    const verdicts = [hottest - 3, hottest + 2, hottest + 60].map((limit) => heat(studyOf(connector(Math.max(40, limit))), [], []).answer.items.find(({ where }) => where === 'X1')!.verdict);
    expect(verdicts).toEqual(['bad', 'marginal', 'good']);
  });
});

test('a lead that is too thin is advised the gauge that bears it, and it holds in the file', async () => {
  const text = edited(demoText('crush10s'), { 'wiring.pack': 'from G1+, 18 AWG 0.15 m, X1, LK1, F1, to bar', 'parts.T4.motor current': '60 A', 'parts.T4.battery current': '40 A' });
  const { answer } = heat(studyOf(text), [], []);
  expect(answer.verdict).toBe('bad');
  expect(answer.parts).toEqual(['pack#0']);
  const advice = await expectAdviceToHold(text, 'heat');
  const gauge = advice.find(({ what }) => what.includes('for the lead pack'))!;
  expect(gauge.edits).toEqual([{ path: ['wiring', 'pack'], text: expect.stringMatching(/^from G1\+, \d+ AWG 0\.15 m, X1, LK1, F1, to bar$/) }]);
});

test('a second match after a short pause is never cooler than the first', () => {
  for (const name of ALL_DEMOS) {
    const { answer } = heat(studyOf(demoText(name)), [], []);
    keepsTheRules(answer, name);
    const table = answer.evidence.find((one) => one.type === 'table')!;
    if (table.type !== 'table') throw new Error('no table');
    for (const row of table.rows) {
      const [first, second, third] = [1, 5, 6].map((k) => Number.parseFloat(row[k]!));
      expect(second! >= first! && third! >= second!, row.join(' | ')).toBe(true);
    }
  }
});

test('CRUSH10S: the crusher\'s winding burns when it is held in a stall, and a lower motor current mends it', async () => {
  const text = demoText('crush10s');
  const { answer } = heat(studyOf(text), [], []);
  expect(answer.verdict).toBe('bad');
  expect(answer.parts).toEqual(['M3']);
  const [advice] = await expectAdviceToHold(text, 'heat');
  expect(advice!.free).toBe(true);
  expect(advice!.what).toMatch(/motor-current limits/);
});
