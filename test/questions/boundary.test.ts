import { describe, expect, test } from 'vitest';
import type { Verdict } from '../../src/questions/answer.ts';
import { askQuestions } from '../../src/questions/ask.ts';
import { boundaryOf } from '../../src/questions/boundary.ts';
import { charge } from '../../src/questions/charging.ts';
import type { Study } from '../../src/questions/study.ts';
import { external } from '../external.ts';
import { edited, machineOf, plainMachine, softStartOf, studyOf } from './machines.ts';

/** Where the verdict of a plain machine turns with one of its inputs; it has to turn. */
function turn(base: Study, key: string, verdictAt: (values: Float64Array) => Verdict): { at: number; better: string } {
  const boundary = boundaryOf(base, base.circuit.inputs.at(key), verdictAt);
  if (boundary?.turns !== true) throw new Error(`${key} does not turn the verdict`);
  return boundary;
}

// Tolerance 1 %: halving goes on to 0.2 %, the milliohms beside the resistor are 0.02 % of it.
describe('the boundary of one unknown, against algebra', () => {
  for (const { R, I0, wait_s, missing } of [
    { R: 33, I0: 0, wait_s: 0.4, missing: 2 },
    { R: 22, I0: 0.05, wait_s: 0.3, missing: 3 },
    { R: 47, I0: 0.02, wait_s: 0.5, missing: 4 },
  ])
    test(`largest bank that ${R} ohms bring to ${missing} V missing in ${wait_s} s with ${I0 * 1e3} mA of standby`, () => {
      const [V, above] = [42, 1] as const;
      const text = edited(plainMachine({ cells: 10, resistance_ohm: R, controllers: [{ capacitance_F: 2e-3, standby_A: I0, above_V: above }], converters: [] }), {
        'parts.T1.capacitance': '2 mF (0.5 to 20 mF)',
      });
      const base = studyOf(text);
      const softStart = softStartOf(base);
      const found = turn(base, 'T1.capacitance', (values) => {
        const { reached_s } = charge({ circuit: base.circuit, softStart, closed: softStart.closed, values, target_V: missing });
        return reached_s !== undefined && reached_s <= wait_s ? 'good' : 'bad';
      });
      const end = V - I0 * R;
      const expected = wait_s / (R * (Math.log(V / (V - above)) + Math.log((end - above) / (end - (V - missing)))));
      expect(found.better).toBe('below');
      external({ source: 'closed form: RC charge towards V, then towards V - I0 R, solved for C', what: `largest bank: 42 V, ${R} Ω, ${I0 * 1e3} mA above 1 V, ${missing} V missing after ${wait_s} s`, unit: 'F', relative: 0.01, expected, got: found.at });
    });

  for (const { R, P, start } of [
    { R: 33, P: 7, start: 9 },
    { R: 22, P: 5, start: 9 },
    { R: 47, P: 4, start: 12 },
  ])
    test(`largest standby current with which ${R} ohms get ${P} W past a start at ${start} V`, () => {
      const V = 42;
      const text = edited(plainMachine({ cells: 10, resistance_ohm: R, controllers: [{ capacitance_F: 2e-3, standby_A: 0.05, above_V: 1 }], converters: [{ power_W: P, start_V: start, stop_V: start - 1.5 }] }), {
        'parts.T1.standby': '50 mA (1 to 2000 mA)',
      });
      const base = studyOf(text);
      const softStart = softStartOf(base);
      const found = turn(base, 'T1.standby', (values) => (charge({ circuit: base.circuit, softStart, closed: softStart.closed, values, target_V: 1 }).outcome === 'settles' ? 'good' : 'bad'));
      // Below the fold (V - I0 R)/2 the start is passed when more comes through the resistor than is asked there.
      const expected = (V - start) / R - P / start;
      expect(start).toBeLessThan((V - expected * R) / 2);
      expect(found.better).toBe('below');
      external({ source: 'balance of currents at the start voltage, below the fold', what: `largest standby current: 42 V, ${R} Ω, ${P} W from ${start} V`, unit: 'A', relative: 0.01, expected, got: found.at });
    });

  test('is told as none where the verdict is the same over the whole spread, and as unknown where it turns twice', () => {
    const base = studyOf(edited(plainMachine({ cells: 10, resistance_ohm: 33, controllers: [{ capacitance_F: 2e-3, standby_A: 0, above_V: 1 }], converters: [] }), { 'parts.T1.capacitance': '2 mF (1 to 4 mF)' }));
    const input = base.circuit.inputs.at('T1.capacitance');
    expect(boundaryOf(base, input, () => 'marginal')).toEqual({ turns: false, verdict: 'marginal' });
    expect(boundaryOf(base, input, (values) => (Math.abs(values[input]! - 2e-3) < 5e-4 ? 'good' : 'bad'))).toBeUndefined();
  });

  test('lies on the side where the input is larger when more of it helps', () => {
    const base = studyOf(edited(plainMachine({ cells: 10, resistance_ohm: 33, controllers: [{ capacitance_F: 2e-3, standby_A: 0, above_V: 1 }], converters: [] }), { 'parts.T1.capacitance': '2 mF (1 to 4 mF)' }));
    const input = base.circuit.inputs.at('T1.capacitance');
    const found = turn(base, 'T1.capacitance', (values) => (values[input]! > 3e-3 ? 'marginal' : 'bad'));
    expect(found).toMatchObject({ better: 'above', best: 'marginal' });
    expect(Math.abs(found.at - 3e-3)).toBeLessThan(0.01 * 3e-3);
  });
});

describe('an answer that rests on class defaults', () => {
  /** A machine whose controller's bank and standby current are not known. */
  const unknown = (wait_s: number): string =>
    plainMachine({ cells: 10, resistance_ohm: 33, controllers: [{ capacitance_F: 2e-3, standby_A: 0.045, above_V: 8 }], converters: [], wait_s }).replace('capacitance: 2000 µF, series resistance: 2 mΩ, standby: 45 mA, ', '').replace('rating: 150 A', 'rating: 20 A');
  const ask = async (text: string, id: 'hold' | 'spark') => (await askQuestions({ machine: machineOf(text), text, samples: 60, seed: 3, only: [id] }))[0]!;

  test('says up to which bank the count is good, when the bank decides (seed 3)', async () => {
    const answer = await ask(unknown(0.1), 'hold');
    expect(answer.says).toMatch(/Good while the capacitance of T1 is under [\d.]+ mF; the class default spans [\d.]+ µF to [\d.]+ mF\./);
    expect(answer.basis.join('\n')).toContain('Good while the capacitance of T1 is under');
    expect(answer.basis.join('\n')).not.toContain('No need to measure the capacitance of T1');
  });

  test('says that nothing need be measured, when the count is long (seed 3)', async () => {
    const answer = await ask(unknown(10), 'hold');
    expect(answer.verdict).toBe('good');
    expect(answer.says).not.toContain('Good while');
    expect(answer.basis.join('\n')).toContain('No need to measure the capacitance of T1');
    expect(answer.basis.join('\n')).toContain('No need to measure the standby current of T1');
  });
});
