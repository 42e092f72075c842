import type { Expr } from '../expression.ts';
import type { SystemBuilder } from '../system.ts';

/** An inrush limiter: a resistor whose value falls as its own heat warms it. */
export interface InrushLimiterLaw {
  /** Resistance at 25 °C, Ω. */
  readonly cold_ohm: number;
  /** B constant of the ceramic, K. */
  readonly b_K: number;
  /** Heat capacity, J/K, and dissipation to its surroundings, W/K. */
  readonly heatCapacity_J_K: number;
  readonly dissipation_W_K: number;
  readonly ambient_C: number;
}

export interface InrushLimiterHandle {
  readonly cold: number;
  readonly b: number;
  readonly heatCapacity: number;
  readonly dissipation: number;
  readonly ambient: number;
  /** Unknown: temperature, °C. */
  readonly temperature: number;
  readonly voltage: Expr;
}

const ZERO_C_K = 273.15;
const REFERENCE_K = 298.15;

/**
 * Voltage of an inrush limiter in a branch of current `current`: u = i R25 exp(B (1/T − 1/298.15 K)), warmed by u·i and
 * cooled in proportion to its rise over ambient.
 * @see IEC 60539-1 (definition of the B constant; from memory)
 */
export function addInrushLimiter(b: SystemBuilder, name: string, current: Expr, law: InrushLimiterLaw): InrushLimiterHandle {
  const g = b.graph;
  const cold = b.parameter(`${name} cold resistance`, law.cold_ohm);
  const constant = b.parameter(`${name} B constant`, law.b_K);
  const heatCapacity = b.parameter(`${name} heat capacity`, law.heatCapacity_J_K);
  const dissipation = b.parameter(`${name} dissipation`, law.dissipation_W_K);
  const ambient = b.parameter(`${name} ambient`, law.ambient_C);
  const rise = b.state(`${name} temperature rise`, 'temperature', 0);
  const kelvin = g.add(g.add(rise.value, ambient.value), g.constant(ZERO_C_K));
  const exponent = g.multiply(constant.value, g.subtract(g.divide(g.one, kelvin), g.constant(1 / REFERENCE_K)));
  const voltage = g.multiply(g.multiply(cold.value, g.exp(exponent)), current);
  const power = g.multiply(voltage, current);
  b.rate(rise, g.divide(g.subtract(power, g.multiply(dissipation.value, rise.value)), heatCapacity.value));
  return {
    cold: cold.index,
    b: constant.index,
    heatCapacity: heatCapacity.index,
    dissipation: dissipation.index,
    ambient: ambient.index,
    temperature: rise.index,
    voltage,
  };
}
