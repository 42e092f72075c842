import { requireNotNegative, requirePositive } from './domain.ts';

/** A lump heated by a steady current through a resistance that rises with its own temperature. */
export interface HeatedLump {
  readonly resistance_ohm: number;
  /** Temperature at which the resistance is that, °C, and its relative rise per kelvin there. */
  readonly reference_C: number;
  readonly coefficient_per_K: number;
  readonly capacity_J_K: number;
  /** To the surroundings, W/K; 0 for none. */
  readonly conductance_W_K: number;
  readonly ambient_C: number;
}

/**
 * Temperature after a time at a steady current, °C. With R = R₀(1 + α(T − T₀)) the balance C·T' = I²R − G(T − Ta) is
 * linear: T' = (I²R₀α − G)/C · T + const, so the temperature runs exponentially to its end, or away from it once
 * I²R₀α exceeds G. Exact for this law; see any text on first-order linear equations.
 * @throws RangeError when the current or time is negative or the capacity not above zero (NaN included)
 */
export function jouleTemperature_C(lump: HeatedLump, start_C: number, current_A: number, time_s: number): number {
  const { resistance_ohm, reference_C, coefficient_per_K, capacity_J_K, conductance_W_K, ambient_C } = lump;
  requirePositive(capacity_J_K, 'capacity_J_K', 'J/K');
  requireNotNegative(conductance_W_K, 'conductance_W_K', 'W/K');
  requireNotNegative(current_A, 'current_A', 'A');
  requireNotNegative(time_s, 'time_s', 's');
  const power = current_A * current_A * resistance_ohm;
  const growth = (power * coefficient_per_K - conductance_W_K) / capacity_J_K;
  const startRate = (power * (1 + coefficient_per_K * (start_C - reference_C)) - conductance_W_K * (start_C - ambient_C)) / capacity_J_K;
  const x = growth * time_s;
  // (eˣ − 1)/x is 1 where growth vanishes and the rise is straight.
  return start_C + startRate * time_s * (Math.abs(x) < 1e-12 ? 1 : Math.expm1(x) / x);
}

/** End temperature at a steady current, °C; Infinity when the resistance outruns the cooling. */
export function jouleEnd_C(lump: HeatedLump, current_A: number): number {
  const { resistance_ohm, reference_C, coefficient_per_K, conductance_W_K, ambient_C } = lump;
  requireNotNegative(current_A, 'current_A', 'A');
  const power = current_A * current_A * resistance_ohm;
  const left = conductance_W_K - power * coefficient_per_K;
  if (!(left > 0)) return Infinity;
  return ambient_C + (power * (1 + coefficient_per_K * (ambient_C - reference_C))) / left;
}

/**
 * Time in which a steady current takes the lump to a temperature, s; 0 when it is there, Infinity when it never comes.
 * The inverse of `jouleTemperature_C`; beside a fuse's melting time it says which of the two is first.
 */
export function jouleTime_s(lump: HeatedLump, start_C: number, limit_C: number, current_A: number): number {
  if (start_C >= limit_C) return 0;
  const { resistance_ohm, reference_C, coefficient_per_K, capacity_J_K, conductance_W_K, ambient_C } = lump;
  requirePositive(capacity_J_K, 'capacity_J_K', 'J/K');
  requireNotNegative(current_A, 'current_A', 'A');
  if (Number.isNaN(start_C) || Number.isNaN(limit_C)) throw new RangeError(`limit_C: expected numbers, got ${start_C} and ${limit_C}`);
  if (!(jouleEnd_C(lump, current_A) > limit_C)) return Infinity;
  const power = current_A * current_A * resistance_ohm;
  const growth = (power * coefficient_per_K - conductance_W_K) / capacity_J_K;
  const startRate = (power * (1 + coefficient_per_K * (start_C - reference_C)) - conductance_W_K * (start_C - ambient_C)) / capacity_J_K;
  const straight = (limit_C - start_C) / startRate;
  const x = growth * straight;
  return Math.abs(x) < 1e-12 ? straight : Math.log1p(x) / growth;
}
