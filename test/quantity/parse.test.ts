import fc from 'fast-check';
import { unit } from 'mathjs';
import { describe, expect, it } from 'vitest';
import { parseQuantity } from '../../src/quantity/parse.ts';
import type { Dimension, Quantity } from '../../src/quantity/quantity.ts';

function read(text: string, dimension: Dimension): Quantity {
  const parsed = parseQuantity(text, dimension, { perCell: true });
  if (!parsed.ok) throw new Error(`${text}: expected ${parsed.expected}, found ${parsed.found}`);
  return parsed.quantity;
}

function refusal(text: string, dimension: Dimension): string {
  const parsed = parseQuantity(text, dimension);
  if (parsed.ok) throw new Error(`${text}: read as ${parsed.quantity.value}`);
  return `expected ${parsed.expected}, found ${parsed.found}. ${parsed.hint ?? ''}`;
}

// Source of every value here: SI Brochure, 9th edition (2019), Tables 3, 4 and 7 (prefixes) and 8
// (min, h); international inch, foot, pound, by definition (1959). Values are arithmetic on those.
const TURN_PER_MINUTE = (2 * Math.PI) / 60;
const READS: readonly (readonly [string, Dimension, number])[] = [
  ['2.2 mF', 'capacitance', 2.2e-3], ['2.2mF', 'capacitance', 2.2e-3], ['2200 µF', 'capacitance', 2.2e-3],
  ['2200 \u03BCF', 'capacitance', 2.2e-3], ['2200 uF', 'capacitance', 2.2e-3], ['100 nF', 'capacitance', 1e-7],
  ['22 pF', 'capacitance', 22e-12], ['.5 F', 'capacitance', 0.5], ['\u00A02.2\u00A0mF ', 'capacitance', 2.2e-3],
  ['0.4 mΩ', 'resistance', 4e-4], ['0.4 m\u2126', 'resistance', 4e-4], ['3.3 MΩ', 'resistance', 3.3e6],
  ['0.4 mohm', 'resistance', 4e-4], ['33 ohm', 'resistance', 33], ['33 R', 'resistance', 33], ['33 Ω', 'resistance', 33],
  ['10 kΩ', 'resistance', 1e4], ['12 milliohms', 'resistance', 0.012],
  ['4.0 V', 'voltage', 4], ['48V', 'voltage', 48], ['12 mV', 'voltage', 0.012], ['1.2 kV', 'voltage', 1200], ['-5 V', 'voltage', -5],
  ['\u22125 V', 'voltage', -5], ['5 volts', 'voltage', 5], ['40 A', 'current', 40], ['30 mA', 'current', 0.03], ['1.03 kA', 'current', 1030],
  ['1.5 kW', 'power', 1500], ['3 mW', 'power', 3e-3], ['3 MW', 'power', 3e6], ['45 mJ', 'energy', 0.045], ['1 Wh', 'energy', 3600],
  ['0.7 µH', 'inductance', 0.7e-6], ['2 s', 'time', 2], ['20 ms', 'time', 0.02], ['3 min', 'time', 180], ['1 h', 'time', 3600],
  ['0.45 m', 'length', 0.45], ['45 cm', 'length', 0.45], ['450 mm', 'length', 0.45], ['18 in', 'length', 0.4572], ['2 ft', 'length', 0.6096],
  ['16 mm²', 'area', 16e-6], ['16 mm2', 'area', 16e-6], ['16 mm^2', 'area', 16e-6], ['16mm²', 'area', 16e-6],
  ['1.4 kg', 'mass', 1.4], ['150 g', 'mass', 0.15], ['3 lb', 'mass', 3 * 0.45359237],
  ['60 °C', 'temperature', 60], ['60 C', 'temperature', 60], ['60 ℃', 'temperature', 60], ['-10 °C', 'temperature', -10], ['140 °F', 'temperature', 60],
  ['40 K', 'temperature rise', 40], ['8 Ah', 'charge', 28800], ['800 mAh', 'charge', 2880], ['0.09 C', 'charge', 0.09], ['24 kHz', 'frequency', 24e3],
  ['1.2 N·m', 'torque', 1.2], ['1.2 Nm', 'torque', 1.2], ['1.2 N m', 'torque', 1.2], ['0.025 Nm/A', 'torque per current', 0.025],
  ['0.025 N·m/A', 'torque per current', 0.025], ['0.025 N*m/A', 'torque per current', 0.025],
  ['3000 rpm', 'angular speed', 3000 * TURN_PER_MINUTE], ['100 rad/s', 'angular speed', 100], ['1100 rpm/V', 'turns per volt', 1100 * TURN_PER_MINUTE],
  ['4.05e-4 kg m²', 'inertia', 4.05e-4], ['4.05e-4 kg·m^2', 'inertia', 4.05e-4], ['4.05 kg cm2', 'inertia', 4.05e-4],
  ['171 A²s', 'let-through', 171], ['171 A^2 s', 'let-through', 171], ['171 A² s', 'let-through', 171],
  ['50 %', 'ratio', 0.5], ['50%', 'ratio', 0.5], ['0.5', 'ratio', 0.5], ['4', 'count', 4], ['12 EUR', 'money', 12], ['12', 'money', 12],
  ['12 K/W', 'thermal resistance', 12], ['35 J/K', 'heat capacity', 35], ['2 mS', 'conductance', 2e-3], ['15 N', 'force', 15],
  ['3 m/s', 'speed', 3], ['18 km/h', 'speed', 5], ['0', 'voltage', 0], ['0', 'resistance', 0], ['4.0 V per cell', 'voltage', 4], ['4.0 V/cell', 'voltage', 4],
];

