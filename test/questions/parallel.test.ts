import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { awgSection_m2 } from '../../src/quantity/awg.ts';
import type { Answer } from '../../src/questions/answer.ts';
import { sampleHere } from '../../src/questions/spread.ts';
import { loopResistance_ohm, packStrings } from '../../src/questions/joined-packs.ts';
import { parallel } from '../../src/questions/parallel.ts';
import { external } from '../external.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { keepsTheRules } from './answer-rules.ts';
import { edited, studyOf } from './machines.ts';

const fileText = (name: string): string => readFileSync(new URL(`../../machines/${name}.yaml`, import.meta.url), 'utf8');

interface Two {
  /** Volts per cell and resistance of each pack's cell, mΩ. */
  readonly volts: readonly [number, number];
  readonly ohms: readonly [number, number];
  readonly cells?: number;
  readonly capacity?: string;
  readonly first?: string;
  readonly second?: string;
  readonly parts?: string;
  readonly steps?: string;
}

/** Two packs straight on one bar, and a controller behind an isolator. */
function twoPacks({ volts, ohms, cells = 6, capacity = '5 Ah', first = 'from G1+, to bar', second = 'from G2+, to bar', parts = '', steps = '' }: Two): string {
  return `ampwright: 1
machine: TWO
parts:
  G1: { kind: pack, chemistry: lipo, cells: ${cells}, capacity: ${capacity}, cell resistance: ${ohms[0]} mΩ, full voltage: ${volts[0]} V per cell }
  G2: { kind: pack, chemistry: lipo, cells: ${cells}, capacity: ${capacity}, cell resistance: ${ohms[1]} mΩ, full voltage: ${volts[1]} V per cell }
  Q1: { kind: isolator, rating: 200 A }
  T1: { kind: controller, motor current: 100 A, battery current: 50 A, capacitance: 1000 µF }
${parts}
wiring:
  pack 1: ${first}
  pack 2: ${second}
  drive: from bar, Q1, 8 AWG 0.5 m, to T1
returns: all negatives on one bar, 0.0001 mΩ a joint
surroundings: { ambient: 25 °C, inside: 25 °C }
procedure:
${steps}  - turn Q1 to ON
`;
}

const answerOf = (text: string): Answer => parallel(studyOf(text), []).answer;
const joinOf = (answer: Answer) => answer.items.find(({ where, slip }) => !slip && where.includes('joined'))!;
const shareOf = (answer: Answer) => answer.items.find(({ where }) => where.includes('under load'))!;

/** A cell of the table, `4.4 A` as a number. */
function cells(answer: Answer, title: string, column: string): number[] {
  const table = answer.evidence.find((one) => one.type === 'table' && one.title.startsWith(title));
  if (table?.type !== 'table') throw new Error(`no table ${title}`);
  return table.rows.map((row) => Number.parseFloat(row[table.head.indexOf(column)]!.replace(/^\D+/, '')));
}

