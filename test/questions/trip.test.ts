import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { FUSE } from '../../src/machine/parts/conductive.ts';
import { exact } from '../../src/quantity/quantity.ts';
import type { Answer } from '../../src/questions/answer.ts';
import { sampleHere } from '../../src/questions/spread.ts';
import { fuseHeldChance } from '../../src/questions/guard-chance.ts';
import { longestAbove } from '../../src/questions/pulse-shape.ts';
import { runPowerUp } from '../../src/questions/runs.ts';
import { trip } from '../../src/questions/trip.ts';
import { external } from '../external.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { keepsTheRules } from './answer-rules.ts';
import { edited, studyOf } from './machines.ts';

const fileText = (name: string): string => readFileSync(new URL(`../../machines/${name}.yaml`, import.meta.url), 'utf8');

/** A pack of 42 V and 100 mΩ that an isolator without bounce closes onto 2 mF, through a fuse and a protection. */
function pulseMachine(values: Readonly<Record<string, string>> = {}, load = ''): string {
  const text = `ampwright: 1
machine: PULSE
parts:
  G1: { kind: pack, chemistry: lipo, cells: 10, capacity: 8 Ah, cell resistance: 10 mΩ, full voltage: 4.2 V per cell }
  F1: { kind: fuse, rating: 60 A, resistance: 0.01 mΩ, melting: 5000 A²s }
  F2: { kind: protection, rating: 60 A, over current: 90 A, over delay: 1 s, short current: 180 A, short delay: 300 µs, resistance: 0.01 mΩ }
  Q1: { kind: isolator, rating: 500 A, closed resistance: 0.01 mΩ, bounce: 0 s, force rise: 0.01 ms }
  T1: { kind: controller, motor current: 100 A, capacitance: 2000 µF, series resistance: 10 mΩ, standby: 0 A }
${load}
wiring:
  pack: from G1+, 35 mm² 0.10 m, F1, F2, Q1, to bar
  drive: from bar, to T1
${load === '' ? '' : '  load: from bar, to E1\n'}
returns: all negatives on one bar, 0.001 mΩ a joint
surroundings: { ambient: 25 °C, inside: 25 °C }
procedure:
  - turn Q1 to ON
  - wait 5 s
`;
  return edited(text, values);
}

const V = 42;
const C = 2e-3;
/** Cells, bank, and 35 mm² over 0.10 m out and back at 25 °C (IEC 60228, class 5: 0.554 Ω/km at the most; here copper itself). */
const R = 0.1 + 0.01 + (2 * 0.1 * 1.7241e-8 * (1 + 0.00393 * 5)) / 35e-6 + 0.03e-3;
const TAU = R * C;
const RESET = 0.98;
/** Time of an RC pulse above a level, until it is back at 98 % of it. */
const rcAbove = (level_A: number, step_V = V): number => TAU * Math.log(step_V / R / (RESET * level_A));

function itemOf(answer: Answer, words: string) {
  const found = answer.items.find((item) => item.where.includes(words));
  if (found === undefined) throw new Error(`no item ${words} in ${answer.items.map((item) => item.where).join()}`);
  return found;
}

