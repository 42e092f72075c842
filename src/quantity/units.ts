import { awgSection_m2, gaugeNumber } from './awg.ts';
import type { Dimension } from './kinds.ts';

/** One way to write a dimension: SI value = number · 10^exponent · factor + offset. */
export interface Unit {
  readonly dimension: Dimension;
  readonly symbol: string;
  /** Kept apart from `factor` so that decimal text converts with a single rounding. */
  readonly exponent: number;
  readonly factor: number;
  readonly offset: number;
  /** A wire gauge: not proportional to the section. */
  readonly gauge: boolean;
}

interface Entry {
  /** With its article, for messages. */
  readonly name: string;
  readonly example: string;
  /** Units used in print, largest first: symbol and the smallest SI magnitude printed in it. */
  readonly ladder: readonly (readonly [symbol: string, from: number])[];
  /** Unit written when the printed one cannot reproduce a number exactly. */
  readonly base: string;
  readonly units: ReadonlyMap<string, Unit>;
}

type Spelling = readonly [symbols: string, exponent: number, factor?: number, offset?: number];

// Micro is U+00B5 in print (on keyboards and in every font); scanning turns it into the Greek U+03BC.
const PREFIXES: Readonly<Record<string, number>> = {
  p: -12, n: -9, 'μ': -6, u: -6, m: -3, '': 0, k: 3, M: 6, G: 9,
};

/** Spellings of one unit under several prefixes: `prefixed('F', 'p n μ u m')`. */
function prefixed(symbols: string, prefixes: string): Spelling[] {
  return ['', ...prefixes.split(' ')].map((prefix) => [
    symbols.split(' ').map((symbol) => prefix + symbol).join(' '),
    PREFIXES[prefix] ?? 0,
  ]);
}

// Exact by definition: international inch, foot, mile and avoirdupois pound (1959), hour and minute.
const INCH_m = 0.0254;
const POUND_kg = 0.45359237;
const TURN_PER_MINUTE = Math.PI / 30;

const OHM = 'Ω ohm ohms Ohm Ohms';

