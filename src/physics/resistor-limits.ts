import { requirePositive } from './domain.ts';
import { OVERLOAD_TEST_S, overloadPower_W, pulseCrossover_s, type ResistorConstruction } from './resistors.ts';

/** What a resistor takes: for ever, for five seconds, and in one short pulse. */
export interface ResistorLimits {
  readonly construction: ResistorConstruction;
  readonly rated_W: number;
  /** Power of the five-second overload test, W. */
  readonly overload_W: number;
  /** Energy of one short pulse, J. */
  readonly pulse_J: number;
}

/**
 * @param pulse_J  energy of one short pulse, from a datasheet or a class
 * @throws RangeError when a rating is not above zero (NaN included)
 */
export function resistorLimits(construction: ResistorConstruction, rated_W: number, pulse_J: number): ResistorLimits {
  requirePositive(pulse_J, 'pulse_J', 'J');
  return { construction, rated_W, overload_W: overloadPower_W(construction, rated_W), pulse_J };
}

/**
 * Time constant of a body that its rated power brings to its limit in the end and its overload power in five seconds, s:
 *     τ = 5 s / −ln(1 − P_rated/P_overload)
 * Errs short: the overload test may take the body past what it bears for ever.
 */
export function bodyTimeConstant_s({ rated_W, overload_W }: ResistorLimits): number {
  return -OVERLOAD_TEST_S / Math.log1p(-rated_W / overload_W);
}

/**
 * Energy that a resistor takes within a time, J: the pulse energy while the heat stays in the wire, then the overload
 * power up to five seconds, then what a body of one time constant takes, P_rated · t/(1 − e^(−t/τ)).
 * @throws RangeError when the time is not above zero (NaN included)
 */
export function allowedEnergy_J(limits: ResistorLimits, within_s: number): number {
  requirePositive(within_s, 'within_s', 's');
  const { rated_W, overload_W, pulse_J } = limits;
  if (within_s <= pulseCrossover_s(pulse_J, overload_W)) return pulse_J;
  if (within_s <= OVERLOAD_TEST_S) return overload_W * within_s;
  return Math.max(pulse_J, (rated_W * within_s) / -Math.expm1(-within_s / bodyTimeConstant_s(limits)));
}

/**
 * Time after which a steady power has used up what a resistor takes, s; Infinity up to its rated power.
 * Above the overload power it is the time that the pulse energy lasts.
 * @throws RangeError when the power is not above zero (NaN included)
 */
export function timeToHarm_s(limits: ResistorLimits, power_W: number): number {
  requirePositive(power_W, 'power_W', 'W');
  const { rated_W, overload_W, pulse_J } = limits;
  if (power_W <= rated_W) return Infinity;
  if (power_W > overload_W) return pulse_J / power_W;
  return -bodyTimeConstant_s(limits) * Math.log1p(-rated_W / power_W);
}
