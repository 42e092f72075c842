import { requirePositive, requireWithin } from './domain.ts';

/** What short-time heating needs of a metal. */
export interface AdiabaticMetal {
  readonly name: string;
  /** Constant K of the adiabatic equation, A·s½/mm² (IEC 60949). */
  readonly adiabaticK: number;
  /** β: degrees below 0 °C at which the straight resistance line meets zero, °C, positive. */
  readonly zeroResistance_C: number;
}

/** A conductor metal, annealed; where each figure comes from is in `sources`. */
export interface ConductorMetal extends AdiabaticMetal {
  readonly resistivity20_ohm_m: number;
  /** Relative rise of resistance at 20 °C: 1/(β + 20). */
  readonly temperatureCoefficient_per_K: number;
  readonly density_kg_m3: number;
  readonly specificHeat_J_kgK: number;
  readonly meltingPoint_C: number;
  readonly sources: Readonly<Record<ConductorProperty, string>>;
}

type ConductorProperty =
  | 'adiabaticK'
  | 'zeroResistance_C'
  | 'resistivity20_ohm_m'
  | 'temperatureCoefficient_per_K'
  | 'density_kg_m3'
  | 'specificHeat_J_kgK'
  | 'meltingPoint_C';

export const COPPER: ConductorMetal = {
  name: 'copper',
  adiabaticK: 226,
  zeroResistance_C: 234.5,
  resistivity20_ohm_m: 1.7241e-8,
  temperatureCoefficient_per_K: 1 / 254.5,
  density_kg_m3: 8890,
  specificHeat_J_kgK: 385,
  meltingPoint_C: 1083,
  sources: {
    adiabaticK: 'IEC 60949:1988',
    zeroResistance_C: 'NBS Handbook 100 (1966): 234.5 °C',
    resistivity20_ohm_m: 'NBS Handbook 100 (1966): 100 % IACS, 0.15328 Ω·g/m² at 8.89 g/cm³',
    temperatureCoefficient_per_K: 'NBS Handbook 100 (1966), printed 0.00393; kept here as 1/(234.5 + 20)',
    density_kg_m3: 'NBS Handbook 100 (1966)',
    specificHeat_J_kgK: 'handbook value at 25 °C, from memory',
    meltingPoint_C: "as used with Onderdonk's equation, General Electric Review, 1928",
  },
};

export const ALUMINIUM: ConductorMetal = {
  name: 'aluminium',
  adiabaticK: 148,
  // The FAA's AC 43.13-1B uses 238.1 °C; every use here takes the IEC figure.
  zeroResistance_C: 228,
  resistivity20_ohm_m: 2.8264e-8,
  temperatureCoefficient_per_K: 1 / 248,
  density_kg_m3: 2703,
  specificHeat_J_kgK: 897,
  meltingPoint_C: 660,
  sources: {
    adiabaticK: 'IEC 60949:1988',
    zeroResistance_C: 'IEC 60949:1988, from memory',
    resistivity20_ohm_m: 'IEC 60889 (61 % IACS), from memory',
    temperatureCoefficient_per_K: 'IEC 60949:1988, as 1/(228 + 20)',
    density_kg_m3: 'IEC 60889, from memory',
    specificHeat_J_kgK: 'handbook value at 25 °C, from memory',
    meltingPoint_C: 'handbook value, from memory',
  },
};

/** IEC 60949:1988, from memory; it reproduces the printed steel k factors. */
export const STEEL: AdiabaticMetal = { name: 'steel', adiabaticK: 78, zeroResistance_C: 202 };

export type Stranding = 'solid' | 'fine';

/**
 * Extra metal length of a fine-stranded conductor, as a share: the strands spiral.
 * Common practice, no source. The class 5 maxima of IEC 60228 lie 10 to 16 % above a solid of the nominal section:
 * they are limits, not typical values.
 */
export const FINE_STRAND_LAY = 0.02;

