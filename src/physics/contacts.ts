import { requireNotNegative, requirePositive } from './domain.ts';

/** Lorenz number of metals, V²/K² (Wiedemann–Franz–Lorenz; Holm, Electric Contacts, 4th ed. 1967). */
export const LORENZ_V2_K2 = 2.44e-8;
const ZERO_C_K = 273.15;

/**
 * A contact metal. Voltages and arc minima are Holm's table (4th ed. 1967), from memory where `gate` is false.
 * Hardness, heats and erosion are handbook-class figures from memory: defaults with a factor of two about them.
 */
export interface ContactMetal {
  readonly name: string;
  /** Whether softening and melting voltage are sure enough to test against. */
  readonly gate: boolean;
  readonly softening_V: number;
  readonly melting_V: number;
  readonly melting_C: number;
  /** Below either of these no metal-vapour arc burns. */
  readonly minimumArc_V: number;
  readonly minimumArc_A: number;
  readonly hardness_Pa: number;
  readonly resistivity20_ohm_m: number;
  /** Relative rise of resistivity at 20 °C, 1/K. */
  readonly temperatureCoefficient_per_K: number;
  readonly density_kg_m3: number;
  /** Mean from 20 °C to melting, J/(kg·K). */
  readonly specificHeat_J_kgK: number;
  readonly latentHeat_J_kg: number;
  /** Cathode erosion in a vacuum arc, kg/C (Kimblin, J. Appl. Phys. 44 (1973), from memory): the worst case in air. */
  readonly vacuumErosion_kg_C: number;
}

function metal(
  name: string,
  gate: boolean,
  [softening_V, melting_V, melting_C]: readonly [number, number, number],
  [minimumArc_V, minimumArc_A]: readonly [number, number],
  [hardness_GPa, resistivity_nohm_m, temperatureCoefficient_per_K]: readonly [number, number, number],
  [density_kg_m3, specificHeat_J_kgK, latent_kJ_kg]: readonly [number, number, number],
  erosion_ug_C: number,
): ContactMetal {
  return {
    name,
    gate,
    softening_V,
    melting_V,
    melting_C,
    minimumArc_V,
    minimumArc_A,
    hardness_Pa: hardness_GPa * 1e9,
    resistivity20_ohm_m: resistivity_nohm_m * 1e-9,
    temperatureCoefficient_per_K,
    density_kg_m3,
    specificHeat_J_kgK,
    latentHeat_J_kg: latent_kJ_kg * 1e3,
    vacuumErosion_kg_C: erosion_ug_C * 1e-9,
  };
}

export const CONTACT_METALS = {
  copper: metal('copper', true, [0.12, 0.43, 1083], [13, 0.43], [0.55, 17.5, 3.93e-3], [8960, 440, 205], 115),
  silver: metal('silver', true, [0.09, 0.37, 961], [12, 0.4], [0.5, 16.5, 4.1e-3], [10490, 258, 105], 145),
  gold: metal('gold', true, [0.08, 0.43, 1064], [15, 0.38], [0.5, 23, 4.0e-3], [19300, 140, 64], 145),
  tungsten: metal('tungsten', true, [0.5, 1.1, 3422], [15, 1.0], [3, 55, 5.0e-3], [19300, 189, 285], 58),
  tin: metal('tin', true, [0.07, 0.13, 232], [12, 0.4], [0.05, 120, 4.6e-3], [7290, 243, 59], 400),
  aluminium: metal('aluminium', true, [0.1, 0.3, 660], [14, 0.4], [0.27, 29, 4.5e-3], [2700, 1030, 397], 120),
  nickel: metal('nickel', false, [0.2, 0.6, 1455], [14, 0.5], [1.2, 80, 6.5e-3], [8908, 552, 298], 100),
  platinum: metal('platinum', false, [0.25, 0.68, 1768], [17.5, 0.9], [0.6, 116, 3.9e-3], [21450, 151, 114], 100),
  palladium: metal('palladium', true, [0.25, 0.57, 1555], [15, 0.8], [0.6, 108, 3.8e-3], [12020, 275, 157], 100),
  iron: metal('iron', false, [0.2, 0.6, 1538], [14, 0.45], [0.8, 97, 6.5e-3], [7870, 690, 247], 73),
  zinc: metal('zinc', false, [0.1, 0.17, 420], [10.5, 0.1], [0.45, 62, 4.2e-3], [7140, 410, 112], 300),
  'silver-cadmium oxide': metal(
    'silver-cadmium oxide',
    false,
    [0.09, 0.37, 961],
    [11, 0.45],
    [0.8, 20, 4.1e-3],
    [10000, 258, 105],
    145,
  ),
} as const satisfies Record<string, ContactMetal>;

