import type { Model } from './model.ts';
import type { Stepper } from './stepper.ts';

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
  private readonly best: { value: number; time: number }[];
  private readonly f1: Float64Array;
  private readonly saved: Float64Array;
  private readonly inside: Float64Array;
  private readonly watched: Float64Array;
  private readonly needsWatches: boolean;

  constructor(
    private readonly model: Model,
    private readonly requests: readonly PeakRequest[],
  ) {
    this.best = requests.map(() => ({ value: NaN, time: NaN }));
    this.f1 = new Float64Array(model.plan.unknowns);
    this.saved = new Float64Array(model.plan.unknowns);
    this.inside = new Float64Array(model.plan.unknowns);
    this.watched = new Float64Array(model.plan.watches.length);
    this.needsWatches = requests.some((r) => 'watch' in r.of);
  }

  /** Looks into the step just attempted from (t, y), which `begin` has prepared; leaves the stepper as it was. */
  inspect(stepper: Stepper, t: number, h: number, p: Float64Array): void {
    if (this.requests.length === 0) return;
    const { kernel } = this.model;
    let sloped = false;
    for (let k = 0; k < this.requests.length; k++) {
      const request = this.requests[k]!;
      if (t + h < request.from_s || t > request.until_s || !('unknown' in request.of)) continue;
      const index = request.of.unknown;
      this.offer(k, stepper.y[index]!, t);
      this.offer(k, stepper.yNew[index]!, t + h);
      if (!(request.sign * stepper.f0[index]! > 0)) continue;
      if (!sloped) {
        kernel.rates(t + h, stepper.yNew, p, this.f1);
        sloped = true;
      }
      if (request.sign * this.f1[index]! < 0) this.polish(k, index, request.sign, stepper, t, h, p);
    }
    if (!this.needsWatches || !this.requests.some((r) => 'watch' in r.of && t + h >= r.from_s && t <= r.until_s)) return;
    for (let sample = 0; sample <= SAMPLES; sample++) {
      const theta = sample / SAMPLES;
      const at = t + theta * h;
      if (sample === 0) this.inside.set(stepper.y);
      else if (sample === SAMPLES) this.inside.set(stepper.yNew);
      else stepper.interpolate(theta, this.inside);
      kernel.watch(at, this.inside, p, this.watched);
      for (let k = 0; k < this.requests.length; k++) {
        const { of } = this.requests[k]!;
        if ('watch' in of) this.offer(k, this.watched[of.watch]!, at);
      }
    }
  }

  found(y: Float64Array, t: number): Peak[] {
    this.requests.forEach((request, k) => {
      if ('unknown' in request.of) this.offer(k, y[request.of.unknown]!, t);
    });
    return this.best.map((b) => ({ value: b.value, time: b.time }));
  }

  private polish(k: number, index: number, sign: number, stepper: Stepper, t: number, h: number, p: Float64Array): void {
    stepper.interpolate(0.5, this.inside);
    const reachable = Math.max(sign * stepper.yNew[index]!, sign * stepper.y[index]!, sign * this.inside[index]!);
    if (reachable * (reachable > 0 ? 1.5 : 0.5) < sign * this.best[k]!.value) return;
    this.saved.set(stepper.yNew);
    let low = 0;
    let fLow = stepper.f0[index]!;
    let high = 1;
    let fHigh = this.f1[index]!;
    for (let pass = 0; pass < 6 && high - low > 1e-7; pass++) {
      let theta = low + (fLow * (high - low)) / (fLow - fHigh);
      if (!(theta > low && theta < high)) theta = 0.5 * (low + high);
      if (stepper.attempt(t, theta * h) === Infinity) break;
      this.model.kernel.rates(t + theta * h, stepper.yNew, p, this.inside);
      const slope = this.inside[index]!;
      this.offer(k, stepper.yNew[index]!, t + theta * h);
      if (Math.abs(slope) < 1e-6 * Math.abs(stepper.f0[index]!)) break;
      if (sign * slope > 0) {
        low = theta;
        fLow = slope;
      } else {
        high = theta;
        fHigh = slope;
      }
    }
    stepper.attempt(t, h);
    stepper.yNew.set(this.saved);
  }

  private offer(k: number, value: number, time: number): void {
    const request = this.requests[k]!;
    if (time < request.from_s || time > request.until_s) return;
    const best = this.best[k]!;
    if (!(request.sign * value <= request.sign * best.value)) {
      best.value = value;
      best.time = time;
    }
  }
}

const SAMPLES = 2;
