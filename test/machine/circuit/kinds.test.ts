import { describe, expect, test } from 'vitest';
import { simulate, type Run } from '../../../src/engine/simulate.ts';
import { buildCircuit, type Circuit } from '../../../src/machine/circuit/circuit.ts';
import { planSteps } from '../../../src/machine/circuit/power-up.ts';
import { readMachine } from '../../../src/machine/file/read.ts';
import { external } from '../../external.ts';

function circuitOf(text: string): Circuit {
  const file = readMachine(text);
  if (!file.ok) throw new Error(file.issues.map((issue) => `${issue.line}: expected ${issue.expected}, found ${issue.found}`).join('\n'));
  return buildCircuit(file.machine);
}

/** Runs the power-up of a machine at its nominal values, with time to settle after it. */
function powerUp(circuit: Circuit, tail_s: number): { run: Run; end_s: number } {
  const values = circuit.inputs.nominal();
  const timeline = planSteps(circuit, circuit.machine.powerUp, 'power up', values, tail_s);
  const outcome = simulate({
    model: circuit.model,
    parameters: circuit.parametersFor(values),
    initial: new Float64Array(circuit.model.plan.unknowns),
    start_s: -1e-3,
    end_s: timeline.end_s,
    automata: circuit.automata,
    script: timeline.script,
    tolerance: 1e-5,
  });
  if (outcome.status !== 'done') throw new Error(JSON.stringify(outcome.refusal));
  return { run: outcome.result, end_s: timeline.end_s };
}

const HEAD = (name: string): string => `ampwright: 1\nmachine: ${name}\n`;
/** A nearly ideal pack: 24.0 V from 20 cells of 1.2 V would not be lithium, so 6 LiPo cells at 25.2 V. */
const PACK = '  G1: { kind: pack, chemistry: lipo, cells: 6, capacity: 5 Ah, cell resistance: 1 mΩ, full voltage: 4.2 V per cell }\n';
const voltage = (circuit: Circuit, run: Run, point: string): number => run.watched[circuit.pointWatch.get(point)!]!;
const heatOf = (circuit: Circuit, run: Run, part: string): number => run.unknowns[circuit.heats.get(part)![0]!.heat]!;

describe('solid-state switch with a ramp', () => {
  const circuit = circuitOf(
    `${HEAD('RAMP')}parts:\n${PACK}  Q1: { kind: solid-state switch, rating: 60 A, on resistance: 0.5 mΩ, ramp: 40 ms }\n  C1: { kind: capacitors, capacitance: 4 mF, series resistance: 5 mΩ }\nwiring:\n  main: from G1+, Q1, 12 AWG 0.3 m, to C1\nreturns: all negatives on one bar, 0.1 mΩ a joint\nprocedure:\n  - close Q1\n`,
  );
  const { run } = powerUp(circuit, 0.2);

  test('turns half of what the pack delivers to heat in the switch: ½CV²', () => {
    // Tolerance: the leads and the capacitor's own resistance take a share of RC/ramp, 0.3 %, and the ramp's smoothing 50 mV.
    external({
      source: 'energy lost in charging a capacitor from a stiff source is ½CV², whatever the law of the current (any circuits text; closed form)',
      what: 'heat in a ramping switch, 4 mF to 25.2 V',
      expected: 0.5 * 4e-3 * 25.2 ** 2,
      got: heatOf(circuit, run, 'Q1'),
      unit: 'J',
      relative: 0.01,
    });
  });

  test('holds the current to C·V over the time of the ramp', () => {
    const { recording } = record(circuit, 'Q1');
    const middle = recording.curves[0]![recording.time_s.findIndex((t) => t > 0.02)]!;
    external({ source: 'i = C dv/dt (closed form)', what: 'current in the middle of the ramp', expected: (4e-3 * 25.2) / 40e-3, got: middle, unit: 'A', relative: 0.02 });
  });
});

function record(circuit: Circuit, part: string) {
  const values = circuit.inputs.nominal();
  const timeline = planSteps(circuit, circuit.machine.powerUp, 'power up', values, 0.2);
  const outcome = simulate({
    model: circuit.model, parameters: circuit.parametersFor(values), initial: new Float64Array(circuit.model.plan.unknowns), end_s: timeline.end_s,
    automata: circuit.automata, script: timeline.script, tolerance: 1e-5, record: { watches: [circuit.ways.get(part)![0]!.branch.currentWatch], between: 3 },
  });
  if (outcome.status !== 'done') throw new Error(JSON.stringify(outcome.refusal));
  return outcome.result;
}

