import type { Dimension, Origin, Quantity } from './kinds.ts';

// Parsing and printing share these so that what is printed reads back to the same double.

export interface Bounds {
  readonly low: number;
  readonly high: number;
}

/**
 * Bounds at distances below and above a value, both ≥ 0. Rounded to 15 digits, so that 0.85 ± 0.05 ends
 * at 0.8 and not at 0.7999999999999999.
 */
export function boundsAround(value: number, below: number, above: number): Bounds {
  const low = Number((value - below).toPrecision(15));
  const high = Number((value + above).toPrecision(15));
  return { low: Math.min(low, value), high: Math.max(high, value) };
}

/**
 * The middle of a range of which only the ends are known: the geometric mean when both are above zero,
 * because such unknowns are known to a factor; the midpoint otherwise, and always for temperatures,
 * whose zero is arbitrary.
 */
export function middle(low: number, high: number, dimension: Dimension): number {
  const product = low * high;
  const mean = !(low > 0 && high > 0) || dimension === 'temperature' ? low / 2 + high / 2
    : product > 1e-290 && product < 1e290 ? Math.sqrt(product)
    : Math.sqrt(low) * Math.sqrt(high);
  return Math.min(Math.max(mean, low), high);
}

/** How samples spread: class defaults are log-normal where a logarithm exists, other spreads uniform. */
export function lawOf(low: number, high: number, origin: Origin): Quantity['law'] {
  if (low === high) return 'exact';
  return origin === 'class default' && low > 0 ? 'lognormal' : 'uniform';
}
