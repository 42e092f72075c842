import { requireNotNegative, requirePositive } from './domain.ts';
import type { FuseGate } from './fuses.ts';
import { nonNegativeLeastSquares } from './least-squares.ts';

/**
 * How a fuse's element warms: θ = Σ θₖ, τₖ·θₖ' = shareₖ·(i/rating)² − θₖ; it melts when θ reaches 1. A ladder of lumps
 * seen from its element is such a sum with shares above zero.
 */
export interface FuseElement {
  readonly rating_A: number;
  readonly parts: readonly { readonly share: number; readonly time_s: number }[];
}

/** Which reading of the gates: the soonest it may open, the latest, or the middle of both on a logarithmic scale. */
export type GateReading = 'earliest' | 'middle' | 'latest';

/**
 * The element that opens at the gates' times: Σ shareₖ·(1 − e^(−t/τₖ)) = 1/m² at each multiple m, by non-negative least
 * squares over time constants from a millisecond to an hour. Gates whose I²t falls with time cannot be met by any thing
 * that warms; they are met as nearly as one can.
 * @param melting_A2s  of short pulses, when the datasheet gives it
 * @throws RangeError when the rating is not above zero or no gate bounds a time
 */
export function fuseElement(rating_A: number, gates: readonly FuseGate[], reading: GateReading, melting_A2s?: number): FuseElement {
  requirePositive(rating_A, 'rating_A', 'A');
  const points = gates.flatMap((gate) => {
    const time = reading === 'middle' ? Math.sqrt(gate.earliest_s * gate.latest_s) : reading === 'earliest' ? gate.earliest_s : gate.latest_s;
    return time < Infinity && gate.latest_s < Infinity ? [{ multiple: gate.multiple, time_s: time }] : [];
  });
  if (points.length === 0) throw new RangeError('gates: expected at least one with a latest time');
  const hold = gates.find((gate) => gate.latest_s === Infinity)?.multiple;
  if (hold !== undefined) points.push({ multiple: hold / Math.sqrt(HELD_WARMTH), time_s: FOREVER_S });
  if (melting_A2s !== undefined) {
    requirePositive(melting_A2s, 'melting_A2s', 'A²·s');
    points.push({ multiple: Math.sqrt(melting_A2s / SHORT_S) / rating_A, time_s: SHORT_S });
  }
  // Nothing says what a part quicker than the shortest time does: without it I²t stays as it is there.
  const shortest = Math.min(...points.map((point) => point.time_s));
  const times = TIMES_S.filter((tau) => tau >= shortest);
  const rows = points.map(({ multiple, time_s }) => times.map((tau) => -Math.expm1(-time_s / tau) * multiple * multiple));
  const shares = nonNegativeLeastSquares(rows, points.map(() => 1));
  const parts = times.flatMap((time_s, k) => (shares[k]! > 0 ? [{ share: shares[k]!, time_s }] : []));
  return { rating_A, parts };
}

/**
 * Time to melt from cold at a steady current, s; Infinity when it never does.
 * @throws RangeError when the current is negative (NaN included)
 */
export function meltingTime_s(element: FuseElement, current_A: number): number {
  requireNotNegative(current_A, 'current_A', 'A');
  const load = (current_A / element.rating_A) ** 2;
  const warmth = (t: number): number => load * element.parts.reduce((sum, part) => sum - part.share * Math.expm1(-t / part.time_s), 0);
  if (!(warmth(FOREVER_S) > 1)) return Infinity;
  let low = Math.log(1e-9);
  let high = Math.log(FOREVER_S);
  for (let pass = 0; pass < 80; pass++) {
    const middle = (low + high) / 2;
    if (warmth(Math.exp(middle)) < 1) low = middle;
    else high = middle;
  }
  return Math.exp(high);
}

/** ∫i² dt that melts it when no heat leaves any part, A²·s: In²/Σ(share/τ). */
export function shortMelting_A2s(element: FuseElement): number {
  return element.rating_A ** 2 / element.parts.reduce((sum, part) => sum + part.share / part.time_s, 0);
}

/** At its largest lasting current the element stands this near melting. */
const HELD_WARMTH = 0.98;
const FOREVER_S = 1e6;
/** Datasheets state melting I²t for about a millisecond to ten. */
const SHORT_S = 2e-3;
/** Candidates for time constants: four to a decade. */
const TIMES_S = Array.from({ length: 27 }, (_, k) => 1e-3 * 10 ** (k / 4));