export type ContactMetalName = keyof typeof CONTACT_METALS;

/**
 * Voltage across a contact whose touching spot is at a given temperature: U = 2 · √( L · (T² − T₀²) ).
 * The spot heats within microseconds to milliseconds, so a transient counts when it lasts longer (`spotTime_s`).
 * @throws RangeError when the spot is not at least as hot as the bulk, or below absolute zero
 * @see ψ–θ relation, Holm, Electric Contacts, 4th ed. 1967
 */
export function contactVoltage_V(spot_C: number, bulk_C = 20): number {
  const T = spot_C + ZERO_C_K;
  const T0 = bulk_C + ZERO_C_K;
  requirePositive(T0, 'bulk_C + 273.15', 'K');
  if (!(T >= T0 && T < Infinity)) throw new RangeError(`spot_C: expected at least ${bulk_C} °C, got ${spot_C}`);
  return 2 * Math.sqrt(LORENZ_V2_K2 * (T - T0) * (T + T0));
}

/** Temperature of the touching spot from the contact's voltage, °C: T = √( T₀² + U²/4L ). */
export function spotTemperature_C(contact_V: number, bulk_C = 20): number {
  requireNotNegative(contact_V, 'contact_V', 'V');
  const T0 = bulk_C + ZERO_C_K;
  requirePositive(T0, 'bulk_C + 273.15', 'K');
  return Math.sqrt(T0 * T0 + (contact_V * contact_V) / (4 * LORENZ_V2_K2)) - ZERO_C_K;
}

/** Radius of one plastic touching spot under a force, m: a = √( F/(π·H) ). Holm, Electric Contacts. */
export function spotRadius_m(force_N: number, hardness_Pa: number): number {
  requireNotNegative(force_N, 'force_N', 'N');
  requirePositive(hardness_Pa, 'hardness_Pa', 'Pa');
  return Math.sqrt(force_N / (Math.PI * hardness_Pa));
}

/**
 * Resistance of a clean single-spot contact at 20 °C, Ω: R = ρ/2a = (ρ/2) · √(πH/F). Films and plating add to it.
 * @throws RangeError when the force is not above zero
 * @see Holm; Slade, Electrical Contacts, 2nd ed. 2014, ch. 1
 */
export function constrictionResistance_ohm(force_N: number, contact: ContactMetal): number {
  requirePositive(force_N, 'force_N', 'N');
  return contact.resistivity20_ohm_m / (2 * spotRadius_m(force_N, contact.hardness_Pa));
}

/** Force that would give a clean single-spot contact its resistance, N: F = πH · (ρ/2R)². */
export function contactForce_N(resistance_ohm: number, contact: ContactMetal): number {
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  const a = contact.resistivity20_ohm_m / (2 * resistance_ohm);
  return Math.PI * contact.hardness_Pa * a * a;
}

