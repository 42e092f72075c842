import { requirePositive } from './domain.ts';

// μ0, H/m, to the digits that matter here (CODATA 2018 differs from 4π·10⁻⁷ in the tenth).
const MU0 = 4e-7 * Math.PI;

/**
 * Loop inductance of a straight go-and-return pair of equal round wires, current spread evenly in each:
 *     L = (μ0/π) · ℓ · ( ln(s/a) + 1/4 )
 * The 1/4 is the field inside both wires. It counts the ends as part of the things connected, so ℓ ≫ s.
 * Fast edges push the current to the facing skins; see `pairInductanceFast_H` for that limit.
 * @param length_m    one way, m, > 0
 * @param spacing_m   centre to centre, m, at least one conductor diameter
 * @param section_m2  metal cross-section of one wire, m²; a solid round is assumed, so stranded wire comes out a little high
 * @returns H, both wires together
 * @throws RangeError when the wires would overlap, or an argument is not above zero
 * @see E. B. Rosa, The self and mutual inductances of linear conductors, Bulletin of the Bureau of Standards 4 (1908) 301
 */
export function pairInductance_H(length_m: number, spacing_m: number, section_m2: number): number {
  const a = checkedRadius_m(length_m, spacing_m, section_m2);
  return (MU0 / Math.PI) * length_m * (Math.log(spacing_m / a) + 0.25);
}

/**
 * The same pair when all current runs in the skin and crowds to the facing sides, the lower limit for fast edges:
 *     L = (μ0/π) · ℓ · acosh(s/2a)
 * Touching bare wires give zero; jackets keep real pairs away from that.
 * @see two-wire line of perfect conductors, any text on transmission lines
 */
export function pairInductanceFast_H(length_m: number, spacing_m: number, section_m2: number): number {
  const a = checkedRadius_m(length_m, spacing_m, section_m2);
  return (MU0 / Math.PI) * length_m * Math.acosh(Math.max(1, spacing_m / (2 * a)));
}

/**
 * Inductance of a coaxial pair with a thin outer conductor: (μ0/2π) · ℓ · ( ln(b/a) + 1/4 ), H.
 * The least that a go-and-return of this size can have, short of interleaved strips.
 * @param outer_m  radius of the outer conductor, m, at least the inner one's
 * @throws RangeError when a radius or the length is not above zero, or the outer lies inside the inner
 */
export function coaxialInductance_H(length_m: number, inner_m: number, outer_m: number): number {
  requirePositive(length_m, 'length_m', 'm');
  requirePositive(inner_m, 'inner_m', 'm');
  if (!(outer_m >= inner_m && outer_m < Infinity)) {
    throw new RangeError(`outer_m: expected at least ${inner_m} m, got ${outer_m}`);
  }
  return (MU0 / (2 * Math.PI)) * length_m * (Math.log(outer_m / inner_m) + 0.25);
}

export type Lay = 'tied' | 'loose' | 'coaxial';

/**
 * Outside diameter of soft silicone-jacketed wire over that of a solid round of the same section.
 * Common practice, no source: 5.5 mm over 2.59 mm at 10 AWG, 3.5 over 1.63 at 14 AWG.
 */
export const JACKET_RATIO = 2.1;

/** Centre spacing of two wires that run apart through a machine, m. Common practice, no source: 1.3 µH/m at 10 AWG. */
export const LOOSE_SPACING_M = 0.025;

/**
 * Loop inductance of a pair laid in a named way, H: `tied` has its jackets touching, `loose` runs 25 mm apart,
 * `coaxial` has the return wrapped around the jacket (a lower bound, not a habit of the trade).
 */
export function layInductance_H(length_m: number, section_m2: number, lay: Lay): number {
  requirePositive(section_m2, 'section_m2', 'm²');
  const a = Math.sqrt(section_m2 / Math.PI);
  const jacket_m = JACKET_RATIO * 2 * a;
  switch (lay) {
    case 'tied':
      return pairInductance_H(length_m, jacket_m, section_m2);
    case 'loose':
      return pairInductance_H(length_m, Math.max(LOOSE_SPACING_M, jacket_m), section_m2);
    case 'coaxial':
      return coaxialInductance_H(length_m, a, jacket_m / 2);
  }
}

function checkedRadius_m(length_m: number, spacing_m: number, section_m2: number): number {
  requirePositive(length_m, 'length_m', 'm');
  requirePositive(section_m2, 'section_m2', 'm²');
  const a = Math.sqrt(section_m2 / Math.PI);
  // One part in 10¹² forgives a spacing computed as twice the radius.
  if (!(spacing_m >= 2 * a * (1 - 1e-12) && spacing_m < Infinity)) {
    throw new RangeError(`spacing_m: expected at least the conductor's diameter, ${2 * a} m, got ${spacing_m}`);
  }
  return a;
}
