import { describe, expect, test } from 'vitest';
import { hold } from '../../src/questions/hold.ts';
import { sampleHere } from '../../src/questions/spread.ts';
import { influences, matters, worstCorner } from '../../src/questions/influence.ts';
import { recordSample } from '../../src/questions/study.ts';
import { demoText, edited, plainMachine, studyOf } from './machines.ts';

const numbers = (from: number, to: number): number[] => Array.from({ length: to - from }, (_, k) => from + k);

describe('samples of seed 5', () => {
  const text = demoText('lift6s');

  test('are the same in two halves, in another order, in another thread\'s study, and all together', () => {
    const base = studyOf(text);
    const whole = sampleHere(base, 5, numbers(0, 16));
    const halves = [...sampleHere(base, 5, numbers(8, 16)), ...sampleHere(studyOf(text), 5, numbers(0, 8))].sort((a, b) => a.sample - b.sample);
    expect(halves).toEqual(whole);
    expect(sampleHere(base, 5, [3])).toEqual(whole.filter(({ sample }) => sample === 3));
  });

  test('differ from each other and from those of another seed', () => {
    const base = studyOf(text);
    const some = sampleHere(base, 5, numbers(0, 6)).map(({ record }) => JSON.stringify(record));
    expect(new Set(some).size).toBe(some.length);
    expect(sampleHere(base, 6, [0])[0]!.record).not.toEqual(sampleHere(base, 5, [0])[0]!.record);
  });

  test('survive the way through another thread: plain data', () => {
    const [first] = sampleHere(studyOf(text), 5, [0]);
    expect(structuredClone(first)).toEqual(first);
  });
});

describe('worst corner, seed 9', () => {
  // Time to charge grows with resistance and capacitance and standby current: monotone, so that the adverse corner of
  // what moves it lies beyond the 95 % point of the samples.
  const text = edited(
    plainMachine({ cells: 8, resistance_ohm: 33, controllers: [{ capacitance_F: 2e-3, standby_A: 0.04, above_V: 6 }], converters: [] }),
    { 'parts.R1.resistance': '33 Ω ±30 %', 'parts.T1.capacitance': '2 mF (1.4 to 2.9)', 'parts.T1.standby': '40 mA (20 to 90)' },
  );

  test('the time at it is at least the 95 % point', () => {
    const base = studyOf(text);
    const records = sampleHere(base, 9, numbers(0, 120));
    expect(records).toHaveLength(120);
    const { drawn } = hold(base, records.map(({ record }) => record));
    const found = influences(base, 9, records.map(({ sample }) => sample), drawn);
    expect(found.filter(matters).map(({ label }) => label).join()).toMatch(/capacitance of T1.*resistance of R1|resistance of R1.*capacitance of T1/);
    const corner = recordSample(base, worstCorner(base, found)).softStarts[0]!.needed_s!;
    const sorted = [...drawn].sort((a, b) => a - b);
    expect(corner).toBeGreaterThanOrEqual(sorted[Math.floor(0.95 * sorted.length)]!);
    expect(corner).toBeLessThan(10 * sorted[60]!);
  });

  test('the time at it agrees with the closed form at the adverse ends', () => {
    const base = studyOf(text);
    const values = Float64Array.from(base.values);
    for (const key of ['R1.resistance', 'T1.capacitance', 'T1.standby']) values[base.circuit.inputs.at(key)] = base.circuit.inputs.list[base.circuit.inputs.at(key)]!.quantity.high;
    const { needed_s, resistance_ohm } = recordSample(base, values).softStarts[0]!;
    expect(resistance_ohm).toBeCloseTo(42.9, 9);
    // RC charge towards V until the logic wakes at 6 V, then towards V - I0 R; what may be missing comes from the contact.
    const [V, R, C, I0] = [33.6, 42.9, 2.9e-3, 0.09] as const;
    const allowed_V = base.softStarts[0]!.allowed_V - (0.02 * I0) / C;
    const end = V - I0 * R;
    const expected = R * C * (Math.log(V / (V - 6)) + Math.log((end - 6) / (end - (V - allowed_V))));
    expect(Math.abs(needed_s! / expected - 1)).toBeLessThan(0.005);
  });
});
