import { requireNotNegative, requireWithin } from './domain.ts';

export type PulseShape = 'square' | 'half-sine' | 'triangle' | 'parabola' | 'exponential';

const SHAPE_FACTOR: Readonly<Record<PulseShape, number>> = {
  square: 1,
  'half-sine': 1 / 2,
  triangle: 1 / 3,
  parabola: 1 / 5,
  exponential: 1 / 2,
};

/**
 * ∫i² dt of one pulse by its shape, A²·s: factor · î²·t, where for an exponential decay t is its time constant.
 * @throws RangeError when peak or duration is not zero or more (NaN included)
 * @see Littelfuse, Fuseology, chart 1
 */
export function pulseLetThrough_A2s(shape: PulseShape, peak_A: number, duration_s: number): number {
  requireNotNegative(peak_A, 'peak_A', 'A');
  requireNotNegative(duration_s, 'duration_s', 's');
  return SHAPE_FACTOR[shape] * peak_A * peak_A * duration_s;
}

/** ∫i² dt of a straight ramp from one current to another, A²·s: ⅓(a² + ab + b²)·t (same chart). */
export function rampLetThrough_A2s(from_A: number, to_A: number, duration_s: number): number {
  requireNotNegative(from_A, 'from_A', 'A');
  requireNotNegative(to_A, 'to_A', 'A');
  requireNotNegative(duration_s, 'duration_s', 's');
  return ((from_A * from_A + from_A * to_A + to_A * to_A) * duration_s) / 3;
}

/** Share of the nominal melting I²t that a pulse may use, by how often it comes (Littelfuse, Fuseology, chart 2). */
export const PULSE_SHARES: readonly { readonly pulses: number; readonly share: number }[] = [
  { pulses: 100, share: 0.48 },
  { pulses: 1_000, share: 0.38 },
  { pulses: 10_000, share: 0.29 },
  { pulses: 100_000, share: 0.22 },
];

/**
 * Share of a fuse's melting I²t that each of so many pulses may use, log–log between the chart's points, with ten
 * seconds of cooling between pulses. A maker's own chart for the series replaces it. Fewer than 100 pulses take the
 * chart's first share: it says nothing kinder.
 * @throws RangeError outside 1 to 100 000 pulses
 */
export function pulseShare(pulses: number): number {
  requireWithin(pulses, 1, 100_000, 'pulses', '');
  const counts = PULSE_SHARES.map((row) => row.pulses);
  const shares = PULSE_SHARES.map((row) => row.share);
  return logLog(counts, shares, Math.max(pulses, counts[0]!));
}

/** Melting I²t a fuse needs to stand so many pulses, A²·s: the pulse's own over the allowed share. */
export function requiredMelting_A2s(pulse_A2s: number, share: number): number {
  requireNotNegative(pulse_A2s, 'pulse_A2s', 'A²·s');
  requireWithin(share, 0.01, 1, 'share', '');
  return pulse_A2s / share;
}

export type FuseClass = 'blade' | 'blade high-current' | 'bolt-in large' | 'bolt-in medium';

/** Gate of an operating-time table: at this multiple of the rating the fuse opens no earlier and no later than. */
export interface FuseGate {
  readonly multiple: number;
  readonly earliest_s: number;
  /** Infinity where the standard sets no upper limit. */
  readonly latest_s: number;
}

/**
 * Operating-time gates of road-vehicle fuses (ISO 8820-3, -5), from memory, the wider reading where makers differ.
 * Editable defaults: a fuse's own datasheet replaces them. Never a proof.
 */
export const FUSE_GATES: Readonly<Record<FuseClass, readonly FuseGate[]>> = {
  blade: [
    { multiple: 1.1, earliest_s: 360_000, latest_s: Infinity },
    { multiple: 1.35, earliest_s: 0.75, latest_s: 1800 },
    { multiple: 1.6, earliest_s: 0.25, latest_s: 50 },
    { multiple: 2, earliest_s: 0.15, latest_s: 5 },
    { multiple: 3.5, earliest_s: 0.04, latest_s: 0.5 },
    { multiple: 6, earliest_s: 0.02, latest_s: 0.1 },
  ],
  'blade high-current': [
    { multiple: 1.1, earliest_s: 360_000, latest_s: Infinity },
    { multiple: 1.35, earliest_s: 60, latest_s: 1800 },
    { multiple: 2, earliest_s: 2, latest_s: 60 },
    { multiple: 3.5, earliest_s: 0.2, latest_s: 7 },
    { multiple: 6, earliest_s: 0.04, latest_s: 1 },
  ],
  'bolt-in large': [
    { multiple: 1, earliest_s: 14_400, latest_s: Infinity },
    { multiple: 1.35, earliest_s: 120, latest_s: 1800 },
    { multiple: 2, earliest_s: 1, latest_s: 15 },
    { multiple: 3.5, earliest_s: 0.3, latest_s: 5 },
    { multiple: 6, earliest_s: 0.1, latest_s: 1 },
  ],
  'bolt-in medium': [
    { multiple: 1, earliest_s: 14_400, latest_s: Infinity },
    { multiple: 1.35, earliest_s: 120, latest_s: 1800 },
    { multiple: 2, earliest_s: 1, latest_s: 100 },
    { multiple: 3, earliest_s: 0.3, latest_s: 5 },
    { multiple: 5, earliest_s: 0.1, latest_s: 1 },
  ],
};

/** When a fuse may open at a steady current, and when it must have. */
export interface OperatingTime {
  readonly earliest_s: number;
  readonly latest_s: number;
}

/**
 * Operating times at a multiple of the rated current, log–log between the gates, both falling with current.
 * Below the first gate the fuse never opens; where a gate has no upper limit neither has the stretch above it, up to
 * the next. Beyond the last gate the element heats with no loss: I²t stays as it is there.
 * @param gates  rising multiples, falling times
 * @throws RangeError when the multiple is negative or NaN
 */
export function operatingTime(multiple: number, gates: readonly FuseGate[]): OperatingTime {
  requireNotNegative(multiple, 'multiple', '');
  const first = gates[0];
  const last = gates.at(-1);
  if (!first || !last || multiple < first.multiple) return { earliest_s: Infinity, latest_s: Infinity };
  if (multiple >= last.multiple) {
    const shrink = (last.multiple / multiple) ** 2;
    return { earliest_s: last.earliest_s * shrink, latest_s: last.latest_s * shrink };
  }
  const bounded = gates.filter((gate) => gate.latest_s < Infinity);
  const multiples = gates.map((gate) => gate.multiple);
  return {
    earliest_s: logLog(
      multiples,
      gates.map((gate) => gate.earliest_s),
      multiple,
    ),
    latest_s:
      multiple < (bounded[0]?.multiple ?? Infinity)
        ? Infinity
        : logLog(
            bounded.map((gate) => gate.multiple),
            bounded.map((gate) => gate.latest_s),
            multiple,
          ),
  };
}

// Straight lines on log–log paper; x within the list.
function logLog(xs: readonly number[], ys: readonly number[], x: number): number {
  const upper = Math.max(1, xs.findIndex((candidate) => candidate >= x));
  const x0 = xs[upper - 1]!;
  const part = Math.log(x / x0) / Math.log(xs[upper]! / x0);
  const y0 = ys[upper - 1]!;
  return y0 * (ys[upper]! / y0) ** part;
}