/**
 * Resistivity that a constriction with a spot at melting heat shows as a whole, Ω·m: its resistance is ρ_hot/2a.
 *
 * Derivation. Isotherms are equipotentials, so ∇·(σ∇φ) = 0 is Laplace's equation for ∫σ dφ, and one side of a
 * round spot (unit conductivity: 1/4a) carries I = 4a · ∫₀^{U/2} σ dφ. With φ counted from the spot,
 * T² = T_m² − φ²/L, hence φ = √L·T_m·sin ϑ and T = T_m·cos ϑ, up to cos ϑ_m = T₀/T_m. By ρ = ρ₂₀(1 + α(T − T₂₀)):
 *     ρ_hot = U/I · 2a = ρ₂₀ · sin ϑ_m / ∫₀^{ϑ_m} cos ϑ dϑ / (1 + α(T_m cos ϑ − T₂₀))
 * For ρ in proportion to T this is ρ₂₀ · (T_m/T₂₀) · sin ϑ_m/ϑ_m: 3.3 times cold for copper.
 */
export function meltingResistivity_ohm_m(contact: ContactMetal, bulk_C = 20): number {
  const Tm = contact.melting_C + ZERO_C_K;
  const T0 = bulk_C + ZERO_C_K;
  if (!(T0 > 0 && T0 < Tm)) throw new RangeError(`bulk_C: expected below melting, ${contact.melting_C} °C, got ${bulk_C}`);
  const T20 = 20 + ZERO_C_K;
  const alpha = contact.temperatureCoefficient_per_K;
  const end = Math.acos(T0 / Tm);
  // Simpson's rule; 64 intervals of a smooth integrand leave less than 1e-8.
  const intervals = 64;
  let sum = 0;
  for (let k = 0; k <= intervals; k++) {
    const c = Math.cos((end * k) / intervals);
    const weight = k === 0 || k === intervals ? 1 : k % 2 === 1 ? 4 : 2;
    sum += (weight * c) / (1 + alpha * (Tm * c - T20));
  }
  const integral = (sum * end) / (3 * intervals);
  return (contact.resistivity20_ohm_m * Math.sin(end)) / integral;
}

/**
 * Radius of the spot that a current holds just at melting, m: U_melt = I · ρ_hot/2a, so a = ρ_hot·I/(2·U_melt).
 * A spot smaller than this melts and spreads until it is this large, so this is also the frozen spot's size.
 * Steady heat flow is assumed: true when the current lasts longer than `spotTime_s`.
 * @see derivation at `meltingResistivity_ohm_m`; melting voltage from Holm's table
 */
export function meltedSpotRadius_m(current_A: number, contact: ContactMetal, bulk_C = 20): number {
  requireNotNegative(current_A, 'current_A', 'A');
  return (meltingResistivity_ohm_m(contact, bulk_C) * current_A) / (2 * contact.melting_V);
}

/**
 * Time a spot of radius a needs to near its steady temperature, s: about a²/(thermal diffusivity), where the
 * heat conductivity is L·T/ρ at 20 °C. An order of magnitude.
 */
export function spotTime_s(radius_m: number, contact: ContactMetal): number {
  requireNotNegative(radius_m, 'radius_m', 'm');
  const conductivity_W_mK = (LORENZ_V2_K2 * (20 + ZERO_C_K)) / contact.resistivity20_ohm_m;
  return (radius_m * radius_m * contact.density_kg_m3 * contact.specificHeat_J_kgK) / conductivity_W_mK;
}

/** Heat that takes a cubic metre of metal from a bulk temperature through melting, J/m³. */
export function meltEnthalpy_J_m3(contact: ContactMetal, bulk_C = 20): number {
  if (!(bulk_C < contact.melting_C)) throw new RangeError(`bulk_C: expected below ${contact.melting_C} °C, got ${bulk_C}`);
  return contact.density_kg_m3 * (contact.specificHeat_J_kgK * (contact.melting_C - bulk_C) + contact.latentHeat_J_kg);
}

