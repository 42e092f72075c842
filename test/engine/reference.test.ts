import { describe, expect, it } from 'vitest';
import type { Automaton, RunControl } from '../../src/engine/automaton.ts';
import { compile, nominalParameters, type Model } from '../../src/engine/model.ts';
import type { Run, ScheduledAction } from '../../src/engine/simulate.ts';
import { external } from '../external.ts';
import { k1, k2, referenceData, type K1Data, type K2Data } from './reference-circuits.ts';
import { runToEnd } from './running.ts';

interface Converged {
  readonly value: number;
}

interface K2Values {
  readonly 'v_at_1.5': readonly Converged[];
  readonly 'resid_at_1.5': readonly Converged[];
  readonly 'v_at_1.8': readonly Converged[];
  readonly 'resid_at_1.8': readonly Converged[];
  readonly 'v_at_2.1': readonly Converged[];
  readonly 'resid_at_2.1': readonly Converged[];
  readonly i_peak: readonly Converged[];
  readonly t_peak_after_close: readonly Converged[];
  readonly i_min: readonly Converged[];
  readonly t90: readonly Converged[];
  readonly v_end: readonly Converged[];
  readonly on_end: readonly Converged[];
  readonly vc_max: readonly Converged[];
  readonly E_R: Converged;
  readonly events_on: Converged;
  readonly events_off: Converged;
  readonly first_events: readonly { readonly branch: number; readonly t: Converged }[];
}

interface Values {
  readonly K1: Record<'i_peak' | 't_peak' | 'v1_max' | 'v_node_end' | 'I2t' | 'E_source' | 'E_terminal' | 'v1_at_100us', Converged>;
  readonly K1_reduced_RLC_closed_form: Record<'i_peak' | 't_peak' | 'I2t' | 'E_source', number>;
  readonly K2_R33: K2Values;
  readonly K2_R68: K2Values;
}

const k1Data = referenceData<K1Data>('k1');
const k2Data = referenceData<K2Data>('k2');
const values = referenceData<Values>('values');
const source = 'general-purpose solvers SUNDIALS 6.4.1 (IDA, CVODE at 1e-9 to 1e-12) and scipy 1.10 Radau, converged: test/reference/README.md';
const SHARE = 1e-4;

type KernelChoice = 'generated' | 'interpreted';

/** A moment found by the engine's event search: when a watched scalar first reaches a level. */
function moment(name: string, watch: number, level: number): Automaton {
  let seen = false;
  return {
    name,
    distance: (watched) => (seen ? -1 : watched[watch]! - level),
    fire(run) {
      seen = true;
      run.note(name, run.watched[watch]!);
    },
  };
}

function noted(run: Run, what: string): number {
  return run.notes.find((note) => note.what === what)?.time ?? NaN;
}

function runK1(data: K1Data, tolerance: number, kernel: KernelChoice = 'generated') {
  const circuit = k1(data, kernel);
  let bankAt100us = NaN;
  const look: ScheduledAction = { time: 1e-4, action: (run) => (bankAt100us = run.unknowns[circuit.bank.voltage]!) };
  const all = { sign: 1, from_s: 0, until_s: data.t_end } as const;
  const run = runToEnd({
    model: circuit.model,
    end_s: data.t_end,
    script: [...circuit.script, look],
    tolerance,
    peaks: [
      { of: { unknown: circuit.branch.current }, ...all },
      { of: { unknown: circuit.bank.voltage }, ...all },
    ],
  });
  return {
    run,
    i_peak: run.peaks[0]!.value,
    t_peak: run.peaks[0]!.time,
    v1_max: run.peaks[1]!.value,
    v_node_end: run.watched[circuit.nodeWatch]!,
    I2t: run.unknowns[circuit.branch.letThrough]!,
    E_source: run.balance.delivered_J,
    E_terminal: run.unknowns[circuit.terminalEnergy]!,
    v1_at_100us: bankAt100us,
  };
}

const unitsOfK1 = { i_peak: 'A', t_peak: 's', v1_max: 'V', v_node_end: 'V', I2t: 'A²s', E_source: 'J', E_terminal: 'J', v1_at_100us: 'V' } as const;
const namesOfK1 = Object.keys(unitsOfK1) as (keyof typeof unitsOfK1)[];

