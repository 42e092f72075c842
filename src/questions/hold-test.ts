import type { Quantity } from '../quantity/quantity.ts';
import { normalQuantile } from '../quantity/normal-quantile.ts';
import { heldVoltages, type Draw, type HeldBus, type HeldVoltages } from './held-bus.ts';
import { BetterMinimum, cholesky, descend, forwardSolved, profileInterval, type Box, type Interval, type Minimum, type Misfit, type MisfitOf } from './profile.ts';

/** What a meter showed while the soft start was held. */
export interface Reading {
  /** Since the soft start closed, s; Infinity for the voltage at rest. */
  readonly time_s: number;
  readonly volts_V: number;
  /** Half width of what the time may be off by, start of the clock and reading together, s. */
  readonly timeError_s?: number | undefined;
  /** Half width of what the voltage may be off by, V; from the meter when left out. */
  readonly voltsError_V?: number | undefined;
}

/** Error of a meter as its data sheet gives it: a share of the reading, and so many volts of its last digits. */
export interface Meter {
  readonly share: number;
  readonly digits_V: number;
}

export interface Range {
  readonly low: number;
  readonly high: number;
}

/** Part of the standby current, and the voltage above which it flows. */
export interface Wake {
  readonly at: Quantity;
  readonly share: number;
}

export interface FitRequest {
  readonly supply: Quantity;
  readonly resistance: Quantity;
  readonly readings: readonly Reading[];
  readonly meter: Meter;
  /** Where the two are looked for; nothing inside is preferred. F and A, above 0. */
  readonly prior: { readonly capacitance: Range; readonly standby: Range };
  /** Shares sum to 1. */
  readonly wakes: readonly Wake[];
  /** Loads of constant power that start while it is held. */
  readonly powers: readonly { readonly power: Quantity; readonly start: Quantity; readonly stop: Quantity }[];
  /** What else draws and is known: bleed resistors, lamps. */
  readonly leaks: readonly Draw[];
}

/** A fitted value with its 95 % interval, or the side from which the readings bound it. */
export type Told =
  | { readonly told: true; readonly value: number; readonly low: number; readonly high: number }
  | { readonly told: false; readonly atMost: number | undefined; readonly atLeast: number | undefined };

export interface ReadingFit extends Reading {
  /** Voltage of the best fit at that time, V. */
  readonly model_V: number;
  /** How far the reading is off, in standard deviations of all that may be off with it. */
  readonly deviations: number;
}

export interface FitOutcome {
  /**
   * `inconsistent`: no values explain the readings (chi-square test at 1 %). `unsettled`: the values that fit best keep
   * a load starting and stopping, where a meter shows nothing to count on. Neither tells any value.
   */
  readonly status: 'fitted' | 'inconsistent' | 'unsettled';
  readonly capacitance: Told;
  readonly standby: Told;
  readonly readings: readonly ReadingFit[];
  readonly chiSquare: number;
  /** Readings beyond those that the told values use up. */
  readonly degrees: number;
  /** The chi-square that readings like these exceed once in a hundred times; with none to spare, that of one. */
  readonly limit: number;
}

/** A person's stopwatch: within this of the time meant. Common practice, no source. */
export const HAND_s = 0.15;
/** A hand-held multimeter on its 60 V range: 0.5 % and two digits of 10 mV. Common practice, no source. */
export const METER: Meter = { share: 0.005, digits_V: 0.02 };

/**
 * What the start of the clock is off by, beside the whole of each reading's own error, as a share of the surest one.
 * How an error of time divides between start and reading nobody writes down: with this share the intervals hold for a
 * start that makes up none to two thirds of its variance.
 */
const CLOCK_START = Math.SQRT1_2;
/** χ² of one degree of freedom at 95 %. */
const RISE_95 = normalQuantile(0.975) ** 2;
/** An interval that takes up this much of where a value was looked for tells nothing. */
const AS_WIDE_AS_PRIOR = 0.8;
/** A profile that keeps coming upon better values has no one minimum to speak of. */
const MOST_BEGINNINGS = 10;
const UNTOLD: Told = { told: false, atMost: undefined, atLeast: undefined };