/** Most metal that an energy can melt, m³, none of it lost to conduction: an upper bound. */
export function meltedVolume_m3(energy_J: number, contact: ContactMetal, bulk_C = 20): number {
  requireNotNegative(energy_J, 'energy_J', 'J');
  return energy_J / meltEnthalpy_J_m3(contact, bulk_C);
}

/**
 * Force that pulls a frozen spot apart, N: π·a² times a tensile strength of H/3.
 * An estimate, good to a factor of three: hardness is about three times flow stress (Tabor), and a frozen spot may be
 * porous or work-softened. Compare with the force that opens the contact.
 */
export function weldForce_N(spotRadius: number, contact: ContactMetal): number {
  requireNotNegative(spotRadius, 'spotRadius', 'm');
  return (Math.PI * spotRadius * spotRadius * contact.hardness_Pa) / 3;
}

/**
 * Voltage of a free-burning direct-current arc in air: V = (20 + 0.534·G) · I^0.12, G the gap in mm.
 * Holds only above `arcFloor_A`; drawn arcs of a fraction of a millimetre sit nearer the metal's minimum arc voltage.
 * @throws RangeError when current or gap is negative (NaN included)
 * @see A. D. Stokes and W. T. Oppenländer, J. Phys. D 24 (1991) 26; Ammerman et al., IEEE Trans. IA 46 (2010) 1810
 */
export function arcVoltage_V(current_A: number, gap_m: number): number {
  requireNotNegative(current_A, 'current_A', 'A');
  requireNotNegative(gap_m, 'gap_m', 'm');
  return (20 + 534 * gap_m) * current_A ** 0.12;
}

/** Least current for which `arcVoltage_V` was fitted, A: 10 + 0.2·G, G in mm (Stokes and Oppenländer). */
export function arcFloor_A(gap_m: number): number {
  requireNotNegative(gap_m, 'gap_m', 'm');
  return 10 + 200 * gap_m;
}

/** Current and voltage at which an arc of a given gap burns on. */
export interface ArcPoint {
  readonly current_A: number;
  readonly voltage_V: number;
}

/**
 * Where a source behind a resistance holds an arc: the root of V − I·R = arc voltage. The law's voltage rises with
 * current, so there is exactly one.
 * @returns undefined when the root lies below the law's floor: no free-burning arc holds
 */
export function arcOperatingPoint(source_V: number, resistance_ohm: number, gap_m: number): ArcPoint | undefined {
  requirePositive(source_V, 'source_V', 'V');
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  const floor = arcFloor_A(gap_m);
  const surplus = (I: number): number => source_V - I * resistance_ohm - arcVoltage_V(I, gap_m);
  if (!(surplus(floor) >= 0)) return undefined;
  let low = floor;
  let high = source_V / resistance_ohm;
  for (let pass = 0; pass < 200 && high - low > 1e-15 * high; pass++) {
    const middle = (low + high) / 2;
    if (surplus(middle) >= 0) low = middle;
    else high = middle;
  }
  const current_A = (low + high) / 2;
  return { current_A, voltage_V: arcVoltage_V(current_A, gap_m) };
}

/** Metal that arcs take from a contact, kg: orders of magnitude, never a prediction. */
export interface ErosionBand {
  readonly low_kg: number;
  readonly high_kg: number;
}

// Relay arcs in air, silver at tens of amperes: 1 to 10 µg/C (Holm; Turner and Turner), from memory.
const AIR_EROSION_LOW_KG_C = 1e-9;

/**
 * Metal lost when a charge passes through arcs, between a quiet relay arc in air and a vacuum arc's cathode.
 * The band spans two orders of magnitude, because published figures do.
 */
export function erosion(charge_C: number, contact: ContactMetal): ErosionBand {
  requireNotNegative(charge_C, 'charge_C', 'C');
  return { low_kg: AIR_EROSION_LOW_KG_C * charge_C, high_kg: contact.vacuumErosion_kg_C * charge_C };
}
