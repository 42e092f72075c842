import { keptPoints, type Corridor } from './thin.ts';
import type { Owner, ReplayColumn, ReplayQuantity } from './replay.ts';

const UNITS: Readonly<Record<ReplayQuantity, string>> = { voltage: 'V', current: 'A', power: 'W', temperature: '°C', 'angular speed': 'rad/s', speed: 'm/s' };
/** Less than this of each nobody reads off a curve. */
const FLOORS: Readonly<Record<ReplayQuantity, number>> = { voltage: 2e-3, current: 1e-3, power: 1e-2, temperature: 0.02, 'angular speed': 0.5, speed: 0.01 };
const SHARE = 2e-3;
/** A floor is also this share of a curve's whole span. */
const SPAN_SHARE = 2e-5;
/** More points than this are thinned further: a hundred columns of them are 16 MB. */
const MOST_POINTS = 20_000;

/** Gathers the curves of a run, and thins them out together. */
export class Columns {
  private readonly list: { readonly name: string; readonly quantity: ReplayQuantity; readonly of: readonly Owner[]; readonly values: Float64Array }[] = [];

  constructor(private readonly time_s: readonly number[]) {}

  /** Adds a curve; one without a single finite value is left out. */
  add(name: string, quantity: ReplayQuantity, of: readonly Owner[], values: ArrayLike<number>): void {
    const held = finite(values);
    if (held !== undefined) this.list.push({ name, quantity, of, values: held });
  }

  /** The thinned table from one moment to another, its times counted from `zero_s`. */
  between(from_s: number, until_s: number, zero_s: number): { readonly time_s: Float64Array; readonly columns: readonly ReplayColumn[] } {
    const first = this.time_s.findIndex((time) => time >= from_s);
    const last = this.time_s.findLastIndex((time) => time <= until_s);
    const time_s = Float64Array.from(this.time_s.slice(first, last + 1));
    const cut = this.list.map(({ values }) => values.subarray(first, last + 1));
    const kept = this.thinned(time_s, cut);
    return {
      time_s: Float64Array.from(kept, (k) => time_s[k]! - zero_s),
      columns: this.list.map(({ name, quantity, of }, c) => ({ name, quantity, unit: UNITS[quantity], of, values: Float64Array.from(kept, (k) => cut[c]![k]!) })),
    };
  }

  private thinned(time_s: Float64Array, curves: readonly Float64Array[]): number[] {
    const spans = curves.map((curve) => curve.reduce((most, value) => Math.max(most, value), -Infinity) - curve.reduce((least, value) => Math.min(least, value), Infinity));
    for (let coarse = 1; ; coarse *= 2) {
      const corridors = this.list.map(({ quantity }, c): Corridor => ({ share: coarse * SHARE, floor: coarse * Math.max(FLOORS[quantity], SPAN_SHARE * spans[c]!) }));
      const kept = keptPoints(time_s, curves, corridors);
      if (kept.length <= MOST_POINTS || coarse > COARSEST) return kept;
    }
  }
}

/** Beyond a corridor of a tenth of the value nothing is gained any more. */
const COARSEST = 50;

/** The same values, with what is no number replaced by what stood before it. */
function finite(values: ArrayLike<number>): Float64Array | undefined {
  let held = Array.prototype.find.call(values, Number.isFinite) as number | undefined;
  if (held === undefined) return undefined;
  return Float64Array.from(values, (value) => (held = Number.isFinite(value) ? value : held!));
}