describe('how long a pulse stands above a level', () => {
  const sampled = (at: (t: number) => number, until_s: number, points: number) => {
    const time_s = Array.from({ length: points + 1 }, (_, k) => (until_s * k) / points);
    return { time_s, current_A: time_s.map(at) };
  };

  test.each([0.9, 0.5, 0.1])('an exponential one, at %d of its peak', (share) => {
    const curve = sampled((t) => 400 * Math.exp(-t / 3e-4), 3e-3, 3000);
    external({ source: 'closed form of i = î·exp(−t/τ) (any circuits text)', what: `time above ${share} of the peak, back to 98 % of it, τ = 0.3 ms`, expected: 3e-4 * Math.log(1 / (RESET * share)), got: longestAbove(curve, 400 * share), unit: 's', relative: 1e-4 });
  });

  test('a half sine, as an undamped L and C give', () => {
    const curve = sampled((t) => 400 * Math.sin(t * 1e4), Math.PI * 1e-4, 4000);
    const expected = (Math.PI - Math.asin(0.5) - Math.asin(0.5 * RESET)) / 1e4;
    external({ source: 'closed form of i = î·sin(ωt) (any circuits text)', what: 'time above half the peak, back to 98 % of it, ω = 10⁴ rad/s', expected, got: longestAbove(curve, 200), unit: 's', relative: 1e-4 });
  });

  test('an overdamped R, L and C', () => {
    // Two real exponents: i = V/(L·(p₂ − p₁))·(e^(−p₁t) − e^(−p₂t)); both crossings by halving.
    const [L, r, c] = [1e-6, 0.1, 1e-3];
    const split = Math.sqrt((r / (2 * L)) ** 2 - 1 / (L * c));
    const [slow, fast] = [r / (2 * L) - split, r / (2 * L) + split];
    const at = (t: number): number => (42 / (L * (fast - slow))) * (Math.exp(-slow * t) - Math.exp(-fast * t));
    const peak_s = Math.log(fast / slow) / (fast - slow);
    const crossing = (level: number, from: number, to: number): number => {
      let [a, b] = [from, to];
      for (let k = 0; k < 80; k++) {
        const middle = (a + b) / 2;
        if (at(middle) > level === at(a) > level) a = middle;
        else b = middle;
      }
      return a;
    };
    const expected = crossing(RESET * 200, peak_s, 1e-3) - crossing(200, 0, peak_s);
    external({ source: 'Nilsson and Riedel, Electric Circuits, ch. 8, overdamped series circuit', what: 'time above 200 A of 42 V on 0.1 Ω, 1 µH, 1 mF', expected, got: longestAbove(sampled(at, 1e-3, 20_000), 200), unit: 's', relative: 1e-4 });
  });

  test('ripple within 2 % of the level is one stretch, a deeper dip ends it', () => {
    const time_s = [0, 1, 2, 3, 4];
    expect(longestAbove({ time_s, current_A: [200, 200, 197, 200, 200] }, 200)).toBe(4);
    expect(longestAbove({ time_s, current_A: [200, 200, 100, 200, 200] }, 200)).toBeLessThan(1.5);
    expect(longestAbove({ time_s, current_A: [1, 2, 3, 2, 1] }, 200)).toBe(0);
    expect(longestAbove({ time_s: [], current_A: [] }, 200)).toBe(0);
  });
});

