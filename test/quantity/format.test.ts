import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatQuantity, formatSection, formatValue } from '../../src/quantity/format.ts';
import { parseQuantity } from '../../src/quantity/parse.ts';
import { type Dimension, exact, type Origin, ranged } from '../../src/quantity/quantity.ts';

// Common practice, no source: how a builder would write these numbers; the SI side of each is arithmetic.
const PRINTS: readonly (readonly [number, Dimension, string])[] = [
  [2.2e-3, 'capacitance', '2.2 mF'], [4.7e-4, 'capacitance', '470 µF'], [1e-7, 'capacitance', '100 nF'], [22e-12, 'capacitance', '22 pF'], [1.5, 'capacitance', '1.5 F'],
  [1030, 'current', '1.03 kA'], [0.03, 'current', '30 mA'], [0.5, 'current', '0.5 A'], [30e-6, 'current', '30 µA'], [-60, 'current', '-60 A'], [999.7, 'current', '1 kA'], [0, 'current', '0 A'],
  [4e-4, 'resistance', '0.4 mΩ'], [0.0243, 'resistance', '24.3 mΩ'], [33, 'resistance', '33 Ω'], [4700, 'resistance', '4.7 kΩ'], [3.3e6, 'resistance', '3.3 MΩ'], [0.33, 'resistance', '0.33 Ω'], [2e-5, 'resistance', '20 µΩ'],
  [41.3, 'voltage', '41.3 V'], [0.45, 'voltage', '0.45 V'], [0.012, 'voltage', '12 mV'], [1500, 'voltage', '1.5 kV'], [12.6, 'voltage', '12.6 V'], [41.3478, 'voltage', '41.3 V'],
  [0.02, 'time', '20 ms'], [0.41, 'time', '0.41 s'], [125, 'time', '125 s'], [3e-4, 'time', '0.3 ms'], [3e-5, 'time', '30 µs'], [5e-9, 'time', '5 ns'],
  [8.3656e-6, 'area', '8.37 mm²'], [16e-6, 'area', '16 mm²'], [0.2, 'area', '0.2 m²'], [28800, 'charge', '8 Ah'], [2340, 'charge', '0.65 Ah'], [25.2, 'charge', '7 mAh'], [0.02, 'charge', '20 mC'],
  [0.95, 'ratio', '95 %'], [1, 'ratio', '100 %'], [12.5, 'ratio', '12.5'], [0, 'ratio', '0 %'], [0.45, 'length', '0.45 m'], [0.08, 'length', '80 mm'], [1.4, 'mass', '1.4 kg'], [0.15, 'mass', '150 g'],
  [60, 'temperature', '60 °C'], [-10, 'temperature', '-10 °C'], [40, 'temperature rise', '40 K'], [1500, 'power', '1.5 kW'], [0.5, 'power', '0.5 W'], [0.045, 'energy', '45 mJ'], [9.3, 'energy', '9.3 J'], [25000, 'energy', '25 kJ'],
  [7e-7, 'inductance', '0.7 µH'], [24000, 'frequency', '24 kHz'], [0.0087, 'torque per current', '0.0087 N·m/A'], [4.05e-4, 'inertia', '4.05e-4 kg·m²'], [171, 'let-through', '171 A²s'], [3000 * Math.PI / 30, 'angular speed', '3000 rpm'],
  [1100 * Math.PI / 30, 'turns per volt', '1100 rpm/V'], [12, 'thermal resistance', '12 K/W'], [35, 'heat capacity', '35 J/K'], [12, 'money', '12'], [4, 'count', '4'], [2e-3, 'conductance', '2 mS'], [15, 'force', '15 N'], [3, 'speed', '3 m/s'], [1.2, 'torque', '1.2 N·m'], [0.05, 'torque', '50 mN·m'],
];