const ENTRIES = {
  // First, so that a K out of place is named a kelvin rather than a kilohm.
  'temperature rise': ['a temperature difference', '40 K', 'K', [['K', 0]],
    [['K kelvin', 0]]],
  voltage: ['a voltage', '4.0 V', 'V', [['kV', 1e3], ['V', 0.1], ['mV', 1e-4], ['µV', 0]],
    [...prefixed('V', 'μ u m k'), ['volt volts', 0]]],
  current: ['a current', '40 A', 'A', [['kA', 1e3], ['A', 0.1], ['mA', 1e-4], ['µA', 1e-7], ['nA', 0]],
    [...prefixed('A', 'n μ u m k'), ['amp amps', 0]]],
  resistance: ['a resistance', '33 Ω', 'Ω', [['MΩ', 1e6], ['kΩ', 1e3], ['Ω', 0.1], ['mΩ', 1e-4], ['µΩ', 0]],
    [...prefixed(OHM, 'μ u m k M G'), ['R', 0], ['k K', 3], ['M', 6], ['milliohm milliohms', -3]]],
  capacitance: ['a capacitance', '2.2 mF', 'F', [['F', 1], ['mF', 1e-3], ['µF', 1e-6], ['nF', 1e-9], ['pF', 0]],
    prefixed('F', 'p n μ u m')],
  inductance: ['an inductance', '0.7 µH', 'H', [['H', 1], ['mH', 1e-3], ['µH', 1e-7], ['nH', 0]],
    prefixed('H', 'n μ u m')],
  power: ['a power', '50 W', 'W', [['MW', 1e6], ['kW', 1e3], ['W', 0.1], ['mW', 1e-4], ['µW', 0]],
    [...prefixed('W', 'μ u m k M'), ['watt watts', 0], ['VA V·A', 0]]],
  energy: ['an energy', '45 mJ', 'J', [['MJ', 1e6], ['kJ', 1e3], ['J', 0.1], ['mJ', 1e-4], ['µJ', 0]],
    [...prefixed('J', 'n μ u m k M'), ['Ws W·s', 0], ['Wh W·h', 0, 3600], ['kWh', 3, 3600]]],
  time: ['a time', '20 ms', 's', [['s', 0.1], ['ms', 1e-4], ['µs', 1e-7], ['ns', 0]],
    [...prefixed('s', 'p n μ u m'), ['sec second seconds', 0], ['min minute minutes', 0, 60], ['h hour hours', 0, 3600]]],
  length: ['a length', '0.45 m', 'm', [['m', 0.1], ['mm', 1e-4], ['µm', 0]],
    [...prefixed('m', 'n μ u m k'), ['cm', -2], ['in inch inches', 0, INCH_m], ['ft foot feet', 0, 12 * INCH_m]]],
  area: ['a cross-section', '8 AWG" or "16 mm²', 'm²', [['m²', 0.1], ['mm²', 0]],
    [['m² sqm', 0], ['cm²', -4], ['mm² sqmm', -6], ['in²', 0, INCH_m * INCH_m]]],
  mass: ['a mass', '1.4 kg', 'kg', [['kg', 1], ['g', 1e-3], ['mg', 0]],
    [['kg', 0], ['g gram grams', -3], ['mg', -6], ['lb lbs', 0, POUND_kg], ['oz', 0, POUND_kg / 16]]],
  temperature: ['a temperature', '60 °C', '°C', [['°C', 0]],
    [['°C C degC', 0], ['°F degF', 0, 5 / 9, -160 / 9]]],
  charge: ['a charge', '8 Ah', 'C', [['Ah', 360], ['mAh', 3.6], ['C', 0.1], ['mC', 1e-4], ['µC', 0]],
    [...prefixed('C', 'p n μ u m k'), ['As A·s', 0], ['Ah A·h', 0, 3600], ['mAh mA·h', -3, 3600]]],
  frequency: ['a frequency', '24 kHz', 'Hz', [['MHz', 1e6], ['kHz', 1e3], ['Hz', 0.1], ['mHz', 0]],
    prefixed('Hz', 'm k M G')],
  torque: ['a torque', '1.2 N·m', 'N·m', [['N·m', 0.1], ['mN·m', 0]],
    [...prefixed('N·m Nm', 'm k'), ['N·cm Ncm', -2]]],
  'torque per current': ['a torque per current', '0.025 N·m/A', 'N·m/A', [['N·m/A', 0]],
    prefixed('N·m/A Nm/A', 'm')],
  'angular speed': ['a speed of rotation', '3000 rpm', 'rad/s', [['rpm', 0]],
    [['rad/s', 0], ['rpm RPM r/min rev/min 1/min', 0, TURN_PER_MINUTE], ['rev/s', 0, 2 * Math.PI]]],
  inertia: ['a moment of inertia', '4.05e-4 kg·m²', 'kg·m²', [['kg·m²', 0]],
    [['kg·m² kgm²', 0], ['g·m² gm²', -3], ['kg·cm² kgcm²', -4], ['kg·mm²', -6], ['g·cm² gcm²', -7], ['g·mm²', -9]]],
  'let-through': ['a let-through', '171 A²s', 'A²s', [['A²s', 0]],
    [['A²s A²·s', 0]]],
  ratio: ['a ratio', '50 %" or "0.5', '', [['', 1 + Number.EPSILON], ['%', 0]],
    [['', 0], ['% percent', -2]]],
  'thermal resistance': ['a thermal resistance', '12 K/W', 'K/W', [['K/W', 0]],
    [...prefixed('K/W °C/W C/W', 'm')]],
  'heat capacity': ['a heat capacity', '35 J/K', 'J/K', [['kJ/K', 1e3], ['J/K', 0.1], ['mJ/K', 0]],
    prefixed('J/K J/°C J/C', 'm k')],
  'turns per volt': ['a speed constant', '1100 rpm/V', 'rad/s/V', [['rpm/V', 0]],
    [['rpm/V RPM/V r/min/V', 0, TURN_PER_MINUTE], ['rad/s/V', 0]]],
  money: ['an amount of money', '12 EUR', '', [['', 0]],
    [['', 0], ['EUR € USD $ GBP £', 0]]],
  count: ['a count', '4', '', [['', 0]],
    [['', 0]]],
  conductance: ['a conductance', '2 mS', 'S', [['kS', 1e3], ['S', 0.1], ['mS', 1e-4], ['µS', 0]],
    prefixed('S', 'n μ u m k')],
  force: ['a force', '15 N', 'N', [['kN', 1e3], ['N', 0.1], ['mN', 0]],
    prefixed('N', 'm k')],
  speed: ['a speed', '3 m/s', 'm/s', [['m/s', 0.1], ['mm/s', 0]],
    [['m/s', 0], ['mm/s', -3], ['km/h kph', 0, 1 / 3.6], ['ft/s', 0, 12 * INCH_m], ['mph', 0, (63360 * INCH_m) / 3600]]],
} as const satisfies Record<Dimension, readonly [string, string, string, readonly (readonly [string, number])[], readonly Spelling[]]>;

