import { describe, expect, it } from 'vitest';
import type { Automaton } from '../../src/engine/automaton.ts';
import { addCapacitor } from '../../src/engine/devices/capacitor.ts';
import { addSwitchedResistor } from '../../src/engine/devices/load.ts';
import { addResistor } from '../../src/engine/devices/resistor.ts';
import { addSource } from '../../src/engine/devices/source.ts';
import { compile } from '../../src/engine/model.ts';
import { laidOut } from '../../src/engine/system.ts';
import { external } from '../external.ts';
import { attemptRun, runToEnd } from './running.ts';

const SOURCE_V = 10;
const SERIES_OHM = 1000;
const CAPACITANCE_F = 1e-3;
const DRAIN_OHM = 100;
const ON_V = 6;
const OFF_V = 3;

/** A capacitor that charges through a resistor and is drained from its upper to its lower voltage, again and again; a slow one beside it where one is wanted. */
function oscillator(slow_ohm = 1e6) {
  const { system, ...handles } = laidOut((b) => {
    const node = b.node('bank');
    addSource(b, 'source', node, b.reference, SOURCE_V, SERIES_OHM);
    addCapacitor(b, 'bank', node, b.reference, CAPACITANCE_F, 1e-3);
    const drain = addSwitchedResistor(b, 'drain', node, b.reference, { resistance_ohm: DRAIN_OHM, on_V: ON_V, off_V: OFF_V });
    const beside = b.node('beside');
    addResistor(b, 'slow', node, beside, slow_ohm);
    const slow = addCapacitor(b, 'slow bank', beside, b.reference, 1e-4, 1e-3);
    return { drain, slow, slow_V: b.watch('slow voltage', slow.value), system: b.finish(0.1) };
  });
  return { model: compile(system), ...handles };
}

/**
 * Times of a relaxation oscillator, from the step response of a first-order circuit, t = RC ln((V∞ − V0) / (V∞ − V1)).
 * Horowitz and Hill, The Art of Electronics, 3rd ed., §1.4.2 and §7.1.3 (from memory).
 */
function closedForm() {
  const rises_s = SERIES_OHM * CAPACITANCE_F * Math.log((SOURCE_V - OFF_V) / (SOURCE_V - ON_V));
  const parallel_ohm = (SERIES_OHM * DRAIN_OHM) / (SERIES_OHM + DRAIN_OHM);
  const floor_V = (SOURCE_V * DRAIN_OHM) / (SERIES_OHM + DRAIN_OHM);
  const falls_s = parallel_ohm * CAPACITANCE_F * Math.log((ON_V - floor_V) / (OFF_V - floor_V));
  const first_s = SERIES_OHM * CAPACITANCE_F * Math.log(SOURCE_V / (SOURCE_V - ON_V));
  return { first_s, period_s: rises_s + falls_s };
}

describe('a run that repeats itself', () => {
  const END_S = 400;
  const { first_s, period_s } = closedForm();

  it('has as many rounds as the closed form, each at its time, for a small part of the steps', () => {
    const { model, drain } = oscillator(1e12);
    const outcome = attemptRun({ model, end_s: END_S, automata: [drain.automaton], tolerance: 1e-6 });
    if (outcome.status === 'refused') throw new Error(outcome.refusal.cause);
    const ons = outcome.result.notes.filter(({ what }) => what === 'drain switches on').map(({ time }) => time);
    const rounds = Math.floor((END_S - first_s) / period_s) + 1;
    expect(ons).toHaveLength(rounds);
    ons.forEach((time, k) => expect(Math.abs(time - first_s - k * period_s)).toBeLessThan(1e-5 * time));
    external({ what: 'Relaxation oscillator: time of its last round of hundreds, most of which are left out', expected: first_s + (rounds - 1) * period_s, got: ons.at(-1)!, relative: 1e-5, unit: 's', source: 'Horowitz and Hill, The Art of Electronics, 3rd ed., §7.1.3', note: 'from memory' });
    const all = attemptRun({ model, end_s: END_S, automata: [drain.automaton], tolerance: 1e-6, record: { watches: [], between: 0 } });
    expect(outcome.statistics.steps).toBeLessThan(0.3 * all.statistics.steps);
  });

  it('ends where it would have ended, with the same sums, as when every round is run', () => {
    const [short, whole] = [undefined, { watches: [], between: 0 }].map((record) => {
      const { model, drain, slow } = oscillator();
      const run = runToEnd({ model, end_s: END_S, automata: [drain.automaton], tolerance: 1e-6, ...(record === undefined ? {} : { record }) });
      return { run, slow_V: run.unknowns[slow.voltage]! };
    });
    expect(Math.abs(short!.slow_V / whole!.slow_V - 1)).toBeLessThan(1e-4);
    expect(Math.abs(short!.run.balance.delivered_J / whole!.run.balance.delivered_J - 1)).toBeLessThan(1e-4);
    expect(short!.run.balance.imbalance).toBeLessThan(1e-5);
  });

  it('does not pass over what a slow drift brings on', () => {
    // The slow bank charges towards the mean of the fast one: it meets 1 V at t = −τ ln(1 − 1/mean), about.
    const times = [undefined, { watches: [], between: 0 }].map((record) => {
      const { model, drain, slow_V } = oscillator();
      let at: number | undefined;
      const level: Automaton = {
        name: 'level',
        distance: (w) => (at === undefined ? w[slow_V]! - 1 : -1),
        fire: (run) => (at = run.time),
      };
      runToEnd({ model, end_s: END_S, automata: [drain.automaton, level], tolerance: 1e-6, ...(record === undefined ? {} : { record }) });
      return at!;
    });
    expect(times[0]).toBeGreaterThan(10);
    expect(Math.abs(times[0]! / times[1]! - 1)).toBeLessThan(2e-3);
  });

  it('stops at what is done from outside', () => {
    const { model, drain } = oscillator();
    const done: number[] = [];
    runToEnd({ model, end_s: END_S, automata: [drain.automaton], script: [100.1, 200.2].map((time) => ({ time, action: (run) => void done.push(run.time) })), tolerance: 1e-5 });
    expect(done).toEqual([100.1, 200.2]);
  });
});
