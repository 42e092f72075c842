import { describe, expect, test } from 'vitest';
import type { Answer } from '../../src/questions/answer.ts';
import { mass } from '../../src/questions/mass.ts';
import { external } from '../external.ts';
import { keepsTheRules } from './answer-rules.ts';
import { ALL_DEMOS, demoText, edited, plainMachine, studyOf } from './machines.ts';

const PLAIN = plainMachine({ cells: 6, resistance_ohm: 22, controllers: [{ capacitance_F: 1e-3, standby_A: 0.03, above_V: 6 }], converters: [] });

const of = (values: Readonly<Record<string, string>> = {}): Answer => mass(studyOf(edited(PLAIN, values)), []).answer;

function item(answer: Answer, words: string) {
  const found = answer.items.find(({ where }) => where.includes(words));
  if (found === undefined) throw new Error(`no item ${words}`);
  return found;
}

describe('what a power system weighs', () => {
  test('leads: copper by the metre, out and back, and their jackets', () => {
    // Two leads of 35 mm² and 0.10 m out and back are 0.4 m: 35 mm² · 0.4 m · 8.89 g/cm³ (NBS Handbook 100) · 1.02 for the lay.
    const copper_kg = 35e-6 * 0.4 * 8890 * 1.02;
    const leads = item(of(), 'leads');
    expect(leads.figure!.value).toBeGreaterThan(copper_kg);
    external({ source: 'NBS Handbook 100 (1966): density of annealed copper 8.89 g/cm³; IEC 60228 class 5 cable of 35 mm² weighs about 0.38 to 0.42 kg/m with its jacket (makers\' lists, from memory)', what: 'copper and jacket of 0.4 m of 35 mm²', expected: 0.4 * 0.4, got: leads.figure!.value, unit: 'kg', relative: 0.15 });
  });

  test('a stated mass goes before an estimate, and nothing weighed is a guess', () => {
    const weighed = of({ 'parts.G1.mass': '2.5 kg', 'parts.T1.mass': '0.2 kg' });
    expect(item(weighed, 'G1').figure!.value).toBe(2.5);
    expect(weighed.verdict).toBe('good');
    expect(weighed.needs).toEqual([]);
    const unknown = of();
    expect(unknown.verdict).toBe('cannot tell');
    expect(unknown.needs).toEqual(['mass of T1']);
    expect(unknown.says).toContain('At least');
  });

  test('a pack of 20 Ah and six cells is energy over energy density, a class default with its spread', () => {
    // 6 · 3.7 V · 20 Ah = 444 Wh; lithium-polymer packs of the trade have 120 to 180 Wh/kg (common practice, no source).
    const pack = item(of(), 'G1').figure!;
    expect(pack.value).toBeGreaterThan(444 / 180);
    expect(pack.value).toBeLessThan(444 / 120);
    expect(pack.low).toBeLessThan(pack.value);
    expect(pack.high).toBeGreaterThan(pack.value);
  });

  test('the sum is that of its parts, and the share is of the machine', () => {
    const answer = of({ 'parts.G1.mass': '2 kg', 'parts.T1.mass': '0.5 kg' });
    const leads = item(answer, 'leads').figure!.value;
    expect(answer.figure!.value).toBeCloseTo(2.5 + leads, 12);
    expect(answer.says).toContain(`${Math.round(10 * (2.5 + leads))} %`);
  });

  for (const name of ALL_DEMOS)
    test(`${name} keeps the rules`, () => {
      const { answer } = mass(studyOf(demoText(name)), []);
      keepsTheRules(answer, name);
      expect(answer.advice).toEqual([]);
    });
});
