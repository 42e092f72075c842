import type { Model } from './model.ts';
import type { Scratch, Stepper } from './stepper.ts';

/** Which watched scalars to keep as curves. */
export interface RecordRequest {
  readonly watches: readonly number[];
  /** Points between two accepted steps, from the dense output. */
  readonly between?: number;
}

export interface Recording {
  readonly time_s: readonly number[];
  /** One curve per requested watch. */
  readonly curves: readonly (readonly number[])[];
}

/** Keeps curves during a run. */
export class Recorder {
  private readonly time: number[] = [];
  private readonly curves: number[][];

  constructor(
    private readonly model: Model,
    private readonly request: RecordRequest | undefined,
    private readonly scratch: Scratch,
  ) {
    this.curves = (request?.watches ?? []).map(() => []);
  }

  take(t: number, y: Float64Array, p: Float64Array): void {
    if (this.request === undefined) return;
    this.model.kernel.watch(t, y, p, this.scratch.watchedInside);
    this.time.push(t);
    this.request.watches.forEach((watch, k) => this.curves[k]!.push(this.scratch.watchedInside[watch]!));
  }

  /** Points of an attempted step of `h`, or of the first `share` of it that an event has left. */
  within(stepper: Stepper, t: number, h: number, share: number, p: Float64Array): void {
    const between = this.request?.between ?? 0;
    for (let k = 1; k <= between; k++) {
      const theta = (share * k) / (between + 1);
      stepper.interpolate(theta, this.scratch.inside);
      this.take(t + theta * h, this.scratch.inside, p);
    }
  }

  finish(): Recording {
    return { time_s: this.time, curves: this.curves };
  }
}
