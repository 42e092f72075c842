import { describe, expect, test } from 'vitest';
import { turnaround } from '../../src/questions/turnaround.ts';
import { external } from '../external.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { keepsTheRules } from './answer-rules.ts';
import { fightOfStudy, heldStill } from './fight.ts';
import { ALL_DEMOS, demoText, studyOf } from './machines.ts';

describe('a pack between matches', () => {
  test('at 1 C takes its used share of an hour, and twice that for what lies above 80 %', () => {
    const base = studyOf(heldStill({}).replace('capacity: 100 Ah', 'capacity: 1.5 Ah').replace('motor current: 200 A', 'motor current: 100 A'));
    const { answer } = turnaround(base, [], []);
    const { chargeAtEnd } = fightOfStudy(base).record.packs[0]!;
    const item = answer.items.find(({ where }) => where === 'G1')!;
    external({ source: 'constant current to 80 %, then twice as long; common practice, no source', what: '1.5 Ah put back at 1 C, and five minutes to get at it', expected: 3600 * (0.8 - chargeAtEnd + 2 * 0.2) + 300, got: item.figure!.value, unit: 's', relative: 1e-6, note: 'from the state of charge that the match leaves' });
    // 25.2 V times 1.5 A over 85 %.
    external({ source: 'U·I/η, textbook', what: 'charger for 6 cells of 1.5 Ah at 1 C', expected: (25.2 * 1.5) / 0.85, got: Number(/charger of about ([\d.]+) W/.exec(item.says)![1]), unit: 'W', relative: 0.03, note: 'two figures printed' });
    keepsTheRules(answer, 'held');
  });

  test('away for longer than from one match to the next, it needs a second one', () => {
    // 60 % used: 0.4·3600 + 0.6... the charge alone takes 57 min and more; a match comes every 48 min.
    const count = (capacity: string): number => turnaround(studyOf(heldStill({}).replace('capacity: 100 Ah', `capacity: ${capacity}`).replace('motor current: 200 A', 'motor current: 100 A')), [], []).answer.items.find(({ measure }) => measure === 'for a day')!.figure!.value;
    expect(count('1.5 Ah')).toBe(2);
    expect(count('20 Ah')).toBe(1);
  });
});

test('a winding that one match leaves hot asks for a rest by its time constant', () => {
  const base = studyOf(demoText('board10s'));
  const { answer } = turnaround(base, [], []);
  const { record } = fightOfStudy(base);
  const [rest] = answer.items;
  const winding = record.heats.find(({ where }) => where === rest!.parts[0])!;
  const left_K = (winding.atEnd_C - winding.atStart_C) * Math.exp((-(rest!.figure!.value + winding.hottest.time_s) * winding.conductance_W_K) / winding.capacity_J_K);
  external({ source: 'closed form of a linear lump, textbook', what: 'BOARD10S: hottest moment of the winding in the next match after the rest', expected: winding.limit_C!, got: winding.hottest.value + left_K, unit: '°C', relative: 1e-6 });
});

test('a winding that needs longer than the pause is advised a lower motor current, which holds in the file', async () => {
  // 60 A through 50 mΩ for 180 s are 32 kJ into 450 J/K, which cool with 450·3.5 s: the rest of it is for hours.
  const warm = (limit_C: number): string => heldStill({ motor: `, winding thermal resistance: 0.3 K/W, housing heat capacity: 400 J/K, housing thermal resistance: 3.2 K/W, winding limit: ${limit_C} °C` }, 180)
    .replace('motor current: 200 A', 'motor current: 60 A').replace('winding heat capacity: 1e6 J/K', 'winding heat capacity: 50 J/K');
  const hottest = fightOfStudy(studyOf(warm(300))).record.heats.find(({ where }) => where === 'M1')!.hottest.value;
  const text = warm(Math.ceil(hottest) + 1);
  const { answer } = turnaround(studyOf(text), [], []);
  expect(answer.verdict).toBe('marginal');
  expect(answer.parts).toEqual(['M1']);
  expect(answer.figure!.value).toBeGreaterThan(45 * 60);
  const [advice] = await expectAdviceToHold(text, 'turnaround');
  expect(advice).toMatchObject({ verdict: 'good', free: true, what: 'motor-current limits lowered to 45 A at T1' });
});

describe('the demos', () => {
  for (const name of ALL_DEMOS)
    test(`${name.toUpperCase()} is answered, assumptions stated`, () => {
      const { answer } = turnaround(studyOf(demoText(name)), [], []);
      expect(answer.basis.join(' ')).toMatch(/A day of 5 matches with 45 min between them, charged at 1 C/);
      expect(answer.evidence).toHaveLength(2);
      keepsTheRules(answer, name);
    });
});
