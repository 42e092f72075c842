import { describe, expect, test } from 'vitest';
import { ranged, exact } from '../../src/quantity/quantity.ts';
import { sampler } from '../../src/quantity/random.ts';
import { heldVoltages } from '../../src/questions/held-bus.ts';
import { chiSquareLimit, fitReadings, METER, type FitOutcome, type FitRequest, type Told } from '../../src/questions/hold-test.ts';
import { external } from '../external.ts';
import { smallestDeviations, trueVolts, type Truth } from './held-truth.ts';

const TRIALS = process.env['AMPWRIGHT_PROVE'] === '1' ? 500 : 50;
const SEED = 41;
const SQRT3 = Math.sqrt(3);

interface Trial {
  readonly truth: Truth;
  readonly request: FitRequest;
  readonly outcome: FitOutcome;
  readonly bounds: readonly [number, number];
}

/** One builder's test of one machine: everything is off by what it may be off by, uniformly, as the fit is told. */
function trial(number: number): Trial {
  const uniform = sampler(SEED, number);
  const off = (half: number): number => (2 * uniform() - 1) * half;
  const between = (low: number, high: number): number => low * (high / low) ** uniform();
  // Every other builder films meter and switch at thirty pictures a second; the rest use a stopwatch, on slower banks.
  const filmed = number % 2 === 0;
  const clock_s = filmed ? 0.033 : 0.15;
  const resistance = filmed ? [33, 47, 68, 100][Math.floor(4 * uniform())]! : [150, 220, 330, 470][Math.floor(4 * uniform())]!;
  const constant_s = filmed ? between(0.15, 0.8) : between(0.6, 3);
  const cells = 3 + Math.floor(10 * uniform());
  const pack = 4.2 * cells;
  // Standby takes 3 to 30 % of the pack's voltage at the resistor.
  const standby = (between(0.03, 0.3) * pack) / resistance;
  const powered = number % 5 === 0;
  const truth: Truth = {
    supply_V: pack * (1 + off(0.006)),
    resistance_ohm: resistance * (1 + off(0.05)),
    capacitance_F: constant_s / resistance,
    standby_A: standby,
    wake_V: 6,
    // A quarter of what the resistor can give at most.
    power: powered ? { power_W: (0.25 * (pack - standby * resistance) ** 2) / (4 * resistance), start_V: 0.5 * pack } : undefined,
  };
  const meter = (v: number): number => METER.share * v + METER.digits_V;
  const tenth = (t: number): number => Math.max(0.1, Math.round(10 * t) / 10);
  const times = [tenth(0.4 * constant_s), tenth(0.8 * constant_s), tenth(1.4 * constant_s), tenth(2.2 * constant_s), Infinity];
  const readings = times.map((time_s) => {
    const volts = time_s === Infinity ? trueVolts(truth, 1e4) : trueVolts(truth, Math.max(0, time_s + off(clock_s)));
    return { time_s, volts_V: volts + off(meter(volts)), timeError_s: clock_s };
  });
  const request: FitRequest = {
    supply: ranged('voltage', pack, pack * 0.994, pack * 1.006, 'measured'),
    resistance: ranged('resistance', resistance, resistance * 0.95, resistance * 1.05, 'stated'),
    readings,
    meter: METER,
    prior: { capacitance: { low: truth.capacitance_F / 7, high: truth.capacitance_F * 9 }, standby: { low: standby / 30, high: standby * 8 } },
    wakes: [{ at: exact('voltage', 6), share: 1 }],
    powers: truth.power === undefined ? [] : [{ power: exact('power', truth.power.power_W), start: exact('voltage', truth.power.start_V), stop: exact('voltage', 0.8 * truth.power.start_V) }],
    leaks: [],
  };
  const seen = times.map((time_s) => ({ time_s: Math.min(time_s, 1e4), clock_s: clock_s / SQRT3 }));
  const bounds = smallestDeviations(truth, seen, (v) => meter(v) / SQRT3, { supply: 0.006 / SQRT3, resistance: 0.05 / SQRT3 });
  return { truth, request, outcome: fitReadings(request), bounds };
}

describe(`${TRIALS} of 500 tests by hand and by film, seed ${SEED} (AMPWRIGHT_PROVE=1 for all)`, () => {
  const trials = Array.from({ length: TRIALS }, (_, k) => trial(k));
  const cases = [
    { what: 'capacitance', told: (t: Trial) => t.outcome.capacitance, actual: (t: Trial) => t.truth.capacitance_F, at: 0 },
    { what: 'standby', told: (t: Trial) => t.outcome.standby, actual: (t: Trial) => t.truth.standby_A, at: 1 },
  ] as const;
  for (const { what, told, actual, at } of cases)
    test(`the true ${what} lies in the 95 % interval, which is not wide`, () => {
      const stated = trials.flatMap((t) => {
        const found = told(t);
        return found.told ? [{ t, found }] : [];
      });
      const inside = stated.filter(({ t, found }) => actual(t) >= found.low && actual(t) <= found.high).length;
      const ratios = stated.map(({ t, found }) => Math.log(found.high / found.low) / (2 * 1.96 * t.bounds[at])).sort((a, b) => a - b);
      console.log(what, 'told', stated.length, 'inside', inside, 'ratio median', ratios[Math.floor(ratios.length / 2)], 'p95', ratios[Math.floor(ratios.length * 0.95)], 'max', ratios.at(-1), trials.reduce((m: Record<string, number>, t) => ({ ...m, [t.outcome.status]: (m[t.outcome.status] ?? 0) + 1 }), {}));
      expect(inside / stated.length).toBeGreaterThanOrEqual(0.92);
      expect(ratios.at(-1)).toBeLessThanOrEqual(2);
    });
});
