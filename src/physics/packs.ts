import { requireNotNegative, requirePositive, requireWithin } from './domain.ts';

/** Terminal side of a source behind a resistance, with a resistive load. */
export interface Loaded {
  readonly current_A: number;
  readonly terminal_V: number;
  readonly power_W: number;
}

/** Current, terminal voltage and power into a resistance: i = E/(r + R). */
export function resistiveLoad(emf_V: number, internal_ohm: number, load_ohm: number): Loaded {
  requirePositive(emf_V, 'emf_V', 'V');
  requireNotNegative(internal_ohm, 'internal_ohm', 'Ω');
  requirePositive(load_ohm, 'load_ohm', 'Ω');
  const current = emf_V / (internal_ohm + load_ohm);
  return { current_A: current, terminal_V: current * load_ohm, power_W: current * current * load_ohm };
}

/** Current from one pack into another when they are joined, A: (E₁ − E₂)/(r₁ + r₂). */
export function exchange_A(first_V: number, second_V: number, together_ohm: number): number {
  requirePositive(together_ohm, 'together_ohm', 'Ω');
  return (first_V - second_V) / together_ohm;
}

/**
 * Cell resistance over that at 25 °C as floor + rise·exp(−T/decay), the smooth law that a simulation integrates: 2.2 at
 * 0 °C, 1 at 25 °C, within 6 % of `resistanceFactor` from 0 to 45 °C. Common practice, no source: ±25 %.
 */
export const COLD_LAW = { floor: 0.6419, rise: 1.5581, decay_K: 17 } as const;

/**
 * Share of the capacity that a cold pack gives at high current, 1 from 25 °C up, 0.9 at 10 °C, 0.8 at 0 °C, 0.65 at
 * −10 °C, straight between. Common practice, no source: ±0.1.
 */
export function coldCapacityShare(temperature_C: number): number {
  if (Number.isNaN(temperature_C)) throw new RangeError('temperature_C: expected a number, got NaN');
  const points = COLD_CAPACITY;
  const last = points[points.length - 1]!;
  if (temperature_C >= last[0]) return last[1];
  const at = Math.max(1, points.findIndex(([t]) => t > temperature_C));
  const [t0, s0] = points[at - 1]!;
  const [t1, s1] = points[at]!;
  return Math.max(0.3, s0 + ((s1 - s0) * (temperature_C - t0)) / (t1 - t0));
}

const COLD_CAPACITY: readonly (readonly [number, number])[] = [[-10, 0.65], [0, 0.8], [10, 0.9], [25, 1]];

/** What age has done to a pack, over new. */
export interface Ageing {
  readonly resistance: number;
  readonly capacity: number;
}

/**
 * A pack by its hard cycles (matches): resistance up 0.5 % and capacity down 0.15 % of new with each, until 300.
 * Common practice, no source: a factor of two either way; a measured resistance replaces it.
 * @throws RangeError outside 0 to 300 cycles
 */
export function aged(cycles: number): Ageing {
  requireWithin(cycles, 0, 300, 'cycles', '');
  return { resistance: 1 + 0.005 * cycles, capacity: 1 - 0.0015 * cycles };
}

/** Time at a charge rate to put a charge back, s: constant current to 80 %, then twice as long per share; common practice, no source. */
export function chargeTime_s(capacity_Ah: number, from: number, to: number, current_A: number): number {
  requirePositive(capacity_Ah, 'capacity_Ah', 'Ah');
  requirePositive(current_A, 'current_A', 'A');
  requireWithin(from, 0, 1, 'from', '');
  requireWithin(to, from, 1, 'to', '');
  const constant = Math.max(0, Math.min(to, CONSTANT_UNTIL) - from);
  const tapering = Math.max(0, to - Math.max(from, CONSTANT_UNTIL));
  return ((constant + 2 * tapering) * capacity_Ah * 3600) / current_A;
}

const CONSTANT_UNTIL = 0.8;