describe('K1, hard make of one branch', () => {
  it.each([1e-5, 1e-6])('agrees with the converged solution at tolerance %d', (tolerance) => {
    const got = runK1(k1Data, tolerance);
    for (const name of namesOfK1) {
      const unit = unitsOfK1[name];
      const absolute = unit === 'V' || unit === 'A' ? { absolute: 1e-3 } : {};
      external({ source, what: `K1 ${name}, tolerance ${tolerance}`, expected: values.K1[name].value, got: got[name], unit, relative: SHARE, ...absolute });
    }
  });

  it('agrees with the closed form of its series R-L-C without the ceramic and the load', () => {
    // The ceramic and the standby load cannot be left out of the circuit as built: 1e-15 F and 1e-15 A change no printed digit.
    const got = runK1({ ...k1Data, C2: 1e-15, I_standby: 1e-15 }, 1e-7);
    for (const name of ['i_peak', 't_peak', 'I2t', 'E_source'] as const)
      external({
        source: 'series R-L-C step response in closed form (Nilsson & Riedel, Electric Circuits, ch. 8), evaluated in test/reference',
        what: `K1 reduced, ${name}`,
        expected: values.K1_reduced_RLC_closed_form[name],
        got: got[name],
        unit: unitsOfK1[name],
        relative: 1e-6,
      });
  });

  it.each([
    [1e-4, 1e-3],
    [1e-5, 1e-4],
    [1e-7, 1e-6],
  ])('balances its energy at tolerance %d within %d', (tolerance, within) => {
    expect(runK1(k1Data, tolerance).run.balance.imbalance).toBeLessThanOrEqual(within);
  });

  it('gives the same with the interpreted kernel', () => {
    const generated = runK1(k1Data, 1e-5, 'generated');
    const interpreted = runK1(k1Data, 1e-5, 'interpreted');
    for (const name of namesOfK1) {
      const share = Math.abs(interpreted[name] - generated[name]) / Math.abs(generated[name]);
      expect(share, name).toBeLessThanOrEqual(1e-9);
    }
  });
});

/** The circuit with the banks' own voltages watched as well. */
function withBankWatches(circuit: ReturnType<typeof k2>, kernel: KernelChoice): { readonly model: Model; readonly first: number } {
  const { system } = circuit.model;
  const banks = circuit.branches.map(({ bank }, k) => ({ name: `bank ${k + 1}`, expression: bank.value }));
  return { model: compile({ ...system, watches: [...system.watches, ...banks] }, kernel), first: system.watches.length };
}

function runK2(resistance_ohm: number, tolerance: number, kernel: KernelChoice = 'generated') {
  const circuit = k2(k2Data, resistance_ohm, kernel);
  const { model, first } = withBankWatches(circuit, kernel);
  const { branches } = circuit;
  const terminals: number[][] = [];
  const residuals: number[][] = [];
  const look = (run: RunControl): void => {
    const voltages = branches.map(({ load }) => run.watched[load.voltage]!);
    terminals.push(voltages);
    residuals.push(voltages.map((v) => run.watched[circuit.busWatch]! - v));
  };
  const t90 = branches.map((_, k) => moment(`bank ${k + 1} at 90 %`, first + k, 0.9 * k2Data.V0));
  const closings = k2Data.branches.map((branch) => branch.t_close);
  const run = runToEnd({
    model,
    parameters: nominalParameters(model),
    end_s: k2Data.t_end,
    // Looks come before the closings of the same moment: the order of asking is kept.
    script: [...closings.map((time): ScheduledAction => ({ time, action: look })), ...circuit.script],
    automata: [...branches.map(({ load }) => load.automaton), ...t90],
    tolerance,
    peaks: branches.flatMap(({ lead, bank }, k) => [
      { of: { unknown: lead.current }, sign: 1 as const, from_s: closings[k]!, until_s: closings[k]! + 2e-3 },
      { of: { unknown: lead.current }, sign: -1 as const, from_s: 0, until_s: k2Data.t_end },
      { of: { unknown: bank.voltage }, sign: 1 as const, from_s: 0, until_s: k2Data.t_end },
    ]),
  });
  const latches = run.notes.filter((note) => /^load \d (starts|stops)$/.test(note.what));
  return {
    run,
    terminals,
    residuals,
    i_peak: branches.map((_, k) => run.peaks[3 * k]!.value),
    t_peak_after_close: branches.map((_, k) => run.peaks[3 * k]!.time - closings[k]!),
    i_min: branches.map((_, k) => run.peaks[3 * k + 1]!.value),
    vc_max: branches.map((_, k) => run.peaks[3 * k + 2]!.value),
    t90: branches.map((_, k) => noted(run, `bank ${k + 1} at 90 %`)),
    v_end: branches.map(({ load }) => run.watched[load.voltage]!),
    on_end: branches.map(({ load }) => run.parameters[load.started]!),
    E_R: run.unknowns[circuit.resistorHeat]!,
    latches: latches.map((note) => ({ branch: Number(note.what[5]) * (note.what.endsWith('starts') ? 1 : -1), t: note.time })),
  };
}

