import { describe, expect, it } from 'vitest';
import { bleedPower_W, bleedResistor_ohm, bleedTime_s, seriesResistance_ohm, storedEnergy_J, surgeVoltage_V, typicalLossFactor } from '../../src/physics/capacitors.ts';
import { external } from '../external.ts';

describe('capacitors', () => {
  it.each([
    [2200e-6, 0.12, 72.3],
    [1000e-6, 0.1, 132.6],
    [470e-6, 0.08, 225.8],
  ])('%d F at tan δ %d', (farad, loss, milliohm) => {
    external({ source: 'tan δ/(2πfC) at 120 Hz, makers’ definition', what: `series resistance of ${farad} F, tan δ ${loss}`, expected: milliohm, got: seriesResistance_ohm(loss, farad) * 1e3, unit: 'mΩ', absolute: 0.06 });
  });
  it('reads the loss table downwards and adds for size', () => {
    external({ source: 'general-purpose 85 °C radial series, datasheet', what: 'tan δ at 50 V, 1000 µF', expected: 0.1, got: typicalLossFactor(50, 1e-3), unit: '1', absolute: 0 });
    external({ source: 'general-purpose 85 °C radial series, datasheet', what: 'tan δ at 63 V, 3000 µF', expected: 0.13, got: typicalLossFactor(63, 3e-3), unit: '1', absolute: 1e-12 });
    expect(typicalLossFactor(80, 1e-3)).toBe(0.09);
    expect(typicalLossFactor(4, 1e-4)).toBe(0.22);
  });
  it('stands its surge', () => {
    external({ source: 'IEC 60384-4 (from memory)', what: 'surge voltage of 63 V', expected: 72.45, got: surgeVoltage_V(63), unit: 'V', absolute: 1e-9 });
    external({ source: 'IEC 60384-4 (from memory)', what: 'surge voltage of 400 V', expected: 440, got: surgeVoltage_V(400), unit: 'V', absolute: 1e-9 });
  });
  it.each([
    [4.7e-3, 84, 60, 5, 3162, 0.5],
    [4.7e-3, 84, 60, 1, 632.3, 0.1],
    [4.7e-3, 50.4, 5, 60, 5525, 0.5],
    [1e-3, 400, 60, 5, 2635.6, 0.1],
  ])('bleeds %d F from %d to %d V in %d s', (farad, from, to, seconds, ohms, absolute) => {
    external({ source: 'exponential discharge, t/(C·ln(V0/V)), worked by hand', what: `bleed of ${farad} F, ${from} to ${to} V in ${seconds} s`, expected: ohms, got: bleedResistor_ohm(farad, from, to, seconds), unit: 'Ω', absolute });
    expect(bleedTime_s(bleedResistor_ohm(farad, from, to, seconds), farad, from, to)).toBeCloseTo(seconds, 9);
  });
  it('needs no bleed below the limit, and warms the one it has', () => {
    expect(bleedResistor_ohm(1e-3, 40, 60, 5)).toBe(Infinity);
    expect(bleedPower_W(84, 3162)).toBeCloseTo(2.23, 2);
    external({ source: 'mexle wiki exercise: 0.1 J in 1 µF is 447.2 V', what: 'energy of 1 µF at 447.2 V', expected: 0.1, got: storedEnergy_J(1e-6, 447.2), unit: 'J', relative: 0.0005 });
    expect(() => bleedTime_s(NaN, 1, 2, 1)).toThrow(/resistance_ohm/);
  });
});
