import { expect, test } from 'vitest';
import { leakage_A } from '../../src/physics/leakage.ts';
import { external } from '../external.ts';

const SOURCE = 'a diode’s reverse leakage doubles every 10 K: common practice, no source';

test('leakage doubles every ten kelvins, both ways', () => {
  external({ source: SOURCE, what: '10 µA at 25 °C, at 35 °C', expected: 20e-6, got: leakage_A(10e-6, 35), unit: 'A', relative: 1e-12 });
  external({ source: SOURCE, what: '10 µA at 25 °C, at 75 °C', expected: 320e-6, got: leakage_A(10e-6, 75), unit: 'A', relative: 1e-12 });
  external({ source: SOURCE, what: '10 µA at 25 °C, at 5 °C', expected: 2.5e-6, got: leakage_A(10e-6, 5), unit: 'A', relative: 1e-12 });
  expect(leakage_A(3e-4, 25)).toBe(3e-4);
  expect(leakage_A(0, 60)).toBe(0);
});

test('no leakage below zero, no temperature that is no number', () => {
  expect(() => leakage_A(-1e-9, 25)).toThrow('at25_A: expected at least 0 A, got -1e-9');
  expect(() => leakage_A(NaN, 25)).toThrow('at25_A');
  expect(() => leakage_A(1e-6, NaN)).toThrow('temperature_C: expected a temperature, got NaN');
});
