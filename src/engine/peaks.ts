import type { Model } from './model.ts';
import type { Scratch, Stepper } from './stepper.ts';

/** Asks for the largest (sign +1) or smallest (−1) value of an unknown or a watched scalar within a span of time. */
export interface PeakRequest {
  readonly of: { readonly unknown: number } | { readonly watch: number };
  readonly sign: 1 | -1;
  readonly from_s: number;
  readonly until_s: number;
}

export interface Peak {
  readonly value: number;
  readonly time: number;
}

/**
 * Follows extremes during a run. An extreme of a differential unknown inside a step is found with real steps to where
 * its derivative vanishes (a cubic through the ends would be off by 1e-4 in large steps); watched scalars are sampled
 * on the dense output.
 */
export class Peaks {
  private readonly followed: readonly Followed[];
  private readonly states: readonly Followed[];
  private readonly watches: readonly Followed[];
  /** The end of the step that was looked at last, while nothing has changed since. */
  private lookedAt_s = NaN;
  /** Before this time no span begins, and none is running. */
  private idleUntil_s = -Infinity;

  constructor(
    private readonly model: Model,
    requests: readonly PeakRequest[],
    private readonly scratch: Scratch,
  ) {
    this.followed = requests.map(({ of, sign, from_s, until_s }) => {
      const index = 'unknown' in of ? of.unknown : of.watch;
      return { sampled: 'watch' in of, index, sign, from_s, until_s, value: NaN, time: NaN };
    });
    this.states = this.followed.filter((one) => !one.sampled);
    this.watches = this.followed.filter((one) => one.sampled);
  }

  /** Looks into the step just attempted from (t, y), which `begin` has prepared; leaves the stepper as it was. */
  inspect(stepper: Stepper, t: number, h: number, p: Float64Array): void {
    if (t + h < this.idleUntil_s) return;
    const { kernel } = this.model;
    const { ratesAtEnd } = this.scratch;
    const { y, yNew, f0 } = stepper;
    let sloped = false;
    let busy = false;
    for (const one of this.states) {
      if (t + h < one.from_s || t > one.until_s) continue;
      busy = true;
      offer(one, y[one.index]!, t);
      offer(one, yNew[one.index]!, t + h);
      if (!(one.sign * f0[one.index]! > 0)) continue;
      if (!sloped) {
        kernel.rates(t + h, yNew, p, ratesAtEnd);
        sloped = true;
      }
      if (one.sign * ratesAtEnd[one.index]! < 0) this.polish(one, stepper, t, h, p);
    }
    for (const one of this.watches)
      if (t + h >= one.from_s && t <= one.until_s) {
        this.sample(stepper, t, h, p);
        return;
      }
    if (!busy) this.idleUntil_s = this.nextSpan(t + h);
  }

  /** When the next span after a time begins, s. */
  nextSpan(after_s: number): number {
    let next = Infinity;
    for (const { from_s } of this.followed) if (from_s > after_s && from_s < next) next = from_s;
    return next;
  }

  private sample(stepper: Stepper, t: number, h: number, p: Float64Array): void {
    const { inside, watchedInside } = this.scratch;
    // A step begins where the one before it ended.
    for (let sample = t === this.lookedAt_s ? 1 : 0; sample <= SAMPLES; sample++) {
      const theta = sample / SAMPLES;
      const at = t + theta * h;
      if (0 < sample && sample < SAMPLES) stepper.interpolate(theta, inside);
      this.model.kernel.watch(at, sample === 0 ? stepper.y : sample === SAMPLES ? stepper.yNew : inside, p, watchedInside);
      for (const one of this.watches) offer(one, watchedInside[one.index]!, at);
    }
    this.lookedAt_s = t + h;
  }

  /** To be called when something has switched: watched scalars may have jumped. */
  jumped(): void {
    this.lookedAt_s = NaN;
  }

  found(y: Float64Array, t: number): Peak[] {
    for (const one of this.states) offer(one, y[one.index]!, t);
    return this.followed.map(({ value, time }) => ({ value, time }));
  }

  private polish(one: Followed, stepper: Stepper, t: number, h: number, p: Float64Array): void {
    const { index, sign } = one;
    const { inside, rates, ratesAtEnd } = this.scratch;
    stepper.interpolate(0.5, inside);
    const reachable = Math.max(sign * stepper.yNew[index]!, sign * stepper.y[index]!, sign * inside[index]!);
    if (reachable * (reachable > 0 ? 1.5 : 0.5) < sign * one.value) return;
    const scale = Math.abs(stepper.f0[index]!);
    const slopeAt = (theta: number, y: Float64Array): number => {
      this.model.kernel.rates(t + theta * h, y, p, rates);
      return rates[index]!;
    };
    const onDense = (theta: number): number => {
      stepper.interpolate(theta, inside);
      return slopeAt(theta, inside);
    };
    // The dense output tells cheaply where to step to, and how its slope falls there.
    let theta = zeroOf(onDense, stepper.f0[index]!, ratesAtEnd[index]!, 1e-4 * scale);
    const bend = (onDense(Math.min(1, theta + BESIDE)) - onDense(Math.max(0, theta - BESIDE))) / (Math.min(1, theta + BESIDE) - Math.max(0, theta - BESIDE));
    stepper.keep();
    let value = NaN;
    let at = theta;
    for (let pass = 0; pass < REAL_STEPS; pass++) {
      if (stepper.attempt(t, theta * h) === Infinity) break;
      value = stepper.yNew[index]!;
      at = theta;
      const slope = slopeAt(theta, stepper.yNew);
      if (Math.abs(slope) < 1e-6 * scale) break;
      theta = Math.min(1, Math.max(1e-3, theta - slope / bend));
    }
    if (!Number.isNaN(value)) offer(one, value, t + at * h);
    stepper.restore();
  }
}

/** One request with the best that was found so far. */
interface Followed {
  /** A watched scalar, looked at in a few places of each step. */
  readonly sampled: boolean;
  readonly index: number;
  readonly sign: 1 | -1;
  readonly from_s: number;
  readonly until_s: number;
  value: number;
  time: number;
}

function offer(one: Followed, value: number, time: number): void {
  if (time < one.from_s || time > one.until_s) return;
  if (!(one.sign * value <= one.sign * one.value)) {
    one.value = value;
    one.time = time;
  }
}

const SAMPLES = 2;
/** Real steps to an extreme; the second one corrects what the dense output had wrong. */
const REAL_STEPS = 3;
/** Part of the step over which the slope's own slope is taken. */
const BESIDE = 0.02;

/** Where in 0 to 1 a function with these ends of opposite sign comes within `enough` of zero (Illinois' false position). */
function zeroOf(of: (theta: number) => number, atLow: number, atHigh: number, enough: number): number {
  let low = 0;
  let high = 1;
  let fLow = atLow;
  let fHigh = atHigh;
  let side = 0;
  for (let pass = 0; ; pass++) {
    let theta = low + (fLow * (high - low)) / (fLow - fHigh);
    if (!(theta > low && theta < high)) theta = 0.5 * (low + high);
    if (pass === 12) return theta;
    const f = of(theta);
    if (Math.abs(f) <= enough) return theta;
    if (f > 0 === atLow > 0) {
      low = theta;
      fLow = f;
      if (side === 1) fHigh *= 0.5;
      side = 1;
    } else {
      high = theta;
      fHigh = f;
      if (side === -1) fLow *= 0.5;
      side = -1;
    }
  }
}
