import { formatQuantity } from './format.ts';
import type { Dimension, Origin, Quantity } from './kinds.ts';
import { normalQuantile } from './normal-quantile.ts';
import { lawOf } from './spread.ts';

export type { Dimension, Origin, Quantity } from './kinds.ts';

const AT_95 = normalQuantile(0.95);

/**
 * A quantity without spread.
 * @param value  SI value (°C for temperature)
 * @throws RangeError when the value is not finite
 */
export function exact(dimension: Dimension, value: number, origin: Origin = 'derived'): Quantity {
  return withText({ dimension, value, low: value, high: value, origin, perCell: false, text: '', law: 'exact' });
}

/**
 * Relative half width of the spread, (high − low) / (2 |value|): 0.2 for ±20 %.
 * Infinite when the value is zero and the spread is not.
 */
export function spreadOf(q: Quantity): number {
  return q.low === q.high ? 0 : (q.high - q.low) / 2 / Math.abs(q.value);
}

/**
 * The value below which a share `u` of the spread lies. `value` is the median of every law.
 * A uniform spread is uniform on each side of it; a log-normal one has its 5 % and 95 % points at
 * `low` and `high`, each side its own width, and is cut at its 1 % and 99 % points, because a class
 * default says nothing about rarer parts. Never falls as `u` grows.
 * @param u  0 < u < 1
 * @throws RangeError outside that range (NaN included)
 */
export function quantile(q: Quantity, u: number): number {
  if (!(u > 0 && u < 1)) throw new RangeError(`u: expected 0 < u < 1, got ${u}`);
  if (q.law === 'exact') return q.value;
  if (q.law === 'lognormal') {
    const z = normalQuantile(Math.min(Math.max(u, 0.01), 0.99)) / AT_95;
    return q.value * (z < 0 ? (q.low / q.value) ** -z : (q.high / q.value) ** z);
  }
  return u < 0.5 ? q.low + 2 * u * (q.value - q.low) : q.value + (2 * u - 1) * (q.high - q.value);
}

/**
 * A quantity times a number without spread; origin and `perCell` stay as they are, and so does the law
 * where the sign allows it.
 * @throws RangeError when the factor, or a product, is not finite
 */
export function scaled(q: Quantity, factor: number): Quantity {
  const ends = [q.low * factor, q.high * factor] as const;
  const low = Math.min(...ends);
  const high = Math.max(...ends);
  const law = low === high ? 'exact' : low > 0 ? q.law : 'uniform';
  return withText({ ...q, value: q.value * factor, low, high, law });
}

/**
 * A quantity from its numbers, for parsers and class defaults; the law follows from the origin.
 * @param text  as written; formatted from the numbers when left out
 * @throws RangeError when a number is not finite or `low` ≤ `value` ≤ `high` does not hold
 */
export function ranged(
  dimension: Dimension, value: number, low: number, high: number, origin: Origin, perCell = false, text?: string,
): Quantity {
  const q = { dimension, value, low, high, origin, perCell, text: text ?? '', law: lawOf(low, high, origin) };
  return text === undefined ? withText(q) : q;
}

function withText(q: Quantity): Quantity {
  const six = (number: number) => Number(number.toPrecision(6));
  return { ...q, text: formatQuantity({ ...q, value: six(q.value), low: six(q.low), high: six(q.high) }) };
}