describe('contactor with a soft start of its own', () => {
  // Without bounce: an arc in it would take some tens of millijoules of its own.
  const file = (resistance: string, timer: string): string =>
    `${HEAD('CONTACTOR')}parts:\n${PACK}  K1: { kind: contactor, rating: 100 A, closed resistance: 0.4 mΩ, bounce: 0 s, soft start: R1, timer: ${timer}, threshold: 90 % }\n  R1: { kind: resistor, resistance: ${resistance}, power: 25 W }\n  C1: { kind: capacitors, capacitance: 10 mF, series resistance: 5 mΩ }\nwiring:\n  main: from G1+, K1, 12 AWG 0.3 m, to C1\nreturns: all negatives on one bar, 0.1 mΩ a joint\nprocedure:\n  - close K1\n`;
  const heatIn = (circuit: Circuit, run: Run): number => {
    const branch = circuit.resistors.get('R1')![0]!;
    return run.unknowns[branch.letThrough]! * circuit.inputs.nominal()[circuit.inputs.at('R1.resistance')]!;
  };

  test('spends ½CV² in its resistor and closes when its threshold stands', () => {
    const circuit = circuitOf(file('10 Ω', '0.5 s'));
    const { run } = powerUp(circuit, 0.2);
    expect(run.notes.map((note) => note.what)).toContain('K1 ON touches');
    // Five time constants: 1 − e^−10 of the energy; the resistance of pack and leads takes 0.1 % of it.
    external({ source: 'energy lost in charging through a resistor is ½CV² (any circuits text; closed form)', what: 'heat in a contactor\'s soft-start resistor', expected: 0.5 * 10e-3 * 25.2 ** 2, got: heatIn(circuit, run), unit: 'J', relative: 5e-3 });
    expect(voltage(circuit, run, 'C1+')).toBeGreaterThan(25.1);
  });

  test('stays open when too little stands behind it', () => {
    const circuit = circuitOf(file('47 Ω', '0.5 s'));
    const { run } = powerUp(circuit, 0.2);
    // 0.5 s are 1.06 time constants: 65 % of the pack, below the threshold of 90 %.
    expect(run.notes.map((note) => note.what)).toContain('K1 stays open: too little stands behind it');
    expect(run.notes.map((note) => note.what)).not.toContain('K1 ON touches');
  });
});

describe('battery protection', () => {
  const file = (delay: string): string =>
    `${HEAD('PROTECTED')}parts:\n${PACK}  F1: { kind: protection, rating: 30 A, over current: 500 A, short current: 100 A, short delay: ${delay}, resistance: 1 mΩ }\n  Q1: { kind: isolator, rating: 100 A, closed resistance: 0.5 mΩ, bounce: 0 s }\n  C1: { kind: capacitors, capacitance: 5 mF, series resistance: 40 mΩ }\nwiring:\n  main: from G1+, F1, Q1, 12 AWG 0.3 m, to C1\nreturns: all negatives on one bar, 0.1 mΩ a joint\nprocedure:\n  - close Q1\n`;

  test('trips when the inrush stands above its fast step for longer than its delay, and not otherwise', () => {
    // 25.2 V over about 55 mΩ: 460 A falling with about 275 µs; above 100 A for about 275 µs · ln 4.6 ≈ 0.42 ms.
    const trips = (delay: string): boolean => powerUp(circuitOf(file(delay)), 0.05).run.notes.some((note) => note.what === 'F1 trips: short circuit');
    expect(trips('200 µs')).toBe(true);
    expect(trips('700 µs')).toBe(false);
  });
});

describe('packs', () => {
  test('stand in series from the + of one to the - of the next', () => {
    const circuit = circuitOf(
      `${HEAD('SERIES')}parts:\n${PACK}${PACK.replace('G1', 'G2')}  Q1: { kind: isolator, rating: 100 A }\n  C1: { kind: capacitors, capacitance: 2 mF, series resistance: 8 mΩ }\nwiring:\n  between: from G1+, 10 AWG 0.2 m, to G2-\n  main: from G2+, Q1, 10 AWG 0.3 m, to C1\nreturns:\n  general: all negatives on one bar, 0.1 mΩ a joint\n  home: from C1-, 10 AWG 0.3 m, to G1-\nprocedure:\n  - close Q1\n`,
    );
    const { run } = powerUp(circuit, 0.1);
    external({ source: 'voltages of sources in series add (Kirchhoff)', what: 'two packs of 25.2 V in series, own return', expected: 50.4, got: voltage(circuit, run, 'C1+'), unit: 'V', relative: 1e-4 });
  });
});