describe('a bank of 2 mF behind 0.11 ohms', () => {
  const base = studyOf(pulseMachine());
  const { answer } = trip(base, []);

  test('stands above the threshold for as long as an RC pulse does', () => {
    // Tolerance 3 %: a tenth of a microhenry of leads and the first touch of the contact round the corner of the pulse.
    external({ source: 'closed form: RC·ln(V/(R·0.98·I)), standards of RC charging', what: 'time above 180 A of 42 V, 0.11 Ω, 2 mF', expected: rcAbove(180), got: itemOf(answer, 'F2').figure!.value, unit: 's', relative: 0.03 });
  });

  test('lets through what half C V squared over R says, the exponential of the fuse maker\'s chart', () => {
    const got = itemOf(answer, 'F1').figure!.value;
    // Tolerance 1.5 %: the contact takes a share of the heat while it closes.
    external({ source: 'closed form: V²C/(2R) (any circuits text)', what: 'let-through of 42 V, 0.11 Ω, 2 mF', expected: (V * V * C) / (2 * R), got, unit: 'A²s', relative: 0.015 });
    external({ source: 'Littelfuse, Fuseology, chart 1, exponential: ½·î²·τ', what: 'let-through of an exponential pulse of 381 A and 0.22 ms', expected: 0.5 * (V / R) ** 2 * TAU, got, unit: 'A²s', relative: 0.015 });
  });

  test('a fuse may use 38 % of its melting let-through a thousand times', () => {
    external({ source: 'Littelfuse, Fuseology, chart 2, 1000 pulses', what: 'allowed let-through of a fuse that melts at 5000 A²s', expected: 0.38 * 5000, got: itemOf(answer, 'F1').limit!, unit: 'A²s', relative: 1e-9 });
    expect(itemOf(answer, 'F1').verdict).toBe('good');
  });

  test('the same pulse: a fuse of 30 A²s ages, one of 10 A²s melts', () => {
    const of = (melting: string): string => itemOf(trip(studyOf(pulseMachine({ 'parts.F1.melting': melting })), []).answer, 'F1').verdict;
    expect((V * V * C) / (2 * R)).toBeLessThan(30);
    expect((V * V * C) / (2 * R)).toBeGreaterThan(0.38 * 30);
    expect([of('30 A²s'), of('10 A²s')]).toEqual(['marginal', 'bad']);
  });

  test('trips never, sometimes or always as the delay grows shorter', () => {
    const above_s = rcAbove(180);
    const of = (times: number) => itemOf(trip(studyOf(pulseMachine({ 'parts.F2.short delay': `${(times * above_s * 1e6).toFixed(2)} µs` })), []).answer, 'F2');
    const [never, sometimes, always] = [of(2.5), of(1), of(0.4)];
    expect([never.verdict, sometimes.verdict, always.verdict]).toEqual(['good', 'marginal', 'bad']);
    expect(never.says).toContain('never trips');
    expect(sometimes.says).toContain('sometimes');
    expect(always.says).toContain('always trips');
  });

  test('how often follows from uniform spreads of 10 % and 30 %', () => {
    // The pulse is known to the last digit here, so every sample says the same; the closed form is averaged over the threshold.
    const values = { 'parts.F2.short delay': '210 µs', 'surroundings.inside': '25 °C', 'parts.Q1.make current': '3000 A' };
    const sampled = studyOf(pulseMachine(values));
    const records = sampleHere(sampled, 3, Array.from({ length: 6 }, (_, k) => k)).map(({ record }) => record);
    const steps = 400;
    const chance = Array.from({ length: steps }, (_, k) => rcAbove(180 * (0.9 + (0.2 * (k + 0.5)) / steps)))
      .map((time) => Math.min(1, Math.max(0, (time / 210e-6 - 0.7) / 0.6)))
      .reduce((sum, one) => sum + one / steps, 0);
    expect(chance).toBeGreaterThan(0.12);
    // Tolerance 5 % of the spread: the pulse's own 3 % moves the share by that much.
    external({ source: 'algebra of uniform spreads', what: 'share of the spread in which a pulse of 0.17 ms does not pass a delay of 0.21 ms', expected: 1 - chance, got: itemOf(trip(sampled, records).answer, 'F2').passes!, unit: '1', absolute: 0.05 });
  });

  test('the protection in the circuit trips where the time says so', () => {
    const time_s = itemOf(answer, 'F2').figure!.value;
    const trips = (times: number): boolean => {
      const other = studyOf(pulseMachine({ 'parts.F2.short delay': `${(times * time_s * 1e6).toFixed(3)} µs` }));
      return runPowerUp(other.circuit, other.machine.powerUp, other.values).run.notes.some(({ what }) => what === 'F2 trips: short circuit');
    };
    expect([trips(0.97), trips(1.03)]).toEqual([true, false]);
  });

  test('further attempts go through when the charge that got in says so', () => {
    const delay_s = 100e-6;
    const { says } = itemOf(trip(studyOf(pulseMachine({ 'parts.F2.short delay': '100 µs' })), []).answer, 'F2');
    // The earliest trip: 5 % points of the spreads. Each attempt that trips charges the bank for the delay.
    const [level, delay] = [180 * 0.91, delay_s * 0.73];
    let missing = V;
    let attempts = 1;
    while (TAU * Math.log(missing / R / (RESET * level)) > delay) {
      missing *= Math.exp(-delay / TAU);
      attempts += 1;
    }
    expect(attempts).toBeGreaterThan(2);
    expect(says).toContain(`attempt ${attempts} goes through`);
  });
});

describe('what flows on after connecting', () => {
  test('a load of 100 A opens a protection that counts from 90 A, and no pulse has to', () => {
    const { answer } = trip(studyOf(pulseMachine({ 'parts.F2.short current': '2000 A' }, '  E1: { kind: load, resistance: 0.3 Ω }\n')), []);
    const item = itemOf(answer, 'F2');
    expect(item).toMatchObject({ verdict: 'bad', measure: 'held' });
    // It trips after a second; by then the cells' two slower parts, 20 % in 1 s and 30 % in 20 s, have come up so far.
    const sagged = 0.1 * (0.2 * (1 - Math.exp(-1)) + 0.3 * (1 - Math.exp(-1 / 20)));
    external({ source: "Ohm's law and the step response of two RC pairs", what: 'current held for a second by 0.3 Ω on 42 V behind its source', expected: V / (R - 0.01 + sagged + 0.3), got: item.figure!.value, unit: 'A', relative: 5e-3 });
  });

  // Checks that hold in every class: test/physics has the gates themselves.
  test('at 110 % no fuse opens within a match, at 600 % every class has opened after a second', () => {
    for (const named of [undefined, 'blade', 'blade high-current', 'bolt-in large', 'bolt-in medium'] as const) {
      if (named !== 'bolt-in large' && named !== 'bolt-in medium' && named !== undefined) expect(fuseHeldChance(1.1, 180, named)).toBe(0);
      expect(fuseHeldChance(6, 1.01, named)).toBe(1);
      expect(fuseHeldChance(6, 0.01, named)).toBe(0);
    }
  });
});