describe('the current at joining', () => {
  // Tolerance 0.3 %: it is read after 10 ms, when cells of which a fifth of the resistance comes up in a second have sagged by 0.2 %.
  test('25.2 and 22.2 volts behind 20 milliohms each', () => {
    const answer = answerOf(twoPacks({ volts: [4.2, 3.7], ohms: [20 / 6, 20 / 6] }));
    external({ source: 'OpenStax College Physics 21.2, sources opposed: I = (E1 − E2)/(r1 + r2)', what: '25.2 V and 22.2 V, 20 + 20 mΩ', expected: 75, got: joinOf(answer).figure!.value, unit: 'A', relative: 3e-3 });
    expect(joinOf(answer).verdict).toBe('bad');
  });

  test.each([[0.05, 10], [0.2, 40], [0.6, 120]])('two packs of 6 cells and 15 milliohms, %d V per cell apart', (perCell, expected) => {
    const answer = answerOf(twoPacks({ volts: [4.2, 4.2 - perCell], ohms: [2.5, 2.5] }));
    external({ source: 'OpenStax College Physics 21.2, sources opposed: I = (E1 − E2)/(r1 + r2)', what: `6 cells, 15 + 15 mΩ, ${perCell} V per cell apart`, expected, got: joinOf(answer).figure!.value, unit: 'A', relative: 3e-3 });
  });

  test('may be the capacity in an hour, three times that is bad', () => {
    const of = (perCell: number) => joinOf(answerOf(twoPacks({ volts: [4.2, 4.2 - perCell], ohms: [10, 10] })));
    // 60 + 60 mΩ and 5 Ah: 5 A are 0.6 V or 0.1 V per cell, 15 A 0.3 V per cell.
    expect(of(0.06)).toMatchObject({ verdict: 'good', limit: 5 });
    expect([of(0.09), of(0.11), of(0.29), of(0.31)].map(({ verdict }) => verdict)).toEqual(['good', 'marginal', 'marginal', 'bad']);
    expect(of(0.06).says).toContain('0.1 V per cell');
  });

  test('packs that nobody has metered are taken to be 50 mV per cell apart', () => {
    const answer = answerOf(twoPacks({ volts: [4.2, 4.2], ohms: [2.5, 2.5] }));
    external({ source: 'common practice, no source', what: '6 cells, 15 + 15 mΩ, both full', expected: 10, got: joinOf(answer).figure!.value, unit: 'A', relative: 3e-3 });
    expect(joinOf(answer).says).toContain('nobody has metered');
  });

  test('spreads with what the packs are known to', () => {
    const base = studyOf(edited(twoPacks({ volts: [4.2, 4.1], ohms: [2.5, 2.5] }), { 'parts.G1.cell resistance': '2.5 mΩ ±40 %', 'parts.G2.cell resistance': '2.5 mΩ ±40 %' }));
    const records = sampleHere(base, 4, Array.from({ length: 12 }, (_, k) => k)).map(({ record }) => record);
    const item = joinOf(parallel(base, records).answer);
    // 0.6 V over 30 mΩ, and over 18 to 42 mΩ in the corners.
    expect(item.figure!.low).toBeLessThan(20);
    expect(item.figure!.high).toBeGreaterThan(20);
    expect(item.figure!.low).toBeGreaterThan(0.6 / 0.042);
    expect(item.figure!.high).toBeLessThan(0.6 / 0.018);
    const limited = records.map(({ joins }) => 0.6 / joins.loops_ohm[0]! <= 5);
    expect(item.passes).toBe(limited.filter(Boolean).length / limited.length);
  });
});