describe.each([
  [33, values.K2_R33, 1e-5],
  [68, values.K2_R68, 1e-6],
] as const)('K2, shared soft start of three branches through %d Ω', (resistance_ohm, expected, tolerance) => {
  const got = runK2(resistance_ohm, tolerance);
  const check = (what: string, want: number, is: number, unit: string, absolute?: number): void =>
    external({
      source,
      what: `K2 ${resistance_ohm} Ω, ${what}, tolerance ${tolerance}`,
      expected: want,
      got: is,
      unit,
      relative: SHARE,
      ...(absolute === undefined ? {} : { absolute }),
    });
  const checkEach = (what: string, want: readonly Converged[], is: readonly number[], unit: string, absolute?: number): void => {
    expect(is).toHaveLength(want.length);
    want.forEach(({ value }, k) => check(`${what} ${k + 1}`, value, is[k]!, unit, absolute));
  };

  it.each([
    [0, '1.5'],
    [1, '1.8'],
    [2, '2.1'],
  ] as const)('has the terminal and residual voltages before closing %d, at %s s', (closing, time) => {
    checkEach(`terminal at ${time} s`, expected[`v_at_${time}`], got.terminals[closing]!, 'V', 1e-3);
    checkEach(`residual at ${time} s`, expected[`resid_at_${time}`], got.residuals[closing]!, 'V', 1e-3);
  });

  it('has the current peaks, forward and back, and their times', () => {
    checkEach('peak current', expected.i_peak, got.i_peak, 'A', 1e-3);
    checkEach('peak time after closing', expected.t_peak_after_close, got.t_peak_after_close, 's');
    checkEach('largest reverse current', expected.i_min, got.i_min, 'A', 1e-3);
  });

  it('has the time to 90 %, the end voltages, the latches at the end, the overshoot', () => {
    checkEach('time to 90 %', expected.t90, got.t90, 's');
    checkEach('voltage at the end', expected.v_end, got.v_end, 'V', 1e-3);
    checkEach('latch at the end', expected.on_end, got.on_end, '1');
    checkEach('largest capacitor voltage', expected.vc_max, got.vc_max, 'V', 1e-3);
  });

  it('has the energy in the resistor', () => {
    check('energy in the resistor', expected.E_R.value, got.E_R, 'J');
  });

  it('has the number, order and times of the latch events', () => {
    const starts = got.latches.filter(({ branch }) => branch > 0);
    check('starts', expected.events_on.value, starts.length, '1');
    check('stops', expected.events_off.value, got.latches.length - starts.length, '1');
    const first = got.latches.slice(0, expected.first_events.length);
    expect(first.map(({ branch }) => branch)).toEqual(expected.first_events.map(({ branch }) => branch));
    expected.first_events.forEach(({ branch, t }, k) => check(`event ${k + 1}, branch ${branch}`, t.value, first[k]!.t, 's'));
  });

  it.each([
    [1e-4, 1e-3],
    [1e-5, 1e-4],
    [1e-7, 1e-6],
  ])('balances its energy at tolerance %d within %d', (allowed, within) => {
    expect(runK2(resistance_ohm, allowed).run.balance.imbalance).toBeLessThanOrEqual(within);
  });

  it('switches the same latches with the interpreted kernel', () => {
    const interpreted = runK2(resistance_ohm, tolerance, 'interpreted');
    expect(interpreted.latches.map(({ branch }) => branch)).toEqual(got.latches.map(({ branch }) => branch));
  });
});