/**
 * Capacitance and standby current of what hangs behind a soft start, from readings of its bus.
 *
 * Minus twice the log-likelihood ln|Σ| + rᵀΣ⁻¹r of the readings' residuals r is minimised over the logarithms of the
 * two. Σ holds what the meter and the clock may be off by, reading by reading, and what supply, resistor, thresholds and
 * powers and the start of the clock may be off by, all readings together; each is carried to the bus voltage by the model's own difference over
 * ± one standard deviation. The 95 % intervals are where the profile of that misfit stays within 3.84 of its minimum.
 * Spreads given by their ends count as uniform: half width / √3.
 * @throws RangeError when there is no reading, a reading is no number, or a range is not above zero and ascending
 * @see JCGM 100:2008 (GUM), 4.3.7, for the standard deviation of a uniform spread
 * @see D. J. Venzon and S. H. Moolgavkar, Applied Statistics 37 (1988), 87–94, for intervals by profile likelihood
 */
export function fitReadings(request: FitRequest): FitOutcome {
  check(request);
  const model = new Model(request);
  const { box } = model;
  const misfitOf: MisfitOf = (at) => model.misfit(at);
  const { best, told } = explained(misfitOf, firstMinimum(misfitOf, box), box);
  const chiSquare = squares(best.misfit);
  const degrees = request.readings.length - told.filter((one) => one.told).length;
  const limit = chiSquareLimit(Math.max(1, degrees));
  const { volts, hiccups } = model.volts(best.at);
  const status = hiccups ? 'unsettled' : chiSquare > limit ? 'inconsistent' : 'fitted';
  const [capacitance = UNTOLD, standby = UNTOLD] = status === 'fitted' ? told : [];
  const spreads = model.spreads(best.at);
  const readings = model.readings.map((reading, k) => ({ ...reading, model_V: volts[k]!, deviations: (reading.volts_V - volts[k]!) / spreads[k]! }));
  return { status, capacitance, standby, readings, chiSquare, degrees, limit };
}

/** The best values with their intervals, begun again where a profile comes upon better ones; nothing is told where none fit. */
function explained(misfitOf: MisfitOf, first: Minimum, box: Box): { readonly best: Minimum; readonly told: readonly Told[] } {
  let best = first;
  for (let k = 0; k < MOST_BEGINNINGS; k += 1) {
    if (squares(best.misfit) > chiSquareLimit(best.misfit.deviations.length)) break;
    try {
      const intervals = [0, 1].map((j) => profileInterval(misfitOf, best, j, box, RISE_95));
      return { best, told: intervals.map((interval, j) => tell(interval, best.at[j]!, box.low[j]!, box.high[j]!)) };
    } catch (error) {
      if (!(error instanceof BetterMinimum)) throw error;
      best = descend(misfitOf, error.minimum.at, [0, 1], box);
    }
  }
  return { best, told: [UNTOLD, UNTOLD] };
}

function squares({ deviations }: Misfit): number {
  return deviations.reduce((sum, d) => sum + d * d, 0);
}

/**
 * The chi-square that is exceeded once in a hundred times.
 * @param degrees  of freedom, ≥ 1
 * @see E. B. Wilson and M. M. Hilferty, Proceedings of the National Academy of Sciences 17 (1931), 684–688; within 1 % of the exact value
 */
export function chiSquareLimit(degrees: number): number {
  if (!(degrees >= 1)) throw new RangeError(`degrees: expected ≥ 1, got ${degrees}`);
  const ninth = 2 / (9 * degrees);
  return degrees * (1 - ninth + normalQuantile(0.99) * Math.sqrt(ninth)) ** 3;
}

