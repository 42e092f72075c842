import { describe, expect, it } from 'vitest';
import { equilibria, holdUp_s, isStable, largestPower_W, largestStartResistor, startOutcome, type StartingLoad } from '../../src/physics/constant-power.ts';
import { external } from '../external.ts';

describe('balance of a constant power', () => {
  const source = 'quadratic of (V − v)·v/R = P, worked by hand; greatest power at v = V/2: College Physics 11e, 18.58';
  it.each([
    [48, 0.05, 5000, 42.0555, 5.9445, 11520],
    [22.2, 0.06, 1500, 16.8628, 5.3372, 2053.5],
  ])('%d V, %d Ω, %d W', (source_V, resistance_ohm, power_W, upper, lower, most) => {
    const roots = equilibria({ source_V, resistance_ohm, power_W, standby_A: 0 })!;
    const what = `${source_V} V, ${resistance_ohm} Ω, ${power_W} W`;
    external({ source, what: `upper root, ${what}`, expected: upper, got: roots.upper_V, unit: 'V', absolute: 0.0001 });
    external({ source, what: `lower root, ${what}`, expected: lower, got: roots.lower_V, unit: 'V', absolute: 0.0001 });
    external({ source, what: `largest power, ${what}`, expected: most, got: largestPower_W(source_V, resistance_ohm), unit: 'W', absolute: 0.01 });
    expect(equilibria({ source_V, resistance_ohm, power_W: most * 1.001, standby_A: 0 })).toBeUndefined();
  });
  it('is stable with a large capacitor and not with a small one', () => {
    // Limit (R·C/L)·v²: 88.4 kW at 2 mF, 4.42 kW at 100 µF, against 5 kW.
    const feed = { source_V: 48, resistance_ohm: 0.05, power_W: 5000, standby_A: 0 };
    expect(isStable(feed, 2e-6, 2e-3, 42.0555)).toBe(true);
    expect(isStable(feed, 2e-6, 100e-6, 42.0555)).toBe(false);
    expect(isStable(feed, 2e-6, 2e-3, 5.9445)).toBe(false);
  });
});

/** Outcome by stepping C·dv/dt = (V − v)/R − I0 − latch·P/v: knows nothing of roots or folds. */
function stepped(load: StartingLoad, resistance_ohm: number): boolean {
  let on = false;
  let starts = 0;
  let v = 0;
  // Time in units of RC.
  const dt = 2e-4;
  for (let t = 0; t < 60; t += dt) {
    if (!on && v >= load.start_V) {
      on = true;
      starts++;
    } else if (on && v <= load.stop_V) on = false;
    const rate = (u: number): number =>
      load.source_V - u - resistance_ohm * (load.standby_A + (on ? load.power_W / Math.max(u, 0.1) : 0));
    v = Math.max(0, v + dt * rate(v + (dt / 2) * rate(v)));
    if (starts > 1) return false;
  }
  return on;
}

describe('largest resistor that passes a start', () => {
  it('agrees with the stepped simulation of a worked machine', () => {
    // 58.8 V, start 9 V, 6 W, 90 mA: formula 65.8 Ω; an independent stepped simulation passed at 64 and stuck at 66.
    const load = { source_V: 58.8, power_W: 6, standby_A: 0.09, start_V: 9, stop_V: 7 };
    const limit = largestStartResistor(load);
    expect(limit.limitedBy).toBe('start');
    external({ source: '(V − v)·v/(P + I·v), worked by hand', what: 'largest resistor, 58.8 V, 9 V, 6 W, 90 mA', expected: 65.8, got: limit.resistance_ohm, unit: 'Ω', absolute: 0.05 });
    expect(startOutcome(load, 64)).toBe('settles');
    expect(startOutcome(load, 66)).toBe('hangs');
  });

  it.each([
    ['start', { source_V: 42, power_W: 7, standby_A: 0.09, start_V: 9, stop_V: 7.5 }],
    ['fold', { source_V: 42, power_W: 20, standby_A: 0.05, start_V: 30, stop_V: 10 }],
    ['stop', { source_V: 42, power_W: 20, standby_A: 0.05, start_V: 36, stop_V: 30 }],
    ['reach', { source_V: 42, power_W: 1, standby_A: 1, start_V: 40, stop_V: 5 }],
  ] as const)('is where a stepped simulation turns, limited by %s', (limitedBy, load) => {
    const limit = largestStartResistor(load);
    expect(limit.limitedBy).toBe(limitedBy);
    expect(stepped(load, limit.resistance_ohm * 0.97)).toBe(true);
    expect(stepped(load, limit.resistance_ohm * 1.03)).toBe(false);
    expect(startOutcome(load, limit.resistance_ohm * 0.999)).toBe('settles');
    expect(startOutcome(load, limit.resistance_ohm * 1.001)).toBe(limitedBy === 'reach' ? 'never starts' : 'hangs');
  });

  it('is unlimited without a demand, none when the start lies above the source, and refuses nonsense', () => {
    const load = { source_V: 24, power_W: 0, standby_A: 0, start_V: 8, stop_V: 6 };
    expect(largestStartResistor(load).resistance_ohm).toBe(Infinity);
    expect(largestStartResistor({ ...load, start_V: 25 })).toEqual({ resistance_ohm: 0, limitedBy: 'reach' });
    expect(() => largestStartResistor({ ...load, power_W: NaN })).toThrow(/power_W/);
    expect(() => largestStartResistor({ ...load, stop_V: 9 })).toThrow(/stop_V/);
  });
});

describe('hold-up', () => {
  it('matches its integral summed by strips', () => {
    for (const current of [0, 1e-6, 0.001, 0.2, 5]) {
      let sum = 0;
      const dv = 1e-3;
      for (let v = 7.5 + dv / 2; v < 24; v += dv) sum += (2e-3 * v * dv) / (7 + current * v);
      expect(holdUp_s(2e-3, 24, 7.5, 7, current) / sum).toBeCloseTo(1, 8);
    }
    expect(holdUp_s(1e-3, 20, 10, 0, 0.1)).toBeCloseTo(0.1, 12);
    expect(holdUp_s(1e-3, 20, 10, 0)).toBe(Infinity);
    expect(() => holdUp_s(1e-3, 5, 10, 1)).toThrow(/from_V/);
  });
});