describe('reading a value', () => {
  it.each(READS)('%s is a %s of %d', (text, dimension, value) => {
    // One rounding for decimal units, three for the others.
    const tolerance = 4 * Number.EPSILON * Math.max(Math.abs(value), 1e-300);
    const q = read(text, dimension);
    expect(Math.abs(q.value - value)).toBeLessThanOrEqual(dimension === 'temperature' ? 1e-12 : tolerance);
    expect(q).toMatchObject({ low: q.value, high: q.value, law: 'exact', origin: 'stated', text });
  });

  // Source: IEC 60062:2016, clause on marking by letter and digit code (R, k, M in place of the point; p, n, µ, m for
  // capacitors), from memory.
  it.each([
    ['R47', 'resistance', 0.47], ['4R7', 'resistance', 4.7], ['0R1', 'resistance', 0.1], ['47R', 'resistance', 47], ['4k7', 'resistance', 4700],
    ['4K7', 'resistance', 4700], ['10k', 'resistance', 1e4], ['10K', 'resistance', 1e4], ['1M5', 'resistance', 1.5e6], ['33R2', 'resistance', 33.2],
    ['4k7 Ω', 'resistance', 4700], ['p33', 'capacitance', 0.33e-12], ['2n2', 'capacitance', 2.2e-9], ['4µ7', 'capacitance', 4.7e-6], ['2m2', 'capacitance', 2.2e-3],
  ] as const)('letter and digit code %s is a %s of %d', (text, dimension, value) => {
    expect(read(text, dimension).value).toBeCloseTo(value, 15);
    expect(read(text, dimension).value / value).toBeCloseTo(1, 14);
  });

  // Source: mathjs 15.2.0 `unit`, a general-purpose library. Tolerance: both sides round a few times.
  it.each([
    ['4.7 mF', 'F', 'capacitance'], ['220 uF', 'F', 'capacitance'], ['48V', 'V', 'voltage'], ['1.5 kW', 'W', 'power'], ['0.4 mohm', 'ohm', 'resistance'],
    ['3.3 Mohm', 'ohm', 'resistance'], ['18 in', 'm', 'length'], ['2 ft', 'm', 'length'], ['45 cm', 'm', 'length'], ['3 lb', 'kg', 'mass'], ['5 oz', 'kg', 'mass'],
    ['3 min', 's', 'time'], ['20 ms', 's', 'time'], ['0.7 uH', 'H', 'inductance'], ['24 kHz', 'Hz', 'frequency'], ['45 mJ', 'J', 'energy'], ['2 mS', 'S', 'conductance'],
    ['4.05e-4 kg m^2', 'kg m^2', 'inertia'], ['16 mm^2', 'm^2', 'area'], ['171 A^2 s', 'A^2 s', 'let-through'], ['18 km/h', 'm/s', 'speed'], ['12 K/W', 'K/W', 'thermal resistance'],
  ] as const)('%s agrees with mathjs', (text, si, dimension) => {
    const theirs = unit(text).toNumber(si);
    expect(read(text, dimension).value / theirs).toBeCloseTo(1, 13);
  });
});

