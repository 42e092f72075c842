import { COPPER, conductorResistance_ohm, type ConductorMetal } from './conductors.ts';
import { requireNotNegative, requirePositive, requireWithin } from './domain.ts';

/** Stefan–Boltzmann constant, W/(m²·K⁴), CODATA 2018. */
export const STEFAN_BOLTZMANN = 5.670374419e-8;
const ZERO_C_K = 273.15;
const GRAVITY_M_S2 = 9.80665;

/** What natural convection needs to know of a gas, at the film's temperature. */
export interface Gas {
  readonly conductivity_W_mK: number;
  readonly viscosity_m2_s: number;
  readonly diffusivity_m2_s: number;
  /** Thermal expansion, 1/K. */
  readonly expansion_per_K: number;
}

/**
 * Dry air at sea level: viscosity by Sutherland's law (constants of the U.S. Standard Atmosphere 1976), conductivity by a
 * power law through the handbook value at 300 K (from memory), both good to 2 % from 250 to 600 K; an ideal gas for the rest.
 */
export function air(film_C: number): Gas {
  requireWithin(film_C, -60, 400, 'film_C', '°C');
  const T = film_C + ZERO_C_K;
  const conductivity = 0.02624 * (T / 300) ** 0.8646;
  const density = 353.05 / T;
  const viscosity = (1.458e-6 * T ** 1.5) / (T + 110.4) / density;
  return { conductivity_W_mK: conductivity, viscosity_m2_s: viscosity, diffusivity_m2_s: conductivity / (density * 1007), expansion_per_K: 1 / T };
}

/** Rayleigh number of a horizontal cylinder: g·β·ΔT·D³/(ν·α). */
export function rayleigh(diameter_m: number, rise_K: number, gas: Gas): number {
  requirePositive(diameter_m, 'diameter_m', 'm');
  requireNotNegative(rise_K, 'rise_K', 'K');
  return (GRAVITY_M_S2 * gas.expansion_per_K * rise_K * diameter_m ** 3) / (gas.viscosity_m2_s * gas.diffusivity_m2_s);
}

/**
 * Nusselt number of a horizontal cylinder in still gas, below Ra 1e12:
 *     Nu = { 0.60 + 0.387·Ra^(1/6) / [1 + (0.559/Pr)^(9/16)]^(8/27) }²
 * @see S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1049
 */
export function cylinderNusselt(Ra: number, prandtl: number): number {
  requireWithin(Ra, 0, 1e12, 'Ra', '');
  requirePositive(prandtl, 'prandtl', '');
  return (0.6 + (0.387 * Ra ** (1 / 6)) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)) ** 2;
}

/** Film coefficient of a horizontal cylinder in still gas, W/(m²·K). */
export function cylinderFilm_W_m2K(diameter_m: number, rise_K: number, gas: Gas): number {
  const Nu = cylinderNusselt(rayleigh(diameter_m, rise_K, gas), gas.viscosity_m2_s / gas.diffusivity_m2_s);
  return (Nu * gas.conductivity_W_mK) / diameter_m;
}

/** Heat radiated to surroundings at one temperature by a surface, W/m²: ε·σ·(T⁴ − T₀⁴). */
export function radiation_W_m2(emissivity: number, surface_C: number, ambient_C: number): number {
  requireWithin(emissivity, 0, 1, 'emissivity', '');
  return emissivity * STEFAN_BOLTZMANN * ((surface_C + ZERO_C_K) ** 4 - (ambient_C + ZERO_C_K) ** 4);
}

/** Heat that leaves a metre of horizontal cable in still air, W/m: convection and radiation. */
export function freeAirLoss_W_m(diameter_m: number, surface_C: number, ambient_C: number, emissivity: number): number {
  const rise = surface_C - ambient_C;
  const film = cylinderFilm_W_m2K(diameter_m, rise, air((surface_C + ambient_C) / 2));
  return Math.PI * diameter_m * (film * rise + radiation_W_m2(emissivity, surface_C, ambient_C));
}

