import { describe, expect, it } from 'vitest';
import { filamentCold_ohm, filamentCurrent_A, filamentHot_ohm, ledCurrent_A, ledResistor_ohm } from '../../src/physics/lamp.ts';
import { external } from '../external.ts';

describe('lamps', () => {
  it('lights an LED as the pit arithmetic says', () => {
    const resistance_ohm = ledResistor_ohm(58.8, 2, 5e-3);
    external({ source: 'common practice, no source', what: 'resistor for a 2 V LED, 5 mA at 58.8 V', expected: 11, got: resistance_ohm / 1e3, unit: 'kΩ', relative: 0.05, note: 'quoted to two figures' });
    const lamp = { forward_V: 2, resistance_ohm, knee_V: 0.2 };
    expect(ledCurrent_A(lamp, 58.8)).toBeCloseTo(5e-3, 12);
    expect(ledCurrent_A(lamp, 1.79)).toBe(0);
    expect(ledCurrent_A(lamp, -5)).toBe(0);
    expect(ledCurrent_A(lamp, 2.2)).toBeCloseTo(ledCurrent_A(lamp, 2.2 - 1e-9), 12);
    expect(() => ledCurrent_A(lamp, NaN)).toThrow(/voltage_V/);
  });
  it('makes a filament cold and hot', () => {
    const bulb = { rated_V: 12, rated_W: 24, ratio: 12 };
    external({ source: 'common practice, no source', what: 'cold resistance of a 12 V 24 W bulb', expected: 0.5, got: filamentCold_ohm(bulb), unit: 'Ω', relative: 0.1 });
    expect(filamentHot_ohm(bulb)).toBe(6);
    expect(filamentCurrent_A(bulb, 12)).toBeCloseTo(2, 9);
    // Amperes go with the 0.541st power of volts near the rated point.
    external({
      source: 'IES Lighting Handbook, incandescent lamp characteristics (from memory)',
      what: 'exponent of current with voltage near the rated point',
      expected: 0.541,
      got: Math.log(filamentCurrent_A(bulb, 12.6) / filamentCurrent_A(bulb, 11.4)) / Math.log(12.6 / 11.4),
      unit: '1',
      absolute: 0.02,
    });
    expect(filamentCurrent_A(bulb, 1e-6) / 1e-6).toBeCloseTo(1 / 0.5, 6);
    expect(() => filamentCurrent_A({ ...bulb, ratio: NaN }, 1)).toThrow(/ratio/);
  });
});