describe('reading a spread', () => {
  it.each([
    ['2.2 mF ±20 %', 'capacitance', [1.76e-3, 2.2e-3, 2.64e-3]], ['2.2mF +-20%', 'capacitance', [1.76e-3, 2.2e-3, 2.64e-3]],
    ['2.2 mF +/- 20 %', 'capacitance', [1.76e-3, 2.2e-3, 2.64e-3]], ['2.2 mF ±0.2 mF', 'capacitance', [2e-3, 2.2e-3, 2.4e-3]],
    ['2.2 mF (±20 %)', 'capacitance', [1.76e-3, 2.2e-3, 2.64e-3]], ['2.2 mF -20 % +50 %', 'capacitance', [1.76e-3, 2.2e-3, 3.3e-3]],
    ['2.2 mF +50 % -20 %', 'capacitance', [1.76e-3, 2.2e-3, 3.3e-3]], ['2.2 mF -20/+50 %', 'capacitance', [1.76e-3, 2.2e-3, 3.3e-3]],
    ['2.2 mF \u201320 % +50 %', 'capacitance', [1.76e-3, 2.2e-3, 3.3e-3]], ['2.2 mF +50 %', 'capacitance', [2.2e-3, 2.2e-3, 3.3e-3]],
    ['1.5 to 6 mF', 'capacitance', [1.5e-3, 3e-3, 6e-3]], ['1.5-6 mF', 'capacitance', [1.5e-3, 3e-3, 6e-3]],
    ['1.5\u20136 mF', 'capacitance', [1.5e-3, 3e-3, 6e-3]], ['1.5 mF \u2013 6 mF', 'capacitance', [1.5e-3, 3e-3, 6e-3]], ['500 µF to 2 mF', 'capacitance', [0.5e-3, 1e-3, 2e-3]],
    ['20 ms (10 to 40)', 'time', [0.01, 0.02, 0.04]], ['20 ms (10 to 40 ms)', 'time', [0.01, 0.02, 0.04]], ['20 ms, 10 to 40 ms', 'time', [0.01, 0.02, 0.04]],
    ['-5 to 3 V', 'voltage', [-5, -1, 3]], ['-5 V ±20 %', 'voltage', [-6, -5, -4]], ['0 to 4 A', 'current', [0, 2, 4]],
    ['10 to 40 °C', 'temperature', [10, 25, 40]], ['60 °C ±5 K', 'temperature', [55, 60, 65]], ['0.85 ±0.05', 'ratio', [0.8, 0.85, 0.9]], ['70 to 93 %', 'ratio', [0.7, Math.sqrt(0.7 * 0.93), 0.93]],
    ['4.0 V per cell ±5 %', 'voltage', [3.8, 4, 4.2]], ['0 V (-5 to 3 V)', 'voltage', [-5, 0, 3]], ['2.2 mF (-20 % +50 %)', 'capacitance', [1.76e-3, 2.2e-3, 3.3e-3]], ['25 °C, -10 to 40', 'temperature', [-10, 25, 40]],
  ] as const)('%s', (text, dimension, [low, value, high]) => {
    const q = read(text, dimension);
    expect(q.low).toBeCloseTo(low, 12);
    expect(q.value).toBeCloseTo(value, 12);
    expect(q.high).toBeCloseTo(high, 12);
    expect(q.law).toBe('uniform');
  });

  it.each([
    ['2.2 mF ±20 %, measured', 'measured', 'uniform'], ['2.2 mF measured', 'measured', 'exact'], ['2.2 mF (datasheet)', 'datasheet', 'exact'], ['2.2 mF [data sheet]', 'datasheet', 'exact'],
    ['2.2 mF assumed', 'assumed', 'exact'], ['2 mF (1 to 4), class default', 'class default', 'lognormal'], ['2 mF (1 to 4 mF, class default)', 'class default', 'lognormal'], ['2.2 mF, Derived', 'derived', 'exact'],
  ] as const)('%s comes from: %s, law %s', (text, origin, law) => {
    expect(read(text, 'capacitance')).toMatchObject({ origin, law });
  });

  it('keeps "per cell" apart from the whole pack', () => {
    for (const text of ['4 V per cell', '4 V/cell', '4 V / cell', '3.5 to 4.2 V per cell', '4 V ±5 % per cell']) expect(read(text, 'voltage').perCell).toBe(true);
    expect(read('4 V', 'voltage').perCell).toBe(false);
    expect(refusal('4 V per cell', 'voltage')).toContain('for the whole part');
  });
});

