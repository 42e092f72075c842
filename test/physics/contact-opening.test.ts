import { describe, expect, test } from 'vitest';
import { arcBreak, avalancheEnergy_J, cutOffPeak_V, extinctionGap_m } from '../../src/physics/contact-opening.ts';
import { external } from '../external.ts';

/** The circuit stepped by hand (explicit midpoint), which knows nothing of the closed form. */
function stepped(current_A: number, L: number, R: number, ends_V: number, arc_V: number) {
  const slope = (i: number): number => (ends_V - R * i - arc_V) / L;
  const dt = (L * current_A) / arc_V / 20_000;
  let [i, t, q] = [current_A, 0, 0];
  while (i > 0) {
    const next = i + dt * slope(i + (dt / 2) * slope(i));
    q += (dt * (i + Math.max(0, next))) / 2;
    i = next;
    t += dt;
  }
  return { t, q };
}

describe('an arc that breaks an inductive current', () => {
  test('takes half L I squared in L I over V, without a source', () => {
    const { time_s, energy_J } = arcBreak(200, 1e-6, 1e-9, 0, 13);
    external({ source: 'any circuits text: an inductance against a constant voltage, t = L·I/V', what: 'arc of 13 V on 1 µH and 200 A', expected: (1e-6 * 200) / 13, got: time_s, unit: 's', relative: 1e-6 });
    external({ source: 'any circuits text: energy of an inductance, ½·L·I²', what: 'energy of an arc on 1 µH and 200 A', expected: 0.5 * 1e-6 * 200 ** 2, got: energy_J, unit: 'J', relative: 1e-6 });
  });

  test('against a source, L I over V − U, and V/(V − U) times the energy', () => {
    const { time_s, energy_J } = arcBreak(200, 1e-6, 1e-9, 8, 13);
    expect(time_s / ((1e-6 * 200) / 5)).toBeCloseTo(1, 6);
    expect(energy_J / ((0.5 * 1e-6 * 200 ** 2 * 13) / 5)).toBeCloseTo(1, 6);
  });

  test.each([
    [200, 1e-6, 25e-3, 5],
    [60, 2e-6, 0.1, 6],
    [1.1, 3e-6, 2, 12],
  ])('of %d A, %d H, %d Ω and %d V agrees with the circuit stepped by hand', (i, L, R, U) => {
    const { t, q } = stepped(i, L, R, U, 13);
    const { time_s, charge_C } = arcBreak(i, L, R, U, 13);
    expect(time_s / t).toBeCloseTo(1, 3);
    expect(charge_C / q).toBeCloseTo(1, 3);
  });

  test('is fed for ever by a circuit with as much voltage as it needs', () => {
    expect(arcBreak(10, 1e-6, 1, 13, 13).time_s).toBe(Infinity);
    expect(arcBreak(10, 1e-6, 1, 12.9, 13).time_s).toBeLessThan(Infinity);
  });

  test('has no answer without an inductance or with a current that is no number', () => {
    expect(() => arcBreak(10, 0, 1, 0, 13)).toThrow(RangeError);
    expect(() => arcBreak(NaN, 1e-6, 1, 0, 13)).toThrow(RangeError);
    expect(() => arcBreak(10, 1e-6, 1, NaN, 13)).toThrow(RangeError);
  });
});

describe('a free arc', () => {
  test('of 48 V behind 50 mΩ goes out where its law needs more than the circuit has left', () => {
    // Source: Stokes and Oppenländer, J. Phys. D 24 (1991) 26: V = (20 + 0.534·G)·I^0.12 above I = 10 + 0.2·G, solved for
    // V at that least current: at G mm, 48 − 0.05·(10 + 0.2·G) = (20 + 0.534·G)·(10 + 0.2·G)^0.12.
    const gap_mm = extinctionGap_m(48, 0.05, 0.05) * 1e3;
    const floor = 10 + 0.2 * gap_mm;
    external({ source: 'Stokes and Oppenländer, J. Phys. D 24 (1991) 26', what: 'arc voltage at the gap where 48 V behind 50 mΩ lets go', expected: (20 + 0.534 * gap_mm) * floor ** 0.12, got: 48 - 0.05 * floor, unit: 'V', relative: 1e-4 });
    expect(extinctionGap_m(12.6, 0.02, 0.05)).toBe(0);
    expect(extinctionGap_m(400, 0.02, 0.05)).toBe(0.05);
  });
});

describe('a current that is cut off', () => {
  test('rings a lead up by I times the root of L over C', () => {
    external({ source: 'any circuits text: ½·L·I² = ½·C·(V − U)²', what: '10 A, 1 µH, 10 nF on 42 V', expected: 42 + Math.sqrt((1e-6 * 100) / 10e-9), got: cutOffPeak_V(10, 1e-6, 10e-9, 42), unit: 'V', relative: 1e-12 });
  });

  test('leaves a transistor half L I squared, and what the source adds while it holds its breakdown voltage', () => {
    // By hand: 60 V above the source drives 100 A out of 1 µH in 1.667 µs; mean 50 A at 100 V for that long is 8.33 mJ.
    external({ source: 'avalanche energy of a single pulse, ½·L·I²·V/(V − U): any power-transistor datasheet\'s note', what: '100 A, 1 µH, 100 V on 40 V', expected: 50 * 100 * ((1e-6 * 100) / 60), got: avalancheEnergy_J(100, 1e-6, 100, 40), unit: 'J', relative: 1e-9 });
    expect(() => avalancheEnergy_J(100, 1e-6, 40, 40)).toThrow(RangeError);
  });
});
