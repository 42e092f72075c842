import { describe, expect, it } from 'vitest';
import { DISCHARGE_CLAUSES, VOLTAGE_LIMITS, bodyResistance_ohm, touchTemperature_C } from '../../src/physics/safety.ts';
import { external } from '../external.ts';

describe('safety', () => {
  it('keeps the limits apart that are often confused', () => {
    const volts = (id: string): number => VOLTAGE_LIMITS.find((limit) => limit.id === id)!.dc_V;
    external({ source: 'IEC 61140; IEC 60364-4-41, 414.1 (from memory)', what: 'extra-low voltage, direct current', expected: 120, got: volts('extra-low'), unit: 'V', absolute: 0 });
    external({ source: 'IEC 62368-1, table 4', what: 'ES1, direct current', expected: 60, got: volts('es1'), unit: 'V', absolute: 0 });
    external({ source: 'Formula SAE 2016, EV1.1.1', what: 'high voltage, direct current', expected: 60, got: volts('student-vehicle'), unit: 'V', absolute: 0 });
  });
  it('states the discharge times', () => {
    const clause = (id: string) => DISCHARGE_CLAUSES.find((entry) => entry.id === id)!;
    external({ source: 'IEC 60204-1:2016, 6.2.4', what: 'time to 60 V', expected: 5, got: clause('machinery').within_s, unit: 's', absolute: 0 });
    external({ source: 'IEC 60204-1:2016, 6.2.4', what: 'time at an exposed plug', expected: 1, got: clause('machinery-plug').within_s, unit: 's', absolute: 0 });
    external({ source: 'IEC 60204-1:2016, 6.2.4', what: 'exempt charge', expected: 60, got: clause('machinery').exempt_C! * 1e6, unit: 'µC', absolute: 1e-9 });
  });
  it.each([
    [0.5, 70, 94],
    [5, 60, 77],
    [30, 51, 60],
    [3600, 48, 48],
  ])('limits what is touched for %d s', (seconds, metal, plastic) => {
    const source = 'IEC 62368-1, table 42 (TS1), on ISO 13732-1:2006';
    external({ source, what: `metal touched for ${seconds} s`, expected: metal, got: touchTemperature_C(seconds), unit: '°C', absolute: 0 });
    external({ source, what: `plastic touched for ${seconds} s`, expected: plastic, got: touchTemperature_C(seconds, 'plastic'), unit: '°C', absolute: 0 });
  });
  it('knows a body for an order of magnitude', () => {
    external({ source: 'IEC/TS 60479-1, hand to hand, 5 % of people (from memory)', what: 'current at 60 V', expected: 41, got: (60 / bodyResistance_ohm(60, 5)) * 1e3, unit: 'mA', absolute: 1 });
    expect(bodyResistance_ohm(25, 50)).toBe(3875);
    expect(bodyResistance_ohm(100, 95)).toBe(3350);
    expect(() => bodyResistance_ohm(NaN, 5)).toThrow(/touch_V/);
  });
});
