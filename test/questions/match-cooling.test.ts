import { describe, expect, test } from 'vitest';
import { hottestInRow, restExcess_K, restNeeded_s } from '../../src/questions/match-cooling.ts';
import { external } from '../external.ts';

const LUMP = 'closed form of a linear lump: C·dT/dt = P − G·ΔT, textbook';

/** A lump of 200 J/K and 0.25 W/K (τ = 800 s) after a match. */
const lump = { atStart_C: 40, atEnd_C: 100, hottest: { value: 110, time_s: 160, during: [] }, capacity_J_K: 200, conductance_W_K: 0.25 };

describe('a rest', () => {
  test('leaves ΔT·e^(−t·G/C)', () => {
    external({ source: LUMP, what: '60 K over, 200 J/K and 0.25 W/K: left after one time constant of 800 s', expected: 60 / Math.E, got: restExcess_K(lump, 800), unit: 'K', relative: 1e-12 });
    external({ source: LUMP, what: '60 K over, 200 J/K and 0.25 W/K: left after three half-lives', expected: 7.5, got: restExcess_K(lump, 3 * 800 * Math.LN2), unit: 'K', relative: 1e-9 });
  });

  test('that is needed brings the next match just to the limit', () => {
    const rest_s = restNeeded_s(lump, 120)!;
    const [, second] = hottestInRow(lump, 2, rest_s, 180);
    external({ source: LUMP, what: 'hottest moment of the next match after the rest that is asked for', expected: 120, got: second!, unit: '°C', relative: 1e-9 });
    expect(restNeeded_s(lump, 200)).toBe(0);
    expect(restNeeded_s(lump, 110)).toBeUndefined();
    expect(restNeeded_s({ ...lump, conductance_W_K: 0 }, 120)).toBeUndefined();
  });
});

test('three matches in a row are as an integration of the lump has them', () => {
  // 90 W for 150 s of each match, nothing in its last 30 s and in the pause of 600 s; Runge and Kutta in steps of 50 ms.
  const [capacity, conductance, air, length_s, pause_s] = [200, 0.25, 40, 180, 600] as const;
  const power = (t: number): number => (t % (length_s + pause_s) < 150 - 1e-9 ? 90 : 0);
  const slope = (t: number, T: number): number => (power(t) - conductance * (T - air)) / capacity;
  const h = 0.05;
  let T: number = air;
  const hottest = [T, T, T];
  let atEnd_C = NaN;
  let hottestAt_s = 0;
  const steps = Math.round((3 * length_s + 2 * pause_s) / h);
  for (let k = 0; k < steps; k++) {
    const t = k * h;
    // The power stands still within a step, as steps end where it changes.
    const at = (T_: number): number => slope(t, T_);
    const k1 = at(T), k2 = at(T + (h / 2) * k1), k3 = at(T + (h / 2) * k2), k4 = at(T + h * k3);
    T += (h / 6) * (k1 + 2 * k2 + 2 * k3 + k4);
    const match = Math.floor(t / (length_s + pause_s));
    if (T > hottest[match]!) {
      hottest[match] = T;
      if (match === 0) hottestAt_s = t + h;
    }
    if (Math.abs(t + h - length_s) < h / 2) atEnd_C = T;
  }
  const heat = { atStart_C: air, atEnd_C, hottest: { value: hottest[0]!, time_s: hottestAt_s, during: [] }, capacity_J_K: capacity, conductance_W_K: conductance };
  hottestInRow(heat, 3, pause_s, length_s).forEach((got, k) => {
    external({ source: 'integration of the lump by Runge and Kutta, independent of the project', what: `lump of 200 J/K and 0.25 W/K at 90 W for 150 s: hottest in match ${k + 1} of 3, 600 s between`, expected: hottest[k]!, got, unit: '°C', relative: 1e-6 });
  });
  expect(hottest[2]).toBeGreaterThan(hottest[1]!);
});
