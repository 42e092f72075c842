import { awgSection_m2, gaugeName, nearestGauge } from './awg.ts';
import type { Dimension, Quantity } from './kinds.ts';
import { boundsAround, middle } from './spread.ts';
import { baseUnit, printUnit, timesPowerOfTen, toSI, type Unit } from './units.ts';

/**
 * A value for people to read: `2.2 mF`, `1.03 kA`, `0.41 s`, `8 Ah`, `95 %`.
 * @param value      SI value (°C for temperature)
 * @param digits     significant digits, 1 to 17; trailing zeros are dropped
 * @throws RangeError when the value is not finite, or digits out of range
 */
export function formatValue(value: number, dimension: Dimension, digits = 3): string {
  requireFinite(value);
  // Rounded before the unit is chosen, so that 999.7 A becomes 1 kA and not 1000 A.
  const rounded = Number(value.toPrecision(digits));
  const unit = printUnit(Math.abs(rounded), dimension);
  if (unit.factor === 1) return withSymbol(decimalText(rounded, -unit.exponent), unit);
  return withSymbol(decimalText(Number(inUnit(value, unit).toPrecision(digits)), 0), unit);
}

/**
 * A quantity with its spread and origin, written so that it parses back to the same numbers:
 * `2.2 mF ±20 %, measured`, `1.5 to 3 mF`, `20 ms (10 to 40 ms)`, `4 V per cell`, `8 AWG`.
 * @throws RangeError when a number is not finite, or the bounds do not enclose the value
 */
export function formatQuantity(q: Quantity): string {
  requireFinite(q.value);
  requireFinite(q.low);
  requireFinite(q.high);
  if (!(q.low <= q.value && q.value <= q.high)) {
    throw new RangeError(`quantity: expected low ≤ value ≤ high, got ${q.low}, ${q.value}, ${q.high}`);
  }
  const cell = q.perCell ? ' per cell' : '';
  const origin = q.origin === 'stated' ? '' : `, ${q.origin}`;
  return spreadText(q, cell) + origin;
}

/**
 * A conductor's cross-section: `8 AWG (8.37 mm²)` when within 1 % of a gauge, otherwise `16 mm²`.
 * @param section_m2  m², ≥ 0
 * @throws RangeError when the section is negative or not finite
 */
export function formatSection(section_m2: number): string {
  if (!(section_m2 >= 0)) throw new RangeError(`section_m2: expected ≥ 0 m², got ${section_m2}`);
  const plain = formatValue(section_m2, 'area');
  const gauge = nearestGauge(section_m2);
  if (gauge === undefined || !(Math.abs(section_m2 / awgSection_m2(gauge) - 1) <= 0.01)) return plain;
  return `${gaugeName(gauge)} (${plain})`;
}

function spreadText(q: Quantity, cell: string): string {
  const exponentUnit = printUnit(Math.abs(q.value), q.dimension);
  const numbers = [q.value, q.low, q.high];
  const preferred = numbers.map((number) => exactDecimal(number, exponentUnit));
  const exactly = preferred.every((text) => text !== undefined);
  const unit = exactly ? exponentUnit : baseUnit(q.dimension);
  const [value = '', low = '', high = ''] = exactly ? preferred : numbers.map((number) => decimalText(number, -unit.exponent));

  const nominal = (gaugeText(q) ?? withSymbol(value, unit)) + cell;
  if (q.low === q.high) return nominal;
  const tolerance = toleranceText(q);
  if (tolerance !== undefined) return `${nominal} ${tolerance}`;
  const range = `${low} to ${withSymbol(high, unit)}`;
  // A short value was somebody's nominal value, not merely the middle of what was written.
  const onlyRange = value.length > 7 && q.value === middle(q.low, q.high, q.dimension);
  return onlyRange ? range + cell : `${nominal} (${range})`;
}

/** The gauge that a section is exactly; otherwise a gauge would read back as another section. */
function gaugeText(q: Quantity): string | undefined {
  if (q.dimension !== 'area') return undefined;
  const gauge = nearestGauge(q.value);
  return gauge !== undefined && awgSection_m2(gauge) === q.value ? gaugeName(gauge) : undefined;
}

function toleranceText(q: Quantity): string | undefined {
  // A percentage of a percentage, or of a temperature in °C, would mislead.
  if (q.dimension === 'ratio' || q.dimension === 'temperature' || q.value === 0) return undefined;
  const size = Math.abs(q.value);
  const below = percentText((q.value - q.low) / size);
  const above = percentText((q.high - q.value) / size);
  const bounds = boundsAround(q.value, size * timesPowerOfTen(below, -2), size * timesPowerOfTen(above, -2));
  if (bounds.low !== q.low || bounds.high !== q.high) return undefined;
  if (below === above) return `±${below} %`;
  // Capacitors are marked with two tolerances; other things are easier to read as a range.
  return q.dimension === 'capacitance' ? `-${below} % +${above} %` : undefined;
}

function percentText(fraction: number): string {
  return decimalText(Number((fraction * 100).toPrecision(6)), 0);
}

/** Shortest decimal that reads back to exactly this value in this unit, if there is one. */
function exactDecimal(value: number, unit: Unit): string | undefined {
  if (unit.factor === 1 && unit.offset === 0) return decimalText(value, -unit.exponent);
  for (const digits of [15, 16, 17]) {
    const text = decimalText(Number(inUnit(value, unit).toPrecision(digits)), 0);
    if (toSI(text, unit) === value) return text;
  }
  return undefined;
}

function inUnit(value: number, unit: Unit): number {
  return (value - unit.offset) / (unit.factor * 10 ** unit.exponent);
}

/** Shortest decimal text of a number times 10^shift, moved by its digits so that nothing is rounded. */
function decimalText(value: number, shift: number): string {
  if (value === 0) return '0';
  const [significand = '', power = ''] = Math.abs(value).toExponential().split('e');
  const digits = significand.replace('.', '');
  const exponent = Number(power) + shift;
  const sign = value < 0 ? '-' : '';
  if (exponent < -3 || exponent > 6) {
    return `${sign}${digits.charAt(0)}${digits.length > 1 ? `.${digits.slice(1)}` : ''}e${exponent}`;
  }
  if (exponent < 0) return `${sign}0.${'0'.repeat(-exponent - 1)}${digits}`;
  const whole = digits.slice(0, exponent + 1).padEnd(exponent + 1, '0');
  const rest = digits.slice(exponent + 1);
  return `${sign}${whole}${rest === '' ? '' : `.${rest}`}`;
}

function withSymbol(number: string, unit: Unit): string {
  const symbol = unit.symbol.replace('\u03BC', '\u00B5');
  return symbol === '' ? number : `${number} ${symbol}`;
}

function requireFinite(value: number): void {
  if (!Number.isFinite(value)) throw new RangeError(`value: expected a finite number, got ${value}`);
}