describe('what joins packs', () => {
  const even = { volts: [4.2, 4.1], ohms: [5, 5] } as const;
  const where = (text: string): string | undefined => joinOf(answerOf(text))?.where;

  test('the wiring, or the step that closes the last switch between them', () => {
    expect(where(twoPacks(even))).toBe('G1 joined to G2 by the wiring');
    const linked = { ...even, second: 'from G2+, LK2, to bar', parts: '  LK2: { kind: link, about: link of pack 2 }\n', steps: '  - insert LK2\n' };
    expect(where(twoPacks(linked))).toBe('G1 joined to G2 by link of pack 2 LK2');
  });

  test('not diodes, which keep them apart; nor packs that stand on each other; nor one alone', () => {
    const diodes = { ...even, first: 'from G1+, D1, to bar', second: 'from G2+, D2, to bar', parts: '  D1: { kind: diode, type: schottky, rating: 60 A }\n  D2: { kind: ideal diode, rating: 60 A }\n' };
    const apart = answerOf(twoPacks(diodes));
    expect(apart).toMatchObject({ verdict: 'good', items: [] });
    expect(apart.says).toContain('apart');
    const stacked = answerOf(twoPacks({ ...even, first: 'from G1+, to G2-', second: 'from G2+, 8 AWG 0.1 m, to bar' }));
    expect(stacked).toMatchObject({ verdict: 'good', items: [] });
    expect(stacked.says).toContain('series');
    expect(answerOf(fileText('crush10s'))).toMatchObject({ verdict: 'good', says: 'One pack: there is nothing to join.', items: [] });
  });

  test('strings of two packs count as two strings', () => {
    const text = twoPacks({ ...even, first: 'from G1+, to G3-', parts: ['3', '4'].map((k) => `  G${k}: { kind: pack, chemistry: lipo, cells: 6, capacity: 5 Ah, cell resistance: 5 mΩ, full voltage: 4.2 V per cell }`).join('\n') + '\n', second: 'from G2+, to G4-\n  third: from G3+, to bar\n  fourth: from G4+, to bar' })
      .replace(/returns:.*/, 'returns:\n  back: from T1-, 8 AWG 0.5 m, to minus\n  one: from minus, to G1-\n  two: from minus, to G2-');
    const base = studyOf(text);
    expect(packStrings(base.machine).map(({ packs }) => packs.join())).toEqual(['G1,G3', 'G2,G4']);
    const item = joinOf(parallel(base, []).answer);
    expect(item.where).toBe('G1 on G3 joined to G2 on G4 by the wiring');
    // 50.4 V and 49.8 V in two strings of 60 mΩ; 50 mV for each of twelve cells are 0.6 V too.
    external({ source: 'OpenStax College Physics 21.2, sources opposed: I = (E1 − E2)/(r1 + r2)', what: 'two strings of two packs, 0.6 V apart, 60 + 60 mΩ', expected: 5, got: item.figure!.value, unit: 'A', relative: 3e-3 });
  });
});

describe('how packs share', () => {
  test('in the ratio of the other one\'s resistance', () => {
    const answer = answerOf(twoPacks({ volts: [4.2, 4.2], ohms: [20 / 6, 30 / 6] }));
    // Tolerance: printed to three figures.
    const [first, second] = cells(answer, 'How the packs share', 'Share');
    external({ source: 'current divider (any circuits text)', what: 'share of 20 mΩ beside 30 mΩ', expected: 60, got: first!, unit: '%', absolute: 0.05 });
    external({ source: 'current divider (any circuits text)', what: 'share of 30 mΩ beside 20 mΩ', expected: 40, got: second!, unit: '%', absolute: 0.05 });
    expect(shareOf(answer).verdict).toBe('good');
    expect(shareOf(answer).limit).toBeUndefined();
  });

  test('one alone has to carry all, within what its fuse bears or not', () => {
    const fused = (rating: string): Answer =>
      answerOf(twoPacks({ volts: [4.2, 4.2], ohms: [5, 5], first: 'from G1+, F1, to bar', second: 'from G2+, F2, to bar', parts: `  F1: { kind: fuse, rating: ${rating} }\n  F2: { kind: fuse, rating: ${rating} }\n` }));
    // The controller asks for 50 A.
    expect(shareOf(fused('60 A'))).toMatchObject({ verdict: 'good', limit: 60 });
    expect(shareOf(fused('40 A'))).toMatchObject({ verdict: 'marginal', limit: 40 });
    expect(shareOf(fused('40 A')).figure!.value).toBe(50);
  });
});