describe('refusing', () => {
  it.each([
    ['2.2 mΩ', 'capacitance', 'expected a capacitance like "2.2 mF", found "2.2 mΩ" (a resistance)'], ['8 AWG', 'length', 'wire gauge'], ['AWG 8', 'length', 'wire gauge'], ['8 mm', 'area', '(a length)'],
    ['8 A', 'charge', '(a current)'], ['40 °C', 'temperature rise', 'written in K'], ['40 K', 'temperature', 'written in °C'], ['5 Nm', 'force', '(a torque)'], ['40 mV', 'current', '(a voltage)'],
    ['5', 'voltage', 'without a unit'], ['2.2 ±20 %', 'capacitance', 'without a unit'], ['0', 'temperature', 'without a unit'], ['0', 'area', 'without a unit'], ['5-10', 'voltage', 'without a unit'], ['8', 'area', 'without a unit'],
    ['1,5 V', 'voltage', '"1,5" can be read as "1.5" (decimal comma) or as "15" (comma between thousands)'], ['1,000 V', 'voltage', '"1000"'], ['2 mF ±1,5 %', 'capacitance', 'comma'],
    ['2.2 mf', 'capacitance', 'did you mean "mF"?'], ['5 v', 'voltage', 'did you mean "V"?'], ['5 Vv', 'voltage', 'did you mean "V"?'], ['8 ah', 'charge', 'did you mean "Ah"?'], ['5 Ohn', 'resistance', 'did you mean "Ohm"?'], ['3000 rmp', 'angular speed', 'did you mean "rpm"?'], ['5 mw', 'power', 'did you mean "mW"?'],
    ['5 parsec', 'length', 'units of a length: m, mm'], ['5 V, mesured', 'voltage', 'did you mean "measured"?'], ['5 V, clas default', 'voltage', 'did you mean "class default"?'], ['5 V hello', 'voltage', 'not understood'],
    ['', 'voltage', 'found nothing'], ['   ', 'voltage', 'found nothing'], ['V', 'voltage', 'no number'], ['NaN', 'voltage', 'no number'], ['Infinity V', 'voltage', 'no number'], ['.inf', 'voltage', 'no number'], ['. V', 'voltage', 'no number'], ['--5 V', 'voltage', 'no number'],
    ['1e400 V', 'voltage', 'too large'], ['1e308 kV', 'voltage', 'too large'], ['1e-400 V', 'voltage', 'too small'], ['1 V ±1e308 kV', 'voltage', 'too large'], ['1e300 V ±1e300 %', 'voltage', 'too large'], [`${'1'.repeat(199)} V`, 'voltage', '201 characters'],
    ['41 AWG', 'area', 'no wire gauge'], ['5/0 AWG', 'area', 'no wire gauge'], ['8.5 AWG', 'area', 'no wire gauge'], ['-8 AWG', 'area', 'no wire gauge'], ['8 AWG ±1 AWG', 'area', 'in gauges'], ['2/0 V', 'voltage', 'no number here'],
    ['95 % ±5 %', 'ratio', 'percentage points'], ['60 °C ±10 %', 'temperature', 'in degrees'], ['2.2 mF ±20', 'capacitance', 'write "±20 %" or "±20 mF"'], ['2.2 mF -0.2 mF', 'capacitance', 'write "to" for a range'], ['5 to 3 V', 'voltage', 'runs downwards'],
    ['20 ms (30 to 40)', 'time', 'outside its own range'], ['20 ms (10 to 40 s)', 'time', 'outside its own range'], ['20 ms 10', 'time', 'a second number'], ['20 ms (10)', 'time', 'a range has two ends'], ['1 000 V', 'voltage', 'without a unit'], ['2 V ±5 % ±5 %', 'voltage', 'two spreads'],
    ['1 to 2 V ±5 %', 'voltage', 'two spreads'], ['5 V measured assumed', 'voltage', 'two origins'], ['(5 V', 'voltage', 'no number'], ['5 V)', 'voltage', 'brackets'], ['5 V (measured', 'voltage', 'brackets'], ['5 V (measured))', 'voltage', 'brackets'], ['5 V ((measured))', 'voltage', 'not understood'], ['5 V,', 'voltage', 'nothing after ","'], ['5 V ()', 'voltage', 'nothing after "("'],
    ['~2 mF', 'capacitance', 'as a spread'], ['<5 V', 'voltage', 'as a spread'], ['10³ V', 'voltage', 'unknown unit "³"'], ['4½ V', 'voltage', 'unknown unit "½"'], ['2 V ±', 'voltage', 'no number'], ['1 to', 'voltage', 'no number'], ['4k7', 'voltage', 'unknown unit'], ['1 V to 2 V per cell', 'voltage', 'one end per cell'],
    ['constructor', 'voltage', 'no number'], ['1 __proto__', 'voltage', 'unknown unit'], ['1 toString', 'voltage', 'unknown unit'],
  ] as const)('%s as %s: %s', (text, dimension, message) => {
    expect(refusal(text, dimension)).toContain(message);
  });

  it('escapes characters that would not show, and cuts long texts', () => {
    const message = refusal('5\u0007\u202E\u001B[31m V', 'voltage');
    expect(message).toContain('\\u{7}\\u{202e}\\u{1b}');
    expect(message).not.toMatch(/[\p{Cc}\p{Cf}]/u);
    expect(refusal(`5 ${'x'.repeat(190)}`, 'voltage').length).toBeLessThan(300);
  });
});