describe('the demos', () => {
  const answers = new Map(['bar3s', 'lift6s', 'crush10s', 'trk14s', 'kart16s', 'board10s'].map((name) => {
    const base = studyOf(fileText(name));
    const records = sampleHere(base, 7, [0, 1, 2]).map(({ record }) => record);
    return [name, { nominal: trip(base, []).answer, sampled: trip(base, records).answer }] as const;
  }));
  const of = (name: string): Answer => answers.get(name)!.nominal;

  test.each([...answers.keys()])('%s keeps the rules of an answer, with samples and without', (name) => {
    const { nominal, sampled } = answers.get(name)!;
    keepsTheRules(nominal, name);
    keepsTheRules(sampled, `${name} sampled`);
  });

  test('TRK14S trips sometimes, more so without its soft start, and a second attempt goes through', () => {
    expect(of('trk14s').verdict).toBe('marginal');
    expect(of('trk14s').says).toContain('Sometimes');
    const slip = of('trk14s').items.find((item) => item.slip && item.where.includes('F3'))!;
    expect(slip.verdict).toBe('marginal');
    expect(slip.says).toContain('second attempt');
    // Tolerance 15 %: a hand estimate without leads.
    external({ source: 'hand estimate of the demo machine, common practice, no source', what: 'TRK14S: time above 180 A of one pack without the soft start', expected: 0.27e-3, got: slip.figure!.value, unit: 's', relative: 0.15 });
    expect(of('trk14s').items.filter(({ where }) => /F[12] /.test(where)).map(({ verdict }) => verdict)).toEqual(['good', 'good', 'good', 'good']);
  });

  test('the fuse of CRUSH10S at power-up is no problem, with its soft start hung and without any', () => {
    expect(of('crush10s').verdict).toBe('good');
    expect(of('crush10s').items.every(({ verdict }) => verdict === 'good')).toBe(true);
    expect(of('crush10s').notAProblem.join()).toContain('F1');
  });

  test('KART16S never trips, and neither would it without its soft start', () => {
    expect(of('kart16s').items.map(({ verdict }) => verdict)).toEqual(['good', 'good', 'good', 'good']);
  });

  test('the ramp of BOARD10S lets little through', () => {
    expect(of('board10s').verdict).toBe('good');
    // A ramp's current is C·V/T for T. Tolerance 5 %: standby current beside it.
    external({ source: 'closed form: (C·V/T)²·T', what: 'BOARD10S: let-through of a ramp of 40 ms', expected: (4.08e-3 * 42) ** 2 / 40e-3, got: itemOf(of('board10s'), 'F1').figure!.value, unit: 'A²s', relative: 0.05 });
  });

  test('BAR3S has nothing that could', () => {
    expect(of('bar3s')).toMatchObject({ verdict: 'good', items: [] });
  });

  test('plots the pulse against the trip curve on logarithmic axes, pulse and curve both falling', () => {
    const plot = of('trk14s').evidence.find((one) => one.type === 'plot')!;
    if (plot.type !== 'plot') throw new Error('no plot');
    expect([plot.x.log, plot.y.log]).toEqual([true, true]);
    expect(plot.curves.map(({ name }) => name)).toEqual(['connecting', 'connecting without the soft start', 'trips', 'at the earliest', 'at the latest']);
    for (const { x, y } of plot.curves) {
      expect(x).toEqual([...x].sort((a, b) => a - b));
      expect(y).toEqual([...y].sort((a, b) => b - a));
    }
  });
});

test('the advice for TRK14S, made in its file and asked again, keeps its word', async () => {
  const advice = await expectAdviceToHold(fileText('trk14s'), 'trip');
  expect(advice.map(({ edits }) => edits[0]!.path.join('.'))).toEqual(expect.arrayContaining(['parts.R1.resistance']));
}, 60_000);

test('a procedure that closes nothing leaves the question open', () => {
  const text = pulseMachine().replace(/procedure:[^]*/, 'procedure:\n  - wait 1 s\n');
  const { answer } = trip(studyOf(text), []);
  expect(answer).toMatchObject({ verdict: 'cannot tell', items: [] });
  expect(answer.needs).toHaveLength(1);
});

test('a fuse of 60 to 100 A melts at a thousand to a hundred thousand A²s by default', () => {
  // Common practice, no source; tolerance 5 %, two figures.
  const range = (rating_A: number) => FUSE.defaults({ rating: exact('current', rating_A) }).melting;
  const source = 'common practice, no source';
  external({ source, what: 'melting let-through of a fuse of 60 A, low end', expected: 1e3, got: range(60).low, unit: 'A²s', relative: 0.05 });
  external({ source, what: 'melting let-through of a fuse of 100 A, high end', expected: 1e5, got: range(100).high, unit: 'A²s', relative: 0.05 });
});