describe('TRK14S', () => {
  const base = studyOf(fileText('trk14s'));
  const answer = parallel(base, []).answer;
  // Tolerance 15 %: hand estimates with cells at 25 °C.
  const estimate = (what: string, expected: number, got: number): void => external({ source: 'hand estimate of the demo machine, common practice, no source', what: `TRK14S: ${what}`, expected, got, unit: 'A', relative: 0.15 });

  test('packs further and further apart', () => {
    const flows = cells(answer, 'What if', 'Flows at once');
    [4, 12, 40].forEach((expected, k) => estimate(`current at joining, ${[0.05, 0.15, 0.5][k]} V per cell apart`, expected, flows[k]!));
  });

  test('the loop is what its cells, leads, connectors, fuses and protections add up to', () => {
    // 14 cells of 18 mΩ, three side by side, at 40 °C; 12 AWG of 0.35 m out and back; the class defaults of fuse (70 mV) and protection (60 mV).
    const copper = 1.7241e-8 * (1 + 0.00393 * 20);
    const warm = Math.exp(Math.log(0.8) * 0.75);
    const lead = (2 * 0.35 * copper) / awgSection_m2(12);
    const one = (14 * 18e-3 * warm) / 3 + lead + 0.6e-3 + 0.07 / 40 + 0.06 / 40;
    // Tolerance 1.5 %: cells between 25 and 45 °C are interpolated, and fine strands are longer than the lead.
    external({ source: 'sum of the file\'s values; copper of IEC 60028', what: 'TRK14S: loop of both packs', expected: 2 * one, got: loopResistance_ohm(base.circuit, base.pairs[0]!, base.values), unit: 'Ω', relative: 0.015 });
  });

  test('the charge that moves is half of what they are apart', () => {
    // The data set's points round three quarters full: 3.922 V at 69.9 %, 4.037 V at 80 %.
    const slope_V = (4.037 - 3.922) / (0.8 - 0.699);
    // Tolerance 3 %: printed to two figures, and a smooth curve through the points.
    external({
      source: 'measured 18650 cell, 3.0 Ah: open data set derlucae98/US18650VTC6_OCV_SOC_Curve; ΔSOC·Ah/2', what: 'charge between two packs of 15 Ah, 0.15 V per cell apart',
      expected: ((0.15 / slope_V) * 15) / 2, got: cells(answer, 'What if', 'Charge that moves')[1]!, unit: 'Ah', relative: 0.03,
    });
  });

  test('one pack that drops out takes the other with it when 110 A are asked for, and not with both', () => {
    expect(answer.verdict).toBe('marginal');
    const item = shareOf(answer);
    // The slow trip of one pack is 60 A, as its file says.
    expect(item).toMatchObject({ verdict: 'marginal', limit: 60 });
    expect(item.figure!.value).toBeGreaterThan(110);
    expect(item.says).toContain('Together they bear 120 A');
  });

  test('joins well when both are full; a used pack beside a full one is a slip', () => {
    expect(joinOf(answer).verdict).toBe('good');
    const slip = answer.items.find((item) => item.slip)!;
    expect(slip.verdict).toBe('marginal');
    estimate('a used pack beside a full one', 40, slip.figure!.value);
  });

  test('its advice, made in the file and asked again, keeps its word', async () => {
    const advice = await expectAdviceToHold(fileText('trk14s'), 'parallel');
    expect(advice[0]!.edits.map(({ path }) => path.join('.'))).toEqual(['parts.T1.battery current', 'parts.T2.battery current', 'parts.T3.battery current']);
  }, 60_000);
});

test('packs of unequal charge are advised to be charged alike, for nothing', async () => {
  const text = edited(twoPacks({ volts: [4.2, 4.2], ohms: [2.5, 2.5], capacity: '20 Ah' }), { 'parts.G2.charge': '60 %' });
  expect(answerOf(text).verdict).toBe('bad');
  const advice = await expectAdviceToHold(text, 'parallel');
  expect(advice[0]).toMatchObject({ free: true, verdict: 'good', edits: [{ path: ['parts', 'G2', 'charge'], text: '100 %' }] });
});

test.each(['bar3s', 'lift6s', 'crush10s', 'trk14s', 'kart16s', 'board10s'])('%s keeps the rules of an answer', (name) => {
  const base = studyOf(fileText(name));
  keepsTheRules(parallel(base, []).answer, name);
  keepsTheRules(parallel(base, sampleHere(base, 7, [0, 1]).map(({ record }) => record)).answer, `${name} sampled`);
});