describe('printing a value', () => {
  it.each(PRINTS)('%d as %s is %s', (value, dimension, text) => {
    expect(formatValue(value, dimension)).toBe(text);
  });

  it('rounds to the digits asked for and refuses what is no number', () => {
    expect(formatValue(41.3478, 'voltage', 5)).toBe('41.348 V');
    for (const value of [NaN, Infinity, -Infinity]) {
      expect(() => formatValue(value, 'voltage')).toThrow(RangeError);
      expect(() => formatQuantity({ ...exact('voltage', 1), high: value })).toThrow(RangeError);
    }
    expect(() => formatQuantity({ ...exact('voltage', 1), low: 2 })).toThrow('low ≤ value ≤ high');
  });

  // Source: ASTM B258, 8 AWG = 8.3656 mm², 1/0 AWG = 53.475 mm², 5 AWG = 16.773 mm² (16 mm² is 4.6 % below it).
  it('names the gauge of a section only within 1 % of it', () => {
    expect([8.3656e-6, 8.44e-6, 8.46e-6, 16e-6, 53.475e-6, 0].map(formatSection)).toEqual(
      ['8 AWG (8.37 mm²)', '8 AWG (8.44 mm²)', '8.46 mm²', '16 mm²', '0 AWG (53.5 mm²)', '0 m²']);
    for (const section of [-1e-6, NaN, Infinity]) expect(() => formatSection(section)).toThrow(RangeError);
  });
});

describe('printing a quantity', () => {
  it.each([
    ['2.2mF +-20%, measured', 'capacitance', '2.2 mF ±20 %, measured'], ['2200 uF -20% +50%', 'capacitance', '2.2 mF -20 % +50 %'], ['1.5 to 3 mF', 'capacitance', '1.5 to 3 mF'], ['20 ms (10 to 40)', 'time', '20 ms (10 to 40 ms)'],
    ['AWG 8', 'area', '8 AWG'], ['00 AWG ±5 %', 'area', '2/0 AWG ±5 %'], ['4.0 V/cell (datasheet)', 'voltage', '4 V per cell, datasheet'], ['800 mAh ±5 %', 'charge', '0.8 Ah ±5 %'], ['1100 rpm/V', 'turns per volt', '1100 rpm/V'], ['60 °C ±5 K', 'temperature', '60 °C (55 to 65 °C)'], ['0.85 ±0.05', 'ratio', '85 % (80 to 90 %)'],
  ] as const)('%s (%s) comes out as %s', (text, dimension, printed) => {
    const parsed = parseQuantity(text, dimension, { perCell: true });
    expect(parsed.ok && formatQuantity(parsed.quantity)).toBe(printed);
  });

  const dimensions = [...new Set(PRINTS.map(([, dimension]) => dimension))];
  const origins: readonly Origin[] = ['stated', 'datasheet', 'measured', 'class default', 'assumed', 'derived'];
  const everyday = fc.tuple(fc.integer({ min: -99_999, max: 99_999 }), fc.integer({ min: -12, max: 6 })).map(([digits, power]) => Number(`${digits}e${power}`));
  const number = fc.oneof(everyday, fc.double({ noNaN: true, min: -1e290, max: 1e290 })).map((value) => value + 0);

  it('covers every dimension', () => expect(dimensions).toHaveLength(29));

  it('reads back to the same quantity (seed 20262)', () => {
    const ends = fc.tuple(number, number, number).map((three) => three.sort((a, b) => a - b));
    const percent = fc.tuple(number, fc.integer({ min: 0, max: 100 })).map(([value, share]) => {
      const size = Math.abs(value) * (share / 100);
      return [value - size, value, value + size];
    });
    const numbers = fc.oneof(ends, percent, number.map((value) => [value, value, value]));
    fc.assert(fc.property(numbers, fc.constantFrom(...dimensions), fc.constantFrom(...origins), fc.boolean(), (three, dimension, origin, perCell) => {
      const [low = 0, value = 0, high = 0] = three;
      const q = ranged(dimension, value, low, high, origin, perCell);
      const text = formatQuantity(q);
      const parsed = parseQuantity(text, dimension, { perCell: true });
      expect(parsed).toEqual({ ok: true, quantity: { ...q, text } });
    }), { seed: 20262, numRuns: 20_000 });
  });
});