describe('any text', () => {
  const dimensions: readonly Dimension[] = ['voltage', 'capacitance', 'resistance', 'area', 'ratio', 'temperature', 'charge', 'inertia'];
  const piece = fc.constantFrom('1', '2.2', '0', '.', ',', 'e', '-', '+', '±', '%', 'mF', 'V', 'k', 'R', 'AWG', '/0', '(', ')', ' ', ' to ', '–', '..', 'per cell', '/cell', 'measured', 'K', '°C', '²', '^2', '·', '9e307', '1e-320', '\u0000', '\uD800');

  it('never throws and never gives a number that is not finite (seed 20261)', () => {
    const text = fc.oneof(fc.string({ unit: 'binary', maxLength: 210 }), fc.array(piece, { maxLength: 14 }).map((pieces) => pieces.join('')),
      fc.tuple(fc.double(), fc.constantFrom('mF', 'V', 'Ω', 'mm²', '%', '°C', 'Ah', 'kg·m²', 'AWG', ''), fc.array(piece, { maxLength: 5 })).map(([number, symbol, rest]) => `${number} ${symbol}${rest.join('')}`));
    let understood = 0;
    fc.assert(fc.property(text, fc.constantFrom(...dimensions), (any, dimension) => {
      const parsed = parseQuantity(any, dimension, { perCell: true });
      if (!parsed.ok) return;
      understood += 1;
      const { low, value, high } = parsed.quantity;
      expect([low, value, high].every(Number.isFinite)).toBe(true);
      expect(low <= value && value <= high).toBe(true);
    }), { seed: 20261, numRuns: 20_000 });
    expect(understood).toBeGreaterThan(100);
  });

  it('costs little however long: 10 MB, and 200 characters of anything repeated', () => {
    const start = performance.now();
    parseQuantity('1'.repeat(10_000_000), 'voltage');
    for (const unit of ['1 ', '+-', '(', 'a ', '²', '1e', ' ', 'per ', '/', '1,', '\uFDFA']) parseQuantity(`1 V ${unit.repeat(98)}`.slice(0, 200), 'voltage');
    // A thousand times what it takes here; backtracking would take far longer.
    expect(performance.now() - start).toBeLessThan(2000);
  });
});
