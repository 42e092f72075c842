import { requireNotNegative, requirePositive } from './domain.ts';
import { arcOperatingPoint } from './contacts.ts';

/** An inductive current that is broken by an arc of constant voltage while both ends hold their voltages. */
export interface ArcBreak {
  /** Time until the current is zero, s; Infinity when the circuit feeds the arc. */
  readonly time_s: number;
  /** Energy in the arc, J, and charge through it, A·s, until then; both Infinity when the circuit feeds it. */
  readonly energy_J: number;
  readonly charge_C: number;
}

/**
 * L·i′ = U − R·i − V, from I to 0, where U is the voltage between the ends:
 *     i = I + (E − I)(1 − e^(−t/τ)), E = (U − V)/R, τ = L/R; it comes to zero when E < 0, at t = τ · ln(1 − I/E).
 * Without resistance and with U = 0 that is L·I/V, and the arc takes ½LI².
 * @param ends_V  voltage between the two ends that drives the current on, U
 * @throws RangeError when an argument is out of range (NaN included)
 * @see any circuits text, R and L in series
 */
export function arcBreak(current_A: number, inductance_H: number, resistance_ohm: number, ends_V: number, arc_V: number): ArcBreak {
  requireNotNegative(current_A, 'current_A', 'A');
  requirePositive(inductance_H, 'inductance_H', 'H');
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  requirePositive(arc_V, 'arc_V', 'V');
  if (Number.isNaN(ends_V)) throw new RangeError('ends_V: expected a number, got NaN');
  const end_A = (ends_V - arc_V) / resistance_ohm;
  if (!(end_A < 0)) return { time_s: Infinity, energy_J: Infinity, charge_C: Infinity };
  const tau = inductance_H / resistance_ohm;
  const time_s = tau * Math.log1p(-current_A / end_A);
  const charge_C = end_A * time_s + tau * current_A;
  return { time_s, energy_J: arc_V * charge_C, charge_C };
}

/**
 * Gap at which a source behind a resistance no longer holds a free-burning arc, m: where the arc's law first leaves no
 * operating point; 0 when it holds none at any gap.
 * @param longest_m  gap that is looked at
 * @returns `longest_m` when the arc burns on there
 */
export function extinctionGap_m(source_V: number, resistance_ohm: number, longest_m: number): number {
  if (!(source_V > 0)) return 0;
  const burns = (gap_m: number): boolean => arcOperatingPoint(source_V, resistance_ohm, gap_m) !== undefined;
  if (!burns(0)) return 0;
  if (burns(longest_m)) return longest_m;
  let low = 0;
  let high = longest_m;
  for (let pass = 0; pass < 40; pass++) {
    const middle = (low + high) / 2;
    if (burns(middle)) low = middle;
    else high = middle;
  }
  return low;
}

/** Highest voltage where a current is cut off before a stray capacitance, V: U + I·√(L/C). Without loss, so an upper bound. */
export function cutOffPeak_V(current_A: number, inductance_H: number, capacitance_F: number, supply_V: number): number {
  requireNotNegative(current_A, 'current_A', 'A');
  requireNotNegative(inductance_H, 'inductance_H', 'H');
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  requireNotNegative(supply_V, 'supply_V', 'V');
  return supply_V + current_A * Math.sqrt(inductance_H / capacitance_F);
}

/**
 * Energy that a transistor turns to heat when it cuts off an inductive current and holds a breakdown voltage, J:
 * ½·L·I² · V/(V − U), because the source goes on giving until the current is gone.
 * @throws RangeError when the breakdown voltage is not above the source
 */
export function avalancheEnergy_J(current_A: number, inductance_H: number, breakdown_V: number, supply_V: number): number {
  requireNotNegative(current_A, 'current_A', 'A');
  requireNotNegative(inductance_H, 'inductance_H', 'H');
  if (!(breakdown_V > supply_V)) throw new RangeError(`breakdown_V: expected above the source, ${supply_V} V, got ${breakdown_V}`);
  return (0.5 * inductance_H * current_A * current_A * breakdown_V) / (breakdown_V - supply_V);
}
