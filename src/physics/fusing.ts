import { COPPER } from './conductors.ts';
import { requirePositive, requireWithin } from './domain.ts';

// One circular mil, in m²: the area of a circle of 0.001 in.
const CIRCULAR_MIL_M2 = (Math.PI / 4) * 25.4e-6 ** 2;
const INCH_M = 0.0254;

/**
 * Current that melts a copper wire in a given time when no heat leaves it:
 *     I = A · √( log₁₀(1 + (θ_melt − θ_a)/(234 + θ_a)) / (33·t) ),  A in circular mils
 * The sign is plus: many copies print 234 − θ_a, which reads some 5 % high. Good to about 5 s.
 * @returns A
 * @throws RangeError when section or duration is not above zero, or the ambient is outside −60 to 300 °C
 * @see I. M. Onderdonk's equation, in E. R. Stauffacher, General Electric Review, 1928
 */
export function onderdonkCurrent_A(section_m2: number, duration_s: number, ambient_C: number): number {
  requirePositive(duration_s, 'duration_s', 's');
  return Math.sqrt(onderdonkLetThrough_A2s(section_m2, ambient_C) / duration_s);
}

/** Time in which a steady current melts a copper wire by Onderdonk's equation, s. */
export function onderdonkTime_s(section_m2: number, current_A: number, ambient_C: number): number {
  requirePositive(current_A, 'current_A', 'A');
  return onderdonkLetThrough_A2s(section_m2, ambient_C) / (current_A * current_A);
}

/** ∫i² dt that melts a copper wire with no heat leaving it, A²·s; as `onderdonkCurrent_A`. */
export function onderdonkLetThrough_A2s(section_m2: number, ambient_C: number): number {
  requirePositive(section_m2, 'section_m2', 'm²');
  requireWithin(ambient_C, -60, 300, 'ambient_C', '°C');
  const A = section_m2 / CIRCULAR_MIL_M2;
  return (A * A * Math.log10(1 + (COPPER.meltingPoint_C - ambient_C) / (234 + ambient_C))) / 33;
}

/** Preece's constants, A per inch^1.5 (W. H. Preece, Proc. Royal Society, 1884 to 1888). */
export const PREECE = {
  copper: 10244,
  aluminium: 7585,
  platinum: 5172,
  'german silver': 5230,
  platinoid: 4750,
  iron: 3148,
  tin: 1642,
  'tin-lead': 1318,
  lead: 1379,
} as const;

export type PreeceMetal = keyof typeof PREECE;

/**
 * Steady current that melts a bare round wire in still air: a·d^1.5, A. Its wires were long and free of end cooling.
 * @throws RangeError when the diameter is not above zero
 */
export function preeceCurrent_A(diameter_m: number, metal: PreeceMetal = 'copper'): number {
  requirePositive(diameter_m, 'diameter_m', 'm');
  return PREECE[metal] * (diameter_m / INCH_M) ** 1.5;
}

/** Diameter of the round wire that a steady current just melts, m: the inverse of `preeceCurrent_A`. */
export function preeceDiameter_m(current_A: number, metal: PreeceMetal = 'copper'): number {
  requirePositive(current_A, 'current_A', 'A');
  return INCH_M * (current_A / PREECE[metal]) ** (2 / 3);
}

/**
 * Current that melts a copper wire in a given time, short or long: the larger of Onderdonk and Preece, A.
 * Onderdonk alone falls below the steady value for long times, because it knows no cooling.
 */
export function fusingCurrent_A(section_m2: number, duration_s: number, ambient_C: number): number {
  const diameter_m = Math.sqrt((4 * section_m2) / Math.PI);
  return Math.max(onderdonkCurrent_A(section_m2, duration_s, ambient_C), preeceCurrent_A(diameter_m));
}
