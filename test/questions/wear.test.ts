import { describe, expect, test } from 'vitest';
import { metalLost } from '../../src/questions/contact-judgement.ts';
import { sampleHere } from '../../src/questions/spread.ts';
import { spark } from '../../src/questions/spark.ts';
import { wear } from '../../src/questions/wear.ts';
import { external } from '../external.ts';
import { keepsTheRules } from './answer-rules.ts';
import { ALL_DEMOS, demoText, edited, studyOf } from './machines.ts';

describe('metal that a closing takes', () => {
  test('of copper that carries 150 A: ten square millimetres, a tenth of a millimetre deep', () => {
    // 1 mm³ of copper is 8.96 mg. One coulomb through arcs takes 1 µg in a quiet arc (Holm, from memory: an order of
    // magnitude) and 115 µg in a vacuum arc (Kimblin, J. Appl. Phys. 44 (1973), from memory).
    const { worn } = metalLost({ melting_J: 0, arc_C: 1 }, { metal: 'copper', rating_A: 150 });
    external({ source: 'Holm, Electric Contacts; density of copper', note: 'from memory, an order of magnitude', what: 'share of 1 mm³ of copper that 1 C takes at the least', expected: 1e-6 / 8.96e-3, got: worn.low, unit: '1', relative: 0.01 });
    external({ source: 'Kimblin, J. Appl. Phys. 44 (1973)', note: 'from memory, an order of magnitude', what: 'share of 1 mm³ of copper that 1 C takes at the most', expected: 115e-6 / 8.96e-3, got: worn.high, unit: '1', relative: 0.01 });
    expect(worn.middle ** 2 / (worn.low * worn.high)).toBeCloseTo(1, 9);
  });

  test('by melting goes with the heat to the melting point and of melting', () => {
    // Copper: 8960 kg/m³ · (440 J/kgK · 1063 K + 205 kJ/kg) = 6.03 GJ/m³ (handbook values, from memory): 1 mm³ takes 6.03 J.
    const { worn } = metalLost({ melting_J: 6.03, arc_C: 0 }, { metal: 'copper', rating_A: 150 });
    external({ source: 'handbook heats of copper', note: 'from memory', what: 'share of 1 mm³ of copper that 6.03 J melt', expected: 1, got: worn.middle, unit: '1', relative: 0.02 });
  });
});

describe('how long contacts last', () => {
  test('agrees with what spark says of each closing', () => {
    const base = studyOf(demoText('crush10s'));
    const { answer } = wear(base, []);
    const first = answer.items.find(({ parts }) => parts.includes('Q1'))!;
    // A tenth of a millimetre in 90 closings: spark calls fewer than 200 bad.
    expect(first.verdict).toBe('bad');
    expect(spark(base, []).answer.items.find(({ where }) => where.includes('Q1 to ON'))!.verdict).toBe('bad');
  });

  test('doubles with twice the face, and a soft start that finishes mends it', () => {
    const worn = (values: Readonly<Record<string, string>>): number => wear(studyOf(edited(demoText('crush10s'), values)), []).answer.items.find(({ parts }) => parts.includes('Q1'))!.figure!.value;
    expect(worn({ 'parts.Q1.rating': '100 A', 'parts.Q1.make current': '600 A' }) / worn({ 'parts.Q1.rating': '200 A', 'parts.Q1.make current': '600 A' })).toBeCloseTo(2, 6);
    expect(worn({ 'parts.R1.resistance': '22 Ω' })).toBeLessThan(worn({}) / 5);
  });

  for (const name of ALL_DEMOS)
    test(`${name} keeps the rules, with samples and without`, () => {
      const base = studyOf(demoText(name));
      const { answer } = wear(base, []);
      keepsTheRules(answer, name);
      const records = sampleHere(base, 3, [0, 1, 2, 3, 4, 5]).map(({ record }) => record);
      const spread = wear(base, records);
      keepsTheRules(spread.answer, name);
      expect(spread.answer.items.map(({ where }) => where)).toEqual(answer.items.map(({ where }) => where));
      if (answer.items.length > 0) expect(spread.drawn).toHaveLength(records.length);
    });
});
