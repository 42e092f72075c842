import { describe, expect, test } from 'vitest';
import { charge, type Charging } from '../../src/questions/charging.ts';
import { hold } from '../../src/questions/hold.ts';
import { heldTime } from '../../src/questions/study.ts';
import { external } from '../external.ts';
import { edited, plainMachine, softStartOf, studyOf, type Feed } from './machines.ts';
import { integrate } from './odex.mjs';

function charged(feed: Feed, target_V: number, initial_V = 0): Charging {
  const base = studyOf(plainMachine(feed));
  const softStart = softStartOf(base);
  return charge({ circuit: base.circuit, softStart, closed: softStart.closed, values: base.values, target_V, initial_V });
}

/** Resistance of the plain machine's source, leads, joints and the banks' own beside the soft start's, Ω: it shifts times by its share. */
const BESIDE_OHM = 4e-3;

// Tolerance 0.1 %: the run's own is 0.01 %; the milliohms beside the resistor are 0.02 % of it at most.
describe('time until no more than 2 V is missing, against closed forms', () => {
  for (const { R, C, I0, above } of [
    { R: 33, C: 2e-3, I0: 0, above: 1 },
    { R: 33, C: 2e-3, I0: 0.03, above: 1 },
    { R: 22, C: 4e-3, I0: 0.06, above: 8 },
    { R: 47, C: 1e-3, I0: 0.02, above: 20 },
  ])
    test(`${R} ohms, ${C * 1e3} mF, ${I0 * 1e3} mA above ${above} V`, () => {
      const V = 42;
      const tau = (R + BESIDE_OHM) * C;
      const end = V - I0 * R;
      const expected = tau * (Math.log(V / (V - above)) + Math.log((end - above) / (end - (V - 2))));
      const got = charged({ cells: 10, resistance_ohm: R, controllers: [{ capacitance_F: C, standby_A: I0, above_V: above }], converters: [] }, 2);
      external({ source: 'closed form: RC charge towards V, then towards V - I0 R', what: `hold time: 42 V, ${R} Ω, ${C * 1e3} mF, ${I0 * 1e3} mA above ${above} V, to 2 V missing`, unit: 's', relative: 1e-3, expected, got: got.reached_s! });
    });

  test('from half-charged banks', () => {
    const [V, R, C, I0] = [42, 33, 2e-3, 0.03] as const;
    const end = V - I0 * R;
    const got = charged({ cells: 10, resistance_ohm: R, controllers: [{ capacitance_F: C, standby_A: I0, above_V: 1 }], converters: [] }, 2, 21);
    external({ source: 'closed form: RC charge towards V - I0 R', what: 'hold time of a second attempt: 42 V from 21 V, 33 Ω, 2 mF, 30 mA, to 2 V missing', unit: 's', relative: 1e-3, expected: (R + BESIDE_OHM) * C * Math.log((end - 21) / (end - 40)), got: got.reached_s! });
  });
});

describe('time with a constant power, against an independent integrator', () => {
  for (const { R, C, I0, P, start, target } of [
    { R: 10, C: 4e-3, I0: 0.09, P: 7, start: 9, target: 4 },
    { R: 33, C: 4e-3, I0: 0.09, P: 7, start: 9, target: 12 },
    { R: 22, C: 2e-3, I0: 0, P: 10, start: 20, target: 8 },
    { R: 15, C: 1e-3, I0: 0.2, P: 3, start: 30, target: 5 },
  ])
    test(`${R} ohms, ${C * 1e3} mF, ${I0 * 1e3} mA, ${P} W from ${start} V`, () => {
      const V = 42;
      const series = R + BESIDE_OHM;
      // The converter's own 20 µF stand beside the bank; time as a function of the bus voltage, in two pieces.
      const bank = C + 20e-6;
      const slope = (power: number) => (v: number): number[] => [bank / ((V - v) / series - I0 - power / Math.max(v, 1e-9))];
      const toStart = integrate(slope(0), 0, [0], start)[0]!;
      // Missing stands across the soft start's own resistor, the milliohms beside it carry their share.
      const arrives = V - (target * series) / R;
      const expected = integrate(slope(P), start, [toStart], arrives)[0]!;
      const got = charged({ cells: 10, resistance_ohm: R, controllers: [{ capacitance_F: C, standby_A: I0, above_V: 0.5 }], converters: [{ power_W: P, start_V: start, stop_V: 7.5 }] }, target);
      external({ source: 'odex 2.0.4 (extrapolation method of E. Hairer and G. Wanner), tolerance 1e-10', what: `hold time: 42 V, ${R} Ω, ${C * 1e3} mF, ${I0 * 1e3} mA, ${P} W from ${start} V, to ${target} V missing`, unit: 's', relative: 1e-3, expected, got: got.reached_s! });
    });
});

describe('the answer', () => {
  const text = plainMachine({ cells: 10, resistance_ohm: 33, controllers: [{ capacitance_F: 2e-3, standby_A: 0.03, above_V: 6 }], converters: [], wait_s: 5 });
  const answerWith = (values: Record<string, string>) => hold(studyOf(edited(text, values)), []).answer;

  test('counts the time between the touch at CHARGE and the parting, without the gap', () => {
    const base = studyOf(text);
    const held = heldTime(softStartOf(base), base.nominal.closings.map((c) => c.closing));
    expect(held).toBeCloseTo(5, 9);
  });

  test('is good with half as much again, marginal with less, bad when too short', () => {
    const needed = answerWith({}).figure!.value;
    expect(answerWith({ 'procedure.1': `wait ${1.6 * needed} s` }).verdict).toBe('good');
    expect(answerWith({ 'procedure.1': `wait ${1.2 * needed} s` }).verdict).toBe('marginal');
    expect(answerWith({ 'procedure.1': `wait ${0.9 * needed} s` }).verdict).toBe('bad');
  });

  test('is bad without a time when it never gets there', () => {
    const answer = answerWith({ 'parts.R1.resistance': '1.2 kΩ' });
    expect(answer.verdict).toBe('bad');
    expect(answer.figure).toBeUndefined();
    expect(answer.says).toContain('Let go');
  });

  test('a second attempt with half-charged banks takes no longer than the first', () => {
    const answer = hold(studyOf(text), []).answer;
    const table = answer.evidence.find((e) => e.type === 'table')!;
    const base = studyOf(text);
    const softStart = softStartOf(base);
    const request = { circuit: base.circuit, softStart, closed: softStart.closed, values: base.values, target_V: 2 };
    const first = charge(request).reached_s!;
    const second = charge({ ...request, initial_V: base.supply_V / 2 }).reached_s!;
    expect(second).toBeLessThan(first);
    expect(table.head).toContain('Second attempt');
  });
});
