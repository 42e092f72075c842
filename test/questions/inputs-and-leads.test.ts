import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { charge } from '../../src/questions/charging.ts';
import { spark } from '../../src/questions/spark.ts';
import { stall } from '../../src/questions/stall.ts';
import { recordSample, type Study } from '../../src/questions/study.ts';
import { external } from '../external.ts';
import { edited, softStartOf, studyOf } from './machines.ts';

const TRK14S = readFileSync(new URL('../../machines/trk14s.yaml', import.meta.url), 'utf8');
const KART16S = readFileSync(new URL('../../machines/kart16s.yaml', import.meta.url), 'utf8');

const coilOf = (base: Study) => spark(base, []).answer.items.find(({ where }) => where.startsWith('coil of'));

describe('spark and the coils of contactors', () => {
  /** A contactor of 12 V on a pack that a load behind it pulls down. */
  const weak = (load: string, coil: string): string => `ampwright: 1
machine: WEAK
parts:
  G1: { kind: pack, chemistry: lipo, capacity: 20 Ah, full voltage: 4.2 V per cell, cells: 3, cell resistance: 100 mΩ }
  X1: { kind: joint }
  K1: { kind: contactor, rating: 100 A, bounce: 0 s, coil from: G1+, coil voltage: 12 V, coil power: 0.1 W, drop out: 8 V, closing time: 20 ms, release time: 10 ms, ${coil} }
  E1: { kind: load, resistance: ${load} }
wiring:
  main: from G1+, X1, K1, 12 AWG 0.2 m, to E1
returns: all negatives on one bar, 0.1 mΩ a joint
surroundings: { inside: 25 °C }
procedure:
  - close K1
  - wait 0.3 s
  - crew: look
`;

  test('a contactor that a sag lets fall open is bad, and the answer names its coil', () => {
    const base = studyOf(weak('0.3 Ω', 'pull in: 10 V'));
    const { answer } = spark(base, [recordSample(base, base.values)]);
    expect(answer.verdict).toBe('bad');
    expect(answer.says).toMatch(/^coil of K1: Its coil sees only .* under the 8 V at which it drops out: .* closes again/);
    expect(answer.limit).toBe(8);
    // A third of a second holds about ten cycles of 30 ms.
    expect(base.nominal.coils[0]!.dropOuts).toBeGreaterThan(8);
    expect(answer.items.at(-1)!.passes).toBe(0);
  });

  test('its figure is the lowest voltage that the coil sees', () => {
    // The pack's slow part takes no more than 0.2 % of it within the release time.
    external({ source: 'voltage divider (Ohm\'s law): 12.6 V behind 0.3 Ω onto 0.9 Ω', what: 'lowest voltage on a coil beside a load', expected: (12.6 * 0.9) / 1.2, got: studyOf(weak('0.9 Ω', 'pull in: 10 V').replace('wait 0.3 s', 'wait 5 ms')).nominal.coils[0]!.lowest_V, unit: 'V', relative: 0.02 });
    expect(coilOf(studyOf(weak('0.9 Ω', 'pull in: 10 V')))?.verdict).toBe('good');
  });

  test('a coil that never gets its pull-in voltage is bad', () => {
    const item = coilOf(studyOf(weak('0.9 Ω', 'pull in: 13 V')));
    expect(item?.verdict).toBe('bad');
    expect(item?.says).toMatch(/^It does not close: its coil sees 12\.6 V and needs 13 V/);
  });
});

describe('KART16S', () => {
  test('its emergency stop takes the coil and the logic away at once', () => {
    const base = studyOf(edited(KART16S, { 'parts.T2.waits for': 'K1' }));
    const { run, timeline } = base.nominal;
    expect(timeline.closings.map(({ part, position, refused }) => [part, position, refused])).toEqual([['K1', 'SOFT', false], ['K1', 'ON', false]]);
    expect(run.parameters[base.circuit.loads.standby[0]!.draws]).toBe(0.05);
    expect(coilOf(base)?.verdict).toBe('good');
  });

  test('its soft start reaches what the logic and the bleed leave, once the converter waits', () => {
    const base = studyOf(edited(KART16S, { 'parts.T2.waits for': 'K1' }));
    const soft = softStartOf(base);
    const held = charge({ circuit: base.circuit, softStart: soft, closed: soft.closed, values: base.values, target_V: 1 });
    external({ source: 'Ohm\'s law: (V/R - 50 mA) over 1/R + 1/4.7 kΩ', what: 'KART16S: bus at the end of its soft start', expected: (53.6 / 68 - 0.05) / (1 / 68 + 1 / 4700), got: held.end_V, unit: 'V', relative: 2e-3 });
    const off = studyOf(edited(KART16S, { 'parts.T2.waits for': 'K1', 'parts.T1.key from': 'G1+' }));
    const other = softStartOf(off);
    external({ source: 'Ohm\'s law: (V/R) over 1/R + 1/4.7 kΩ', what: 'KART16S with its key fed ahead of the contactor: bus at the end of its soft start', expected: (53.6 * 4700) / 4768, got: charge({ circuit: off.circuit, softStart: other, closed: other.closed, values: off.values, target_V: 1 }).end_V, unit: 'V', relative: 2e-3 });
    expect(stall(base, []).answer.verdict).toBe('good');
  });
});

describe('TRK14S', () => {
  const base = studyOf(TRK14S);
  const item = spark(base, []).answer.items.find(({ parts }) => parts.includes('W2'));

  test('its USB lead leads the banks\' charge round the key in the negative', () => {
    expect(item).toMatchObject({ verdict: 'bad', slip: true });
    expect(item?.says).toMatch(/leads round soft-start button S1 and whatever else is open in the negative, as soon as the pack is in/);
    // 58.8 V over the leads' 0.27 Ω and about 55 mΩ of two packs side by side, their fuses and leads, and the
    // banks: 181 A. Tolerance: the cells are warm, the fuses' class default is rough, and the inductance takes a little.
    external({ source: 'Ohm\'s law on the loop, values of the file', what: 'TRK14S: peak through a USB lead round the open key', expected: 58.8 / (0.27 + 0.055), got: item!.figure!.value, unit: 'A', relative: 0.1 });
  });

  test('an isolated one does no harm', () => {
    const isolated = spark(studyOf(edited(TRK14S, { 'parts.W2.resistance': '1 MΩ' })), []).answer;
    expect(isolated.items.some(({ parts }) => parts.includes('W2'))).toBe(false);
    expect(isolated.notAProblem.join(' ')).toMatch(/USB lead to the left controller W2 still plugged in/);
  });
});