const TABLE: ReadonlyMap<Dimension, Entry> = new Map(
  (Object.keys(ENTRIES) as Dimension[]).map((dimension) => {
    const [name, example, base, ladder, spellings] = ENTRIES[dimension];
    const units = new Map<string, Unit>();
    for (const [symbols, exponent, factor = 1, offset = 0] of spellings as readonly Spelling[]) {
      for (const symbol of symbols.split(' ')) {
        units.set(symbol, { dimension, symbol, exponent, factor, offset, gauge: false });
      }
    }
    if (dimension === 'area') {
      for (const symbol of ['AWG', 'awg', 'ga', 'gauge']) {
        units.set(symbol, { dimension, symbol: 'AWG', exponent: 0, factor: 1, offset: 0, gauge: true });
      }
    }
    return [dimension, { name, example, base, ladder, units }];
  }),
);

function entry(dimension: Dimension): Entry {
  const found = TABLE.get(dimension);
  if (found === undefined) throw new RangeError(`dimension: expected a known one, got ${String(dimension)}`);
  return found;
}

/** The unit a symbol (already normalised) names in a dimension. */
export function findUnit(symbol: string, dimension: Dimension): Unit | undefined {
  return entry(dimension).units.get(symbol.replaceAll('\u00B5', '\u03BC'));
}

/** The first unit of any dimension that a symbol names; for telling what a slip would mean. */
export function findUnitAnywhere(symbol: string): Unit | undefined {
  for (const { units } of TABLE.values()) {
    const unit = units.get(symbol);
    if (unit !== undefined) return unit;
  }
  return undefined;
}

/** Every spelling of a dimension's units, the ones used in print first. */
export function unitSymbols(dimension: Dimension): readonly string[] {
  const { ladder, units } = entry(dimension);
  return [...ladder.map(([symbol]) => symbol), ...units.keys()].filter((symbol) => symbol !== '');
}

/** The unit in which a magnitude of a dimension is printed. */
export function printUnit(magnitude: number, dimension: Dimension): Unit {
  const { ladder, base } = entry(dimension);
  const step = magnitude === 0 ? undefined : ladder.find(([, from]) => magnitude >= from);
  return findUnit(step?.[0] ?? (dimension === 'ratio' ? '%' : base), dimension) ?? baseUnit(dimension);
}

/** The SI unit of a dimension, °C for temperature. */
export function baseUnit(dimension: Dimension): Unit {
  const unit = findUnit(entry(dimension).base, dimension);
  if (unit === undefined) throw new Error(`units: no base unit for ${dimension}`);
  return unit;
}

/** `a capacitance like "2.2 mF"`. */
export function expectation(dimension: Dimension): string {
  const { name, example } = entry(dimension);
  return `${name} like "${example}"`;
}

/** `a capacitance`. */
export function dimensionName(dimension: Dimension): string {
  return entry(dimension).name;
}

/**
 * SI value of a decimal number written in a unit; not finite or NaN when the text is no number of that
 * unit. Decimal units convert with one rounding, so 0.4 mΩ is the double nearest to 0.0004.
 */
export function toSI(decimal: string, unit: Unit): number {
  if (unit.gauge) {
    const gauge = gaugeNumber(decimal);
    return gauge === undefined ? NaN : awgSection_m2(gauge);
  }
  return timesPowerOfTen(decimal, unit.exponent) * unit.factor + unit.offset;
}

/** A decimal text times a power of ten, rounded once. */
export function timesPowerOfTen(decimal: string, exponent: number): number {
  const at = decimal.search(/e/i);
  const significand = at < 0 ? decimal : decimal.slice(0, at);
  const written = at < 0 ? 0 : Number(decimal.slice(at + 1));
  return Number(`${significand}e${written + exponent}`);
}