/** Relative standard deviation of a spread. */
export function deviationOf(q: Quantity): number {
  if (q.law === 'exact') return 0;
  if (q.law === 'lognormal') return Math.log(q.high / q.low) / (2 * normalQuantile(0.95));
  return (q.high - q.low) / (2 * Math.sqrt(3) * Math.abs(q.value));
}

function check({ readings, prior, meter }: FitRequest): void {
  if (readings.length === 0) throw new RangeError('readings: expected at least one');
  for (const { time_s, volts_V } of readings) {
    if (!(time_s >= 0)) throw new RangeError(`time_s: expected ≥ 0 s, got ${time_s}`);
    if (!(volts_V >= 0 && volts_V < Infinity)) throw new RangeError(`volts_V: expected ≥ 0 V, got ${volts_V}`);
  }
  if (!(meter.share >= 0 && meter.digits_V > 0)) throw new RangeError(`meter: expected an error above 0, got ${meter.share} and ${meter.digits_V} V`);
  for (const { low, high } of [prior.capacitance, prior.standby])
    if (!(low > 0 && high > low)) throw new RangeError(`prior: expected a range above 0, got ${low} to ${high}`);
}

function tell({ low, high, lowOpen, highOpen }: Interval, at: number, least: number, most: number): Told {
  if (!lowOpen && !highOpen && high - low < AS_WIDE_AS_PRIOR * (most - least)) return { told: true, value: Math.exp(at), low: Math.exp(low), high: Math.exp(high) };
  return { told: false, atMost: lowOpen && !highOpen ? Math.exp(high) : undefined, atLeast: highOpen && !lowOpen ? Math.exp(low) : undefined };
}

const GRID = { capacitance: 9, standby: 6 } as const;
const BEST_OF_GRID = 3;

/** The lowest of the minima below the best points of a coarse grid: thresholds can make more than one. */
function firstMinimum(misfitOf: MisfitOf, box: Box): Minimum {
  const along = (j: number, share: number): number => box.low[j]! + share * (box.high[j]! - box.low[j]!);
  const points = Array.from({ length: GRID.capacitance * GRID.standby }, (_, k) => {
    const at = [along(0, ((k % GRID.capacitance) + 0.5) / GRID.capacitance), along(1, (Math.floor(k / GRID.capacitance) + 0.5) / GRID.standby)];
    return { at, total: misfitOf(at).total };
  });
  const starts = points.sort((a, b) => a.total - b.total).slice(0, BEST_OF_GRID);
  const minima = starts.map(({ at }) => descend(misfitOf, at, [0, 1], box));
  return minima.reduce((a, b) => (b.misfit.total < a.misfit.total ? b : a));
}

/** What all readings are off by together, as factors: supply, resistor, wake voltages, powers, their thresholds. */
const SHARED = ['supply', 'resistance', 'wake', 'power', 'start'] as const;
type Shared = (typeof SHARED)[number];

/** The readings' likelihood at given logarithms of capacitance and standby current. */
class Model {
  readonly box: Box;
  readonly readings: readonly Reading[];
  private readonly times: readonly number[];
  /** Places of a reading's time, and of that time a standard deviation earlier and later, among `times`. */
  private readonly places: readonly (readonly [at: number, earlier: number, later: number])[];
  /** What the start of the clock, which all readings share, is off by, in each reading's own standard deviations. */
  private readonly clockStart: readonly number[];
  private readonly meterVariance: readonly number[];
  private readonly moved: readonly { readonly what: Shared; readonly by: number }[];

