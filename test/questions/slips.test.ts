import { describe, expect, test } from 'vitest';
import type { Item } from '../../src/questions/answer.ts';
import { spark } from '../../src/questions/spark.ts';
import { studySlips } from '../../src/questions/slips.ts';
import { editMachine } from '../../src/machine/file/edit.ts';
import { external } from '../external.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { demoText, edited, machineOf, plainMachine, studyOf } from './machines.ts';

const crush = demoText('crush10s');
const lift = demoText('lift6s');

function slipsOf(text: string): ReturnType<typeof studySlips> {
  return studySlips(studyOf(text));
}

function itemOf(items: readonly Item[], where: string): Item {
  const found = items.find((item) => item.where.startsWith(where));
  if (found === undefined) throw new Error(`no slip ${where} in ${items.map((item) => item.where).join(' | ')}`);
  return found;
}

describe('slips of lift6s', () => {
  const { items, harmless } = slipsOf(lift);

  test('the loops spark that find an empty bank behind them', () => {
    // All of the pack, 25.2 V by the file, is missing where nothing has been charged.
    for (const where of ['main loop LK1 closes without its soft start', '“insert LK2” forgotten and done at the end']) {
      const item = itemOf(items, where);
      expect(item.verdict).not.toBe('good');
      expect(item.slip).toBe(true);
      expect(Math.abs(item.figure!.value - 25.2)).toBeLessThan(0.1);
    }
    expect(itemOf(items, '“insert LK2” forgotten').where).toContain('lifter loop LK2 closes');
    expect(itemOf(items, '“press S1” before “insert LK2”').parts).toEqual(['LK2']);
    expect(itemOf(items, '“release S1” before “insert LK1”').parts).toEqual(['LK1']);
  });

  test('a short count does no harm: 22 ohms fill 3.1 mF in a fifteenth of the count', () => {
    for (const words of ['main loop LK1 closes after half the count', 'soft-start button S1 let go half-way and tried again at once', 'soft-start button S1 stuck closed before the first step']) expect(harmless).toContain(words);
  });

  test('they stand in the answer behind what was asked, do not decide it, and the harmless ones in one line', () => {
    const { answer } = spark(studyOf(lift), []);
    expect(answer.verdict).toBe('good');
    const first = answer.items.findIndex((item) => item.slip);
    expect(answer.items.slice(first)).toEqual(items);
    expect(answer.notAProblem.filter((line) => line.startsWith('Harmless: '))).toEqual([`Harmless: ${harmless.join('; ')}`]);
  });
});

describe('slips of crush10s', () => {
  const { items, harmless } = slipsOf(crush);

  test('the main link sparks when an isolator is left at ON, and not when it is left at CHARGE', () => {
    for (const isolator of ['drive isolator Q1', 'arm isolator Q2']) {
      const item = itemOf(items, `${isolator} left or welded at ON before the first step: main link LK1 closes`);
      expect(item.verdict).toBe('bad');
      expect(Math.abs(item.figure!.value - 42)).toBeLessThan(0.1);
    }
    expect(harmless).toContain('drive isolator Q1 left or welded at CHARGE before the first step');
  });

  test('each branch sparks without its soft start; a short count of the arm does not', () => {
    for (const where of ['drive isolator Q1 to ON without its soft start', 'arm isolator Q2 to ON without its soft start']) expect(itemOf(items, where).verdict).toBe('bad');
    expect(harmless).toEqual(expect.arrayContaining(['arm isolator Q2 to ON after half the count']));
  });

  test('at most eight, the worst first', () => {
    expect(items.length).toBeLessThanOrEqual(8);
    const rank = items.map((item) => ['good', 'marginal', 'bad'].indexOf(item.verdict));
    expect(rank).toEqual([...rank].sort((a, b) => b - a));
  });
});

describe('a count cut short, against the closed form of a bank charged through a resistor', () => {
  // Tolerance 1 %: what the leads' milliohms and the touch of the contact change is below 0.1 %.
  for (const { R, C, wait_s } of [
    { R: 100, C: 4e-3, wait_s: 3 },
    { R: 47, C: 6e-3, wait_s: 2 },
  ])
    test(`a tenth of ${wait_s} s at ${R} ohms and ${C * 1e3} mF`, () => {
      const { items } = slipsOf(plainMachine({ cells: 10, resistance_ohm: R, controllers: [{ capacitance_F: C, standby_A: 0, above_V: 8 }], converters: [], wait_s }));
      const item = itemOf(items, 'Q1 to ON after a tenth of the count');
      external({ source: 'closed form: V exp(-t / RC)', what: `missing after a tenth of ${wait_s} s: 42 V, ${R} Ω, ${C * 1e3} mF`, unit: 'V', relative: 0.01, expected: 42 * Math.exp(-wait_s / 10 / (R * C)), got: item.figure!.value });
    });
});

test('a second try at once heats a resistor that is too small for it: at least the energy of one charge, at most that of two and what the standby current takes', () => {
  const [V, R, C, I0] = [42, 100, 2e-3, 0.045] as const;
  const text = edited(plainMachine({ cells: 10, resistance_ohm: R, controllers: [{ capacitance_F: C, standby_A: I0, above_V: 8 }], converters: [], wait_s: 2 }), { 'parts.R1.power': '0.25 W', 'parts.R1.construction': 'film' });
  const item = itemOf(slipsOf(text).items, 'Q1 let go half-way and tried again at once: R1');
  // A bank that is charged from empty leaves half C V² in the resistor; from half-full, less.
  const once = 0.5 * C * V ** 2;
  expect(item.verdict).not.toBe('good');
  expect(item.figure!.value).toBeGreaterThan(once);
  // On the way up the standby current comes on top of the charge: no more than I0 V for as long as it is held.
  expect(item.figure!.value).toBeLessThan(2 * once + I0 * V * 3);
});

describe('another order, as an advice', () => {
  const late = edited(lift, { 'procedure.1': 'press S1', 'procedure.2': 'wait 2 s', 'procedure.3': 'insert LK1', 'procedure.4': 'insert LK2' });

  test('a loop that comes too late is put in earlier; the edit, made in the file and read again, keeps its promise', async () => {
    const advice = await expectAdviceToHold(late, 'spark');
    const order = advice[0]!;
    expect(order.free).toBe(true);
    expect(order.verdict).toBe('good');
    expect(order.what).toMatch(/^Another order: “insert LK2” before /);
    const text = editMachine(late, order.edits);
    const steps = machineOf(text).powerUp.map((step) => step.text);
    expect(steps.indexOf('insert LK2')).toBeLessThan(steps.indexOf('press S1'));
    expect([...steps].sort()).toEqual(machineOf(late).powerUp.map((step) => step.text).sort());
  });

  test('a button that is let go too early is let go later: an exchange of two entries', async () => {
    const early = edited(lift, { 'procedure.4': 'release S1', 'procedure.5': 'insert LK1' });
    const [order] = await expectAdviceToHold(early, 'spark');
    expect(order!.what).toBe('Another order: “insert LK1” before “release S1”');
    expect(order!.edits).toEqual([{ path: ['procedure', 4], text: 'insert LK1' }, { path: ['procedure', 5], text: 'release S1' }]);
  });
});
