import { FUSE_GATES, operatingTime, pulseShare, type FuseClass, type OperatingTime } from '../physics/fuses.ts';
import { quantile, type Quantity } from '../quantity/quantity.ts';
import { longestAbove, type CurrentCurve } from './pulse-shape.ts';

/**
 * A value of a trip curve that the file states without a spread is held by its maker about so well: comparators that are
 * made of a transistor's own resistance drift with its temperature. Common practice, no source.
 */
const CURRENT_TOLERANCE = 0.1;
const DELAY_TOLERANCE = 0.3;

/** A machine is powered up some two hundred times a year, for five years; a slip of the crew comes to less than a hundred. Common practice, no source. */
const PULSES = { 'each power-up': 1000, 'a slip': 100 } as const;
export type HowOften = keyof typeof PULSES;

const STEPS = 16;
const SHARES = Array.from({ length: STEPS }, (_, k) => (k + 0.5) / STEPS);

/** Value of a trip current below which a share of its spread lies, A. */
export function currentAt(q: Quantity, share: number): number {
  return withTolerance(q, CURRENT_TOLERANCE, share);
}

/** The same for a delay, s. */
export function delayAt(q: Quantity, share: number): number {
  return withTolerance(q, DELAY_TOLERANCE, share);
}

function withTolerance(q: Quantity, tolerance: number, share: number): number {
  return q.low === q.high ? q.value * (1 + tolerance * (2 * share - 1)) : quantile(q, share);
}

/** Share of the spread of threshold and delay in which a pulse trips a comparator. */
export function tripChance(curve: CurrentCurve, current: Quantity, delay: Quantity): number {
  if (curve.time_s.length === 0) return 0;
  return mean(SHARES.map((share) => shareBelow(longestAbove(curve, currentAt(current, share)), delay)));
}

/** Share of a delay's spread that is over by a time, to a sixteenth, with what lies between two of them interpolated. */
function shareBelow(time_s: number, delay: Quantity): number {
  if (!(time_s > 0)) return 0;
  const delays = SHARES.map((share) => delayAt(delay, share));
  const above = delays.findIndex((one) => one > time_s);
  if (above < 0) return 1;
  if (above === 0) return 0;
  const [low, high] = [delays[above - 1]!, delays[above]!];
  return SHARES[above - 1]! + ((time_s - low) / (high - low)) / STEPS;
}

/** Share of the spread in which a current that lasts trips the slow comparator. */
export function overCurrentChance(current_A: number, time_s: number, current: Quantity, delay: Quantity): number {
  return mean(SHARES.map((share) => (current_A >= currentAt(current, share) ? shareBelow(time_s, delay) : 0)));
}

/** Share of the melting let-through that each of the pulses of a machine's life may use. */
export function allowedShare(often: HowOften): number {
  return pulseShare(PULSES[often]);
}

/** Share of a fuse's spread in which a pulse is more than it bears as often as it comes. */
export function meltChance(letThrough_A2s: number, melting: Quantity, often: HowOften): number {
  return mean(SHARES.map((share) => (letThrough_A2s > allowedShare(often) * quantile(melting, share) ? 1 : 0)));
}

/** When a fuse may open at a multiple of its rating: the whole band of its class, of all classes where none is named. */
export function fuseBand(multiple: number, named: FuseClass | undefined): OperatingTime {
  const gates = named === undefined ? Object.values(FUSE_GATES) : [FUSE_GATES[named]];
  const bands = gates.map((one) => operatingTime(multiple, one));
  return { earliest_s: Math.min(...bands.map((band) => band.earliest_s)), latest_s: Math.max(...bands.map((band) => band.latest_s)) };
}

/** How far, on a log scale, a time lies in the band in which a fuse opens: 0 before it, 1 after it. */
export function fuseHeldChance(multiple: number, time_s: number, named: FuseClass | undefined): number {
  const { earliest_s, latest_s } = fuseBand(multiple, named);
  if (!(time_s > earliest_s)) return 0;
  if (time_s >= latest_s) return 1;
  return latest_s === Infinity ? 0.5 : Math.log(time_s / earliest_s) / Math.log(latest_s / earliest_s);
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
