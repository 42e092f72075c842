import { requirePositive } from './domain.ts';

/** Preferred numbers for resistors, one decade each (IEC 60063:2015). */
export const E12 = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2] as const;

export const E24 = [
  1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1,
] as const;

export const E96 = [
  1.0, 1.02, 1.05, 1.07, 1.1, 1.13, 1.15, 1.18, 1.21, 1.24, 1.27, 1.3, 1.33, 1.37, 1.4, 1.43, 1.47, 1.5, 1.54, 1.58,
  1.62, 1.65, 1.69, 1.74, 1.78, 1.82, 1.87, 1.91, 1.96, 2.0, 2.05, 2.1, 2.15, 2.21, 2.26, 2.32, 2.37, 2.43, 2.49, 2.55,
  2.61, 2.67, 2.74, 2.8, 2.87, 2.94, 3.01, 3.09, 3.16, 3.24, 3.32, 3.4, 3.48, 3.57, 3.65, 3.74, 3.83, 3.92, 4.02, 4.12,
  4.22, 4.32, 4.42, 4.53, 4.64, 4.75, 4.87, 4.99, 5.11, 5.23, 5.36, 5.49, 5.62, 5.76, 5.9, 6.04, 6.19, 6.34, 6.49, 6.65,
  6.81, 6.98, 7.15, 7.32, 7.5, 7.68, 7.87, 8.06, 8.25, 8.45, 8.66, 8.87, 9.09, 9.31, 9.53, 9.76,
] as const;

export type PreferredSide = 'below' | 'above' | 'nearest';

/**
 * The preferred value at or next to a wanted one, in any decade. `below` and `above` keep a value that is preferred
 * already; `nearest` compares ratios, because the series is geometric.
 * @param series  one decade from 1 up, rising
 * @throws RangeError when the value is not above zero (NaN included)
 */
export function nearestPreferred(series: readonly number[], value: number, side: PreferredSide): number {
  requirePositive(value, 'value', '');
  const decade = Math.floor(Math.log10(value));
  // One decade either way, since log10 may round across a power of ten.
  const candidates = [decade - 1, decade, decade + 1].flatMap((power) => series.map((step) => scaled(step, power)));
  // A wanted value that was computed (3 × 1.1) counts as the preferred one it means.
  const slack = 1e-12 * value;
  const below = candidates.findLast((candidate) => candidate <= value + slack)!;
  const above = candidates.find((candidate) => candidate >= value - slack)!;
  if (side === 'below') return below;
  if (side === 'above') return above;
  return value * value <= below * above ? below : above;
}

// Through decimal text, so that 4.7 kΩ is 4700 and not 4700.000000000001.
function scaled(step: number, power: number): number {
  return Number(`${step}e${power}`);
}
