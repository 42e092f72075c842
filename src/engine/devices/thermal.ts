import { STEFAN_BOLTZMANN } from '../../physics/cooling.ts';
import type { Expr } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';

/** A lump of heat at one temperature: a cable, a winding, a case, a pack. */
export interface HeatNode {
  readonly name: string;
  /** °C. */
  readonly temperature: Expr;
  /** Unknown: temperature, °C; −1 for surroundings. */
  readonly unknown: number;
  /** Parameter: heat capacity, J/K; for surroundings their temperature, °C. */
  readonly parameter: number;
  readonly node: CircuitNode;
}

/**
 * A lump with a heat capacity: capacity · dT/dt = Σ heat in. Good while its inside is much better joined than its surface
 * (Biot number below about 0.1), true of copper and aluminium here; a pack's core runs hotter than its mean.
 */
export function addHeatNode(b: SystemBuilder, name: string, capacity_J_K: number, initial_C: number): HeatNode {
  if (!(capacity_J_K > 0)) throw new RangeError(`${name}: expected a heat capacity above 0 J/K, got ${capacity_J_K}`);
  const capacity = b.parameter(`${name} heat capacity`, capacity_J_K);
  const node = b.store(`${name} temperature`, 'temperature', initial_C, capacity.value);
  return { name, temperature: node.voltage, unknown: node.unknown, parameter: capacity.index, node };
}

/** Surroundings so large that no heat warms them. */
export function addSurroundings(b: SystemBuilder, name: string, temperature_C: number): HeatNode {
  const temperature = b.parameter(`${name} temperature`, temperature_C);
  return { name, temperature: temperature.value, unknown: -1, parameter: temperature.index, node: { ...b.reference, name, voltage: temperature.value } };
}

/** Lets heat (W) into a lump. */
export function heat(b: SystemBuilder, into: HeatNode, power: Expr): void {
  b.inject(into.node, power);
}

/** Joins two lumps, or a lump and its surroundings, with a conductance (W/K); returns its parameter. */
export function addConduction(b: SystemBuilder, name: string, from: HeatNode, to: HeatNode, conductance_W_K: number): number {
  const g = b.graph;
  const conductance = b.parameter(`${name} conductance`, conductance_W_K);
  b.flow(from.node, to.node, g.multiply(conductance.value, g.subtract(from.temperature, to.temperature)));
  return conductance.index;
}

export interface FreeAirRequest {
  readonly surface_m2: number;
  /** c of the law h = c·ΔT^¼, W/(m²·K^1.25): `filmLaw_W_m2K125` of `physics/cooling.ts`. */
  readonly film_W_m2K125: number;
  readonly emissivity: number;
}

/**
 * Cooling to surroundings by natural convection, c·A·ΔT^1.25, and radiation, ε·σ·A·(T⁴ − T₀⁴).
 * Without wind or neighbours; |ΔT| is smoothed over half a kelvin, where either law moves a thousandth of what matters.
 */
export function addFreeAir(b: SystemBuilder, name: string, from: HeatNode, to: HeatNode, request: FreeAirRequest): { readonly surface: number; readonly film: number; readonly emissivity: number } {
  const g = b.graph;
  const surface = b.parameter(`${name} surface`, request.surface_m2);
  const film = b.parameter(`${name} film coefficient`, request.film_W_m2K125);
  const emissivity = b.parameter(`${name} emissivity`, request.emissivity);
  const rise = g.subtract(from.temperature, to.temperature);
  const size = g.sqrt(g.add(g.square(rise), g.constant(SMALL_RISE_K ** 2)));
  const convection = g.multiply(g.multiply(film.value, rise), g.sqrt(g.sqrt(size)));
  const kelvin = (of: HeatNode): Expr => g.add(of.temperature, g.constant(ZERO_C_K));
  const fourth = (x: Expr): Expr => g.square(g.square(x));
  const radiation = g.multiply(g.multiply(g.constant(STEFAN_BOLTZMANN), emissivity.value), g.subtract(fourth(kelvin(from)), fourth(kelvin(to))));
  b.flow(from.node, to.node, g.multiply(surface.value, g.add(convection, radiation)));
  return { surface: surface.index, film: film.index, emissivity: emissivity.index };
}

const SMALL_RISE_K = 0.5;
const ZERO_C_K = 273.15;
