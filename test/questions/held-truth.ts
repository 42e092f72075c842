import { Matrix, inverse } from 'ml-matrix';
import { integrate } from './odex.mjs';

/** A held bus as it really is, written without any code of the project. */
export interface Truth {
  readonly supply_V: number;
  readonly resistance_ohm: number;
  readonly capacitance_F: number;
  readonly standby_A: number;
  readonly wake_V: number;
  readonly power?: { readonly power_W: number; readonly start_V: number } | undefined;
}

/** Voltage of the bus by closed forms up to the start of the constant power, and by odex from there. Wake lies below start. */
export function trueVolts({ supply_V, resistance_ohm, capacitance_F, standby_A, wake_V, power }: Truth, time_s: number): number {
  const constant = resistance_ohm * capacitance_F;
  const wakes_s = constant * Math.log(supply_V / (supply_V - wake_V));
  if (time_s <= wakes_s) return supply_V * (1 - Math.exp(-time_s / constant));
  const end = supply_V - standby_A * resistance_ohm;
  const starts_s = power === undefined || end <= power.start_V ? Infinity : wakes_s + constant * Math.log((end - wake_V) / (end - power.start_V));
  if (power === undefined || time_s <= starts_s) return end + (wake_V - end) * Math.exp(-(time_s - wakes_s) / constant);
  // Forty time constants are an end: e^-40 of the way is left.
  const until = Math.min(time_s, starts_s + 40 * constant);
  return integrate((_, [v]) => [((supply_V - v!) / resistance_ohm - standby_A - power.power_W / v!) / capacitance_F], starts_s, [power.start_V], until, 1e-9)[0]!;
}

export interface Measured {
  readonly time_s: number;
  /** Standard deviation of the time in this reading alone, s. */
  readonly clock_s: number;
}

/** Relative standard deviations with which supply and resistor are known, and that of the clock's start, s. */
export interface Known {
  readonly supply: number;
  readonly resistance: number;
  readonly start_s: number;
}

/**
 * Cramér–Rao bound: the smallest standard deviations that ln C and ln I can be told with, supply, resistor and the
 * clock's start being nuisances known to their own deviations. Errors count as normal, with the variances that they have.
 */
export function smallestDeviations(truth: Truth, readings: readonly Measured[], meter: (v: number) => number, known: Known): readonly [number, number] {
  const keys = ['capacitance_F', 'standby_A', 'supply_V', 'resistance_ohm'] as const;
  const information = new Matrix(5, 5);
  for (const { time_s, clock_s } of readings) {
    const at = (t: Truth, time = time_s): number => trueVolts(t, time);
    const h = 1e-4;
    const rate = time_s < 1e3 ? (at(truth, time_s * (1 + h)) - at(truth, time_s * (1 - h))) / (2 * h * time_s) : 0;
    const gradient = [...keys.map((key) => (at({ ...truth, [key]: truth[key] * (1 + h) }) - at({ ...truth, [key]: truth[key] * (1 - h) })) / (2 * h)), rate];
    const variance = meter(at(truth)) ** 2 + (rate * clock_s) ** 2;
    gradient.forEach((_, i) => gradient.forEach((__, j) => information.set(i, j, information.get(i, j) + (gradient[i]! * gradient[j]!) / variance)));
  }
  information.set(2, 2, information.get(2, 2) + 1 / known.supply ** 2);
  information.set(3, 3, information.get(3, 3) + 1 / known.resistance ** 2);
  information.set(4, 4, information.get(4, 4) + 1 / known.start_s ** 2);
  const covariance = inverse(information);
  return [Math.sqrt(covariance.get(0, 0)), Math.sqrt(covariance.get(1, 1))];
}