  constructor(private readonly request: FitRequest) {
    const { prior, meter, wakes, powers } = request;
    const ends = [prior.capacitance, prior.standby];
    this.box = { low: ends.map(({ low }) => Math.log(low)), high: ends.map(({ high }) => Math.log(high)) };
    this.readings = [...request.readings].sort((a, b) => (a.time_s === b.time_s ? 0 : a.time_s - b.time_s));
    const wanted = this.readings.map(({ time_s, timeError_s = HAND_s }) => {
      const deviation_s = timeError_s / Math.sqrt(3);
      return [time_s, Math.max(0, time_s - deviation_s), time_s + deviation_s] as const;
    });
    const surest_s = Math.min(...this.readings.map(({ timeError_s = HAND_s, time_s }) => (time_s === Infinity ? Infinity : timeError_s)));
    this.clockStart = this.readings.map(({ timeError_s = HAND_s, time_s }) => (time_s === Infinity || !(timeError_s > 0) ? 0 : (CLOCK_START * surest_s) / timeError_s));
    this.times = [...new Set(wanted.flat())].sort((a, b) => (a === b ? 0 : a - b));
    this.places = wanted.map(([at, earlier, later]) => [this.times.indexOf(at), this.times.indexOf(earlier), this.times.indexOf(later)]);
    this.meterVariance = this.readings.map(({ volts_V, voltsError_V }) => (voltsError_V ?? meter.share * volts_V + meter.digits_V) ** 2 / 3);
    const widest = (list: readonly Quantity[]): number => Math.max(0, ...list.map(deviationOf));
    const spread: Record<Shared, number> = {
      supply: deviationOf(request.supply),
      resistance: deviationOf(request.resistance),
      wake: widest(wakes.map(({ at }) => at)),
      power: widest(powers.map(({ power }) => power)),
      start: widest(powers.map(({ start }) => start)),
    };
    this.moved = SHARED.filter((what) => spread[what] > 0).map((what) => ({ what, by: spread[what] }));
  }

  volts(at: readonly number[]): HeldVoltages {
    const run = this.run(at);
    return { ...run, volts: this.places.map(([place]) => run.volts[place]!) };
  }

  /** Standard deviation of each reading about the model, V. */
  spreads(at: readonly number[]): readonly number[] {
    return this.covariance(at, this.run(at)).map((row, k) => Math.sqrt(row[k]!));
  }

  misfit(at: readonly number[]): Misfit {
    const run = this.run(at);
    const lower = cholesky(this.covariance(at, run));
    const deviations = forwardSolved(lower, this.readings.map(({ volts_V }, k) => volts_V - run.volts[this.places[k]![0]]!));
    const total = deviations.reduce((sum, d) => sum + d * d, 0) + lower.reduce((sum, row, k) => sum + 2 * Math.log(row[k]!), 0);
    return { total, deviations };
  }

  private covariance(at: readonly number[], { volts }: HeldVoltages): number[][] {
    const shifts = this.moved.map(({ what, by }) => {
      const [up, down] = [this.run(at, what, Math.exp(by)), this.run(at, what, Math.exp(-by))];
      return this.places.map(([place]) => (up.volts[place]! - down.volts[place]!) / 2);
    });
    const clock = this.places.map(([, earlier, later]) => (volts[later]! - volts[earlier]!) / 2);
    shifts.push(clock.map((shift, i) => this.clockStart[i]! * shift));
    return this.places.map((_, i) =>
      this.places.map((__, j) => {
        const shared = shifts.reduce((sum, shift) => sum + shift[i]! * shift[j]!, 0);
        return i === j ? shared + this.meterVariance[i]! + clock[i]! ** 2 : shared;
      }),
    );
  }

  private run([capacitance = 0, standby = 0]: readonly number[], what?: Shared, factor = 1): HeldVoltages {
    const { supply, resistance, wakes, powers, leaks } = this.request;
    const times = (one: Shared, value: number): number => (one === what ? value * factor : value);
    const bus: HeldBus = {
      supply_V: times('supply', supply.value),
      resistance_ohm: times('resistance', resistance.value),
      capacitance_F: Math.exp(capacitance),
      draws: [...leaks, ...wakes.map(({ at, share }) => ({ at_V: times('wake', at.value), current_A: share * Math.exp(standby), slope_S: 0 }))],
      powers: powers.map(({ power, start, stop }) => ({ power_W: times('power', power.value), start_V: times('start', start.value), stop_V: times('start', stop.value) })),
    };
    return heldVoltages(bus, this.times);
  }
}
