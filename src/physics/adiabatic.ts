import { COPPER, type AdiabaticMetal } from './conductors.ts';
import { requireNotNegative, requirePositive } from './domain.ts';

/**
 * Temperature a conductor reaches when a current is too short for heat to leave it:
 *     θ_end = (θ_start + β) · exp( I²t / (K·S)² ) − β
 * Good for up to about 5 s; longer ones cool on the way, so the answer errs hot.
 * @param letThrough_A2s  ∫i² dt, A²·s, ≥ 0
 * @param section_mm2     metal cross-section S, mm², > 0
 * @returns end temperature, °C, never below `start_C`
 * @throws RangeError when an argument is out of range (NaN included)
 * @see IEC 60949:1988, adiabatic short-circuit current
 */
export function adiabaticHeating(
  letThrough_A2s: number,
  section_mm2: number,
  start_C: number,
  metal: AdiabaticMetal = COPPER,
): number {
  requireNotNegative(letThrough_A2s, 'letThrough_A2s', 'A²·s');
  requirePositive(section_mm2, 'section_mm2', 'mm²');
  requireAboveZeroResistance(start_C, 'start_C', metal);
  const KS = metal.adiabaticK * section_mm2;
  const beta = metal.zeroResistance_C;
  return start_C + (start_C + beta) * Math.expm1(letThrough_A2s / (KS * KS));
}

/**
 * The k of cable tables: current per area times the root of time, A·s½/mm², k = K · √ln((θf + β)/(θi + β)).
 * @throws RangeError when the end is not above the start
 * @see IEC 60364-5-54 Annex A; IEC 60364-4-43 Table 43A
 */
export function kFactor(start_C: number, end_C: number, metal: AdiabaticMetal = COPPER): number {
  requireAboveZeroResistance(start_C, 'start_C', metal);
  if (!(end_C > start_C && end_C < Infinity)) {
    throw new RangeError(`end_C: expected above the start, ${start_C} °C, got ${end_C}`);
  }
  const beta = metal.zeroResistance_C;
  return metal.adiabaticK * Math.sqrt(Math.log((end_C + beta) / (start_C + beta)));
}

/** Largest ∫i² dt that keeps the conductor at or below `end_C`, A²·s: (k·S)². Same validity as `adiabaticHeating`. */
export function permissibleLetThrough_A2s(
  section_mm2: number,
  start_C: number,
  end_C: number,
  metal: AdiabaticMetal = COPPER,
): number {
  requirePositive(section_mm2, 'section_mm2', 'mm²');
  const kS = kFactor(start_C, end_C, metal) * section_mm2;
  return kS * kS;
}

/** Largest steady current of a given duration that keeps the conductor at or below `end_C`, A: k·S/√t. */
export function permissibleCurrent_A(
  section_mm2: number,
  duration_s: number,
  start_C: number,
  end_C: number,
  metal: AdiabaticMetal = COPPER,
): number {
  requirePositive(duration_s, 'duration_s', 's');
  return Math.sqrt(permissibleLetThrough_A2s(section_mm2, start_C, end_C, metal) / duration_s);
}

/** Smallest section that carries the current for the duration, mm²: I·√t/k. */
export function requiredSection_mm2(
  current_A: number,
  duration_s: number,
  start_C: number,
  end_C: number,
  metal: AdiabaticMetal = COPPER,
): number {
  requireNotNegative(current_A, 'current_A', 'A');
  requirePositive(duration_s, 'duration_s', 's');
  return (current_A * Math.sqrt(duration_s)) / kFactor(start_C, end_C, metal);
}

function requireAboveZeroResistance(temperature_C: number, name: string, metal: AdiabaticMetal): void {
  if (!(temperature_C > -metal.zeroResistance_C && temperature_C < Infinity)) {
    throw new RangeError(`${name}: expected above ${-metal.zeroResistance_C} °C, got ${temperature_C}`);
  }
}