test('packs in series need no return of their own with all negatives on one bar', () => {
  const circuit = circuitOf(
    `${HEAD('STACK')}parts:\n${PACK}${PACK.replace('G1', 'G2')}  Q1: { kind: isolator, rating: 100 A }\n  C1: { kind: capacitors, capacitance: 2 mF, series resistance: 8 mΩ }\nwiring:\n  between: from G1+, 10 AWG 0.2 m, to G2-\n  main: from G2+, Q1, 10 AWG 0.3 m, to C1\nreturns: all negatives on one bar, 0.1 mΩ a joint\nprocedure:\n  - close Q1\n`,
  );
  const { run } = powerUp(circuit, 0.1);
  external({ source: 'voltages of sources in series add (Kirchhoff)', what: 'two packs of 25.2 V in series, one bar', expected: 50.4, got: voltage(circuit, run, 'C1+'), unit: 'V', relative: 1e-4 });
});

describe('inrush limiter', () => {
  test('warms by what it turns to heat and falls in value', () => {
    const circuit = circuitOf(
      `${HEAD('LIMITED')}parts:\n${PACK}  R1: { kind: inrush limiter, resistance: 10 Ω, steepness: 3000 K, heat capacity: 1 J/K, dissipation: 60 K/W }\n  Q1: { kind: isolator, rating: 50 A }\n  C1: { kind: capacitors, capacitance: 10 mF, series resistance: 5 mΩ }\nwiring:\n  main: from G1+, R1, Q1, 12 AWG 0.3 m, to C1\nreturns: all negatives on one bar, 0.1 mΩ a joint\nsurroundings: { inside: 25 °C }\nprocedure:\n  - close Q1\n`,
    );
    const { run } = powerUp(circuit, 1);
    const heat = heatOf(circuit, run, 'R1');
    external({ source: 'energy lost in charging a capacitor is ½CV² (closed form)', what: 'heat in an inrush limiter', expected: 0.5 * 10e-3 * 25.2 ** 2, got: heat, unit: 'J', relative: 0.01 });
    // 3.2 J into 1 J/K, less what 60 K/W carries off in a second: between 3.0 and 3.2 K.
    const rise = run.unknowns[circuit.heats.get('R1')![0]!.temperature!]!;
    expect(rise).toBeGreaterThan(3.0);
    expect(rise).toBeLessThan(3.2);
  });
});

describe('bench supply', () => {
  test('charges a bank with its limit and takes nothing back', () => {
    const circuit = circuitOf(
      `${HEAD('BENCH')}parts:\n  G1: { kind: bench supply, voltage: 20 V, limit: 2 A }\n  Q1: { kind: isolator, rating: 50 A }\n  C1: { kind: capacitors, capacitance: 20 mF, series resistance: 5 mΩ }\nwiring:\n  main: from G1+, Q1, 12 AWG 0.3 m, to C1\nreturns: all negatives on one bar, 0.1 mΩ a joint\nprocedure:\n  - close Q1\n`,
    );
    const half = powerUp(circuit, 0.1).run;
    external({ source: 'v = I t / C (closed form)', what: '20 mF on a bench supply of 2 A after 0.1 s', expected: (2 * 0.1) / 20e-3, got: voltage(circuit, half, 'C1+'), unit: 'V', relative: 0.02 });
    expect(voltage(circuit, powerUp(circuit, 0.5).run, 'C1+')).toBeCloseTo(20, 1);
  });
});

test('a ramp that starts again onto a charged bank takes nothing back from it', () => {
  const circuit = circuitOf(
    `${HEAD('AGAIN')}parts:\n${PACK}  Q1: { kind: solid-state switch, rating: 60 A, on resistance: 0.5 mΩ, ramp: 40 ms }\n  C1: { kind: capacitors, capacitance: 4 mF, series resistance: 5 mΩ }\n  R1: { kind: bleed, resistance: 1 kΩ }\nwiring:\n  main: from G1+, Q1, 12 AWG 0.3 m, to C1\n  bleed: from C1, to R1\nreturns: all negatives on one bar, 0.1 mΩ a joint\nprocedure:\n  - close Q1\n  - wait 0.2 s\n  - open Q1\n  - wait 1 s\n  - close Q1\n`,
  );
  const { recording } = record(circuit, 'Q1');
  // The bank has lost a fifth of its voltage by then: the current never has a reason to run backwards.
  expect(Math.min(...recording.curves[0]!)).toBeGreaterThan(-0.5);
});
