import { COPPER } from './conductors.ts';
import { freeAirAmpacity_A, JACKET_EMISSIVITY, JACKET_W_MK, strandedDiameter_m } from './cooling.ts';
import { requirePositive } from './domain.ts';
import { JACKET_RATIO } from './inductance.ts';
import { type HeatedLump } from './joule.ts';

/**
 * Temperature from which cable tables let a short circuit begin, °C, and at which PVC is spoilt by it: together k = 115
 * A·s½/mm² (IEC 60364-4-43, Table 43A). Silicone stands 180 °C for long and 350 °C in a short.
 */
export const SHORT_START_C = 70;
export const SPOILT_C = 160;

/**
 * A metre of jacketed copper cable in still air as one lump: heat capacity of its metal alone, (K·S)²·R/(β + 20), which is
 * what IEC 60949's K stands for, so that a short current does to it what `adiabaticHeating` says; loss to the air in
 * proportion to its rise, right at the limit. What the jacket stores is left out: times err short.
 * @param section_mm2  metal cross-section, mm², > 0
 * @throws RangeError when the section is not above zero, or the limit not above the ambient
 */
export function cableLump(section_mm2: number, ambient_C: number, limit_C: number = SPOILT_C): HeatedLump {
  requirePositive(section_mm2, 'section_mm2', 'mm²');
  const section_m2 = section_mm2 * 1e-6;
  const { adiabaticK, zeroResistance_C, resistivity20_ohm_m } = COPPER;
  const resistance_ohm = resistivity20_ohm_m / section_m2;
  const capacity_J_K = ((adiabaticK * section_mm2) ** 2 * resistance_ohm) / (zeroResistance_C + 20);
  const carries_A = longCurrent_A(section_mm2, ambient_C, limit_C);
  const hot_ohm = (resistance_ohm * (zeroResistance_C + limit_C)) / (zeroResistance_C + 20);
  return {
    resistance_ohm,
    reference_C: 20,
    coefficient_per_K: 1 / (zeroResistance_C + 20),
    capacity_J_K,
    conductance_W_K: (carries_A ** 2 * hot_ohm) / (limit_C - ambient_C),
    ambient_C,
  };
}

/** Current that holds a jacketed cable at a temperature, alone in still air, A. */
export function longCurrent_A(section_mm2: number, ambient_C: number, limit_C: number = SPOILT_C): number {
  const section_m2 = section_mm2 * 1e-6;
  const insulation_m = (JACKET_RATIO * Math.sqrt((4 * section_m2) / Math.PI) - strandedDiameter_m(section_m2)) / 2;
  return freeAirAmpacity_A({ section_m2, insulation_m, insulation_W_mK: JACKET_W_MK, emissivity: JACKET_EMISSIVITY }, limit_C, ambient_C);
}
