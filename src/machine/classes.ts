import { ranged, type Dimension, type Quantity } from '../quantity/quantity.ts';

/** A class default: a value with its 5 % and 95 % points. */
export function classDefault(dimension: Dimension, value: number, low: number, high: number): Quantity {
  return ranged(dimension, value, low, high, 'class default');
}

/** A class default whose spread is given as factors of the value. */
export function classDefaultTimes(dimension: Dimension, value: number, lowFactor: number, highFactor: number): Quantity {
  return classDefault(dimension, value, value * lowFactor, value * highFactor);
}

/**
 * Interpolates a class table (value against size) in log–log, held at its ends.
 * @param table  ascending sizes
 */
export function classCurve(table: readonly (readonly [size: number, value: number])[], size: number): number {
  const first = table[0]!;
  const last = table[table.length - 1]!;
  if (!(size > first[0])) return first[1];
  if (size >= last[0]) return last[1];
  const k = table.findIndex(([s]) => s >= size);
  const [s0, v0] = table[k - 1]!;
  const [s1, v1] = table[k]!;
  const share = Math.log(size / s0) / Math.log(s1 / s0);
  return v0 * (v1 / v0) ** share;
}