/**
 * Coefficient c of the simpler law h = c·ΔT^¼ that has the film coefficient of `cylinderFilm_W_m2K` at a rise, for a
 * simulation in which the rise changes: within 10 % from a third of that rise to twice it, for 2 to 20 mm.
 * @returns W/(m²·K^1.25)
 */
export function filmLaw_W_m2K125(diameter_m: number, rise_K: number, ambient_C: number): number {
  requirePositive(rise_K, 'rise_K', 'K');
  return cylinderFilm_W_m2K(diameter_m, rise_K, air(ambient_C + rise_K / 2)) / rise_K ** 0.25;
}

/** One insulated round cable alone in still air. */
export interface FreeCable {
  readonly section_m2: number;
  readonly insulation_m: number;
  /** Heat conductivity of the insulation, W/(m·K). */
  readonly insulation_W_mK: number;
  readonly emissivity: number;
  readonly metal?: ConductorMetal;
}

/** Emissivity of rubber, silicone or plastic jackets, any colour; common handbook value, from memory. */
export const JACKET_EMISSIVITY = 0.9;
/** Heat conductivity of PVC, rubber and silicone jackets, W/(m·K): 0.2 to 0.3 in handbooks, from memory. */
export const JACKET_W_MK = 0.25;
/** Stranded conductors are wider than a rod of their metal: fill 80 %; common practice, no source. */
const STRAND_FILL = 0.8;

/** Diameter over the strands, m. */
export function strandedDiameter_m(section_m2: number): number {
  requirePositive(section_m2, 'section_m2', 'm²');
  return Math.sqrt((4 * section_m2) / (Math.PI * STRAND_FILL));
}

/**
 * Steady current that holds a conductor at a temperature in still air, A: the heat of I²R goes through the insulation and
 * leaves by natural convection and radiation. Horizontal, alone, no sun, no end cooling; a cable in a closed machine,
 * bundled or taped down carries less.
 * @throws RangeError when the conductor is not above ambient
 */
export function freeAirAmpacity_A(cable: FreeCable, conductor_C: number, ambient_C: number): number {
  const { section_m2, insulation_m, insulation_W_mK, emissivity, metal = COPPER } = cable;
  requirePositive(insulation_W_mK, 'insulation_W_mK', 'W/(m·K)');
  requireNotNegative(insulation_m, 'insulation_m', 'm');
  if (!(conductor_C > ambient_C)) throw new RangeError(`conductor_C: expected above ambient, ${ambient_C} °C, got ${conductor_C}`);
  const inner = strandedDiameter_m(section_m2);
  const outer = inner + 2 * insulation_m;
  const barrier = Math.log(outer / inner) / (2 * Math.PI * insulation_W_mK);
  let low = ambient_C;
  let high = conductor_C;
  // The surface's own balance: what comes through the insulation falls with its temperature, what leaves rises.
  for (let pass = 0; pass < 60; pass++) {
    const surface = (low + high) / 2;
    if (freeAirLoss_W_m(outer, surface, ambient_C, emissivity) * barrier > conductor_C - surface) high = surface;
    else low = surface;
  }
  const loss = freeAirLoss_W_m(outer, (low + high) / 2, ambient_C, emissivity);
  return Math.sqrt(loss / conductorResistance_ohm(section_m2, 1, conductor_C, metal, 'fine'));
}

/**
 * An ampacity stated for one ambient, at another: I·√((T − Ta′)/(T − Ta)).
 * @throws RangeError when either ambient is not below the conductor
 * @see NEC 310.15(B)(2)
 */
export function ampacityFactor(conductor_C: number, stated_C: number, ambient_C: number): number {
  if (!(conductor_C > stated_C && conductor_C > ambient_C)) throw new RangeError(`ambient_C: expected below the conductor, ${conductor_C} °C, got ${stated_C} and ${ambient_C}`);
  return Math.sqrt((conductor_C - ambient_C) / (conductor_C - stated_C));
}