/**
 * Direct-current resistance of one conductor, once along its length:
 *     R = ρ₂₀ · ℓ/S · (β + θ)/(β + 20)
 * @param section_m2     metal cross-section, m², > 0
 * @param length_m       one way, m, > 0
 * @param temperature_C  of the conductor, °C, above −β
 * @param stranding      `fine` adds the lay of hobby and class 5 wire
 * @returns Ω
 * @throws RangeError when an argument is out of range
 * @see NBS Handbook 100 (1966), Copper Wire Tables
 */
export function conductorResistance_ohm(
  section_m2: number,
  length_m: number,
  temperature_C: number,
  metal: ConductorMetal = COPPER,
  stranding: Stranding = 'solid',
): number {
  requirePositive(section_m2, 'section_m2', 'm²');
  requirePositive(length_m, 'length_m', 'm');
  const lay = stranding === 'fine' ? 1 + FINE_STRAND_LAY : 1;
  return resistanceAt((metal.resistivity20_ohm_m * length_m * lay) / section_m2, temperature_C, metal);
}

/**
 * A resistance known at 20 °C, at another temperature: R₂₀ · (β + θ)/(β + 20).
 * @returns in the unit of `resistance20`
 * @throws RangeError at or below −β, where the straight line has no meaning
 */
export function resistanceAt(resistance20: number, temperature_C: number, metal: AdiabaticMetal = COPPER): number {
  const beta = metal.zeroResistance_C;
  requirePositive(resistance20, 'resistance20', 'Ω');
  if (!(temperature_C > -beta && temperature_C < Infinity)) {
    throw new RangeError(`temperature_C: expected above ${-beta} °C, got ${temperature_C}`);
  }
  return (resistance20 * (beta + temperature_C)) / (beta + 20);
}

/**
 * Factor that brings a resistance measured at θ to 20 °C, as IEC 60228:2004 prints it:
 * 250/(230 + θ), the standard's own rounding (α = 0.004), not 254.5/(234.5 + θ).
 * @throws RangeError outside 5 to 100 °C, where the standard prints nothing
 */
export function iec60228TemperatureFactor(temperature_C: number): number {
  requireWithin(temperature_C, 5, 100, 'temperature_C', '°C');
  return 250 / (230 + temperature_C);
}

export type Plating = 'plain' | 'tinned';

// IEC 60228:2004 tables 2 and 3, largest Ω/km at 20 °C; the tinned class 2 column is from memory.
// mm²: [class 5 plain, class 5 tinned, class 2 plain, class 2 tinned]
const IEC_60228 = new Map<number, readonly [number, number, number, number]>([
  [0.5, [39.0, 40.1, 36.0, 36.7]],
  [0.75, [26.0, 26.7, 24.5, 24.8]],
  [1, [19.5, 20.0, 18.1, 18.2]],
  [1.5, [13.3, 13.7, 12.1, 12.2]],
  [2.5, [7.98, 8.21, 7.41, 7.56]],
  [4, [4.95, 5.09, 4.61, 4.7]],
  [6, [3.3, 3.39, 3.08, 3.11]],
  [10, [1.91, 1.95, 1.83, 1.84]],
  [16, [1.21, 1.24, 1.15, 1.16]],
  [25, [0.78, 0.795, 0.727, 0.734]],
  [35, [0.554, 0.565, 0.524, 0.529]],
  [50, [0.386, 0.393, 0.387, 0.391]],
  [70, [0.272, 0.277, 0.268, 0.27]],
]);

/**
 * Largest resistance IEC 60228:2004 allows a copper conductor at 20 °C, Ω/km. A maximum, not a typical value.
 * @param strands  5 (flexible, also class 6) or 2 (stranded, for fixed wiring)
 * @throws RangeError when the section is not one of the standard's, 0.5 to 70 mm²
 */
export function iec60228Maximum_ohm_per_km(section_mm2: number, strands: 2 | 5, plating: Plating = 'plain'): number {
  const row = IEC_60228.get(section_mm2);
  if (!row) {
    throw new RangeError(`section_mm2: expected one of ${[...IEC_60228.keys()].join(' ')}, got ${section_mm2}`);
  }
  if (strands === 5) return plating === 'plain' ? row[0] : row[1];
  return plating === 'plain' ? row[2] : row[3];
}
