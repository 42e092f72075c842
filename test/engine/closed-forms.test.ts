import { describe, expect, it } from 'vitest';
import { addBranch } from '../../src/engine/devices/branch.ts';
import { addCapacitor } from '../../src/engine/devices/capacitor.ts';
import { addCells } from '../../src/engine/devices/cells.ts';
import { addDiode, setDiodeLaw } from '../../src/engine/devices/diode.ts';
import { addConstantPower, addLamp, addStandby } from '../../src/engine/devices/load.ts';
import { addResistor } from '../../src/engine/devices/resistor.ts';
import { addLimitedSource, addSource } from '../../src/engine/devices/source.ts';
import { compile, nominalParameters } from '../../src/engine/model.ts';
import { omega, omegaByIteration } from '../../src/engine/omega.ts';
import { SystemBuilder } from '../../src/engine/system.ts';
import { external } from '../external.ts';
import { runToEnd } from './running.ts';

describe('charging a capacitor through a resistor', () => {
  // Low-voltage twin of the pre-charge design of TI TIDUF73 (2024), sect. 2.2: 12S 50.4 V, 4.7 mF, 50 Ω.
  const source_V = 50.4;
  const capacitance_F = 4.7e-3;
  const b = new SystemBuilder();
  const pack = b.node('pack');
  const bank = b.node('bank');
  const source = addSource(b, 'pack', pack, b.reference, source_V, 0.02);
  const resistor = addResistor(b, 'soft start', pack, bank, 49.97, { heatScale_J: 10 });
  const capacitor = addCapacitor(b, 'bank', bank, b.reference, capacitance_F, 0.01);
  const letThrough = b.quadrature('let-through', b.graph.square(source.current), 0.1);
  const model = compile(b.finish(10));

  it.each([
    [0.9, 0.5411],
    [0.95, 0.704],
    [0.99, 1.0822],
  ])('reaches %d of the source at %d s', (share, time_s) => {
    const run = runToEnd({ model, end_s: time_s, tolerance: 1e-7 });
    external({
      source: 'exponential charge t = RC ln(1/(1 − p)), any circuits text; inputs after TI TIDUF73 (2024), sect. 2.2',
      what: `share of 50.4 V in 4.7 mF behind 50 Ω after ${time_s} s`,
      expected: share,
      got: run.unknowns[capacitor.voltage]! / source_V,
      unit: '1',
      absolute: 1e-4,
      note: 'time printed to 0.1 ms: 1e-4/0.235 of (1 − share)',
    });
  });

  it('turns half of what the source gives into heat, whatever the resistance', () => {
    const run = runToEnd({ model, end_s: 20 * 0.235, tolerance: 1e-7 });
    const printed = 'W1 of TI TIDUF73 (2024) scaled: E = ½CV², I²t = V²C/2R, any circuits text';
    const shareOfResistor = 49.97 / 50;
    external({ source: printed, what: 'heat in the resistors, 4.7 mF to 50.4 V', expected: 5.969, got: run.unknowns[resistor.heat!]! / shareOfResistor, unit: 'J', relative: 1e-4 });
    external({ source: printed, what: 'let-through, 4.7 mF to 50.4 V through 50 Ω', expected: 0.11939, got: run.unknowns[letThrough]!, unit: 'A²s', relative: 1e-4 });
    external({ source: printed, what: 'delivered by the source, CV²', expected: capacitance_F * source_V ** 2, got: run.balance.delivered_J, unit: 'J', relative: 1e-6 });
  });
});

/** A source behind R and L that charges an empty capacitor. */
function seriesLoop(source_V: number, resistance_ohm: number, inductance_H: number, capacitance_F: number) {
  const b = new SystemBuilder();
  const node = b.node('capacitor');
  const drive = b.parameter('source', source_V);
  const lead = addBranch(b, 'lead', b.reference, node, { resistance_ohm: 0.75 * resistance_ohm, inductance_H, contacts: [], drive: drive.value });
  const capacitor = addCapacitor(b, 'capacitor', node, b.reference, capacitance_F, 0.25 * resistance_ohm);
  return { model: compile(b.finish(0.5 * capacitance_F * source_V ** 2)), lead, capacitor };
}

describe('series R-L-C, step of the source', () => {
  const sources = 'series R-L-C step response, α = R/2L, ω0 = 1/√(LC) (Nilsson & Riedel, Electric Circuits, ch. 8)';
  it.each([
    // what, V, R, L, C, peak current, its time, capacitor's peak, end, digits printed
    ['robot-like, under-damped', 50, 0.02, 2e-6, 2e-3, 1042.7, 83.27e-6, 67.55, 1e-3],
    ['critically damped', 50, 2 * Math.sqrt(2e-6 / 2e-3), 2e-6, 2e-3, 581.67, 63.25e-6, 50, 5e-3],
    ['over-damped', 50, 0.1, 2e-6, 2e-3, 417.36, 53.28e-6, 50, 5e-3],
    ['textbook, 280 Ω 0.1 H 0.4 µF', 48, 280, 0.1, 0.4e-6, 65.95e-3, 0.2681e-3, 67.2, 5e-3],
    ['1 kΩ 0.5 H 100 nF', 1, 1000, 0.5, 100e-9, 0.3285e-3, 0.3086e-3, 1.4864, 10e-3],
  ])('%s', (name, source_V, resistance_ohm, inductance_H, capacitance_F, peak_A, peak_s, peak_V, end_s) => {
    const { model, lead, capacitor } = seriesLoop(source_V, resistance_ohm, inductance_H, capacitance_F);
    const all = { sign: 1, from_s: 0, until_s: end_s } as const;
    const run = runToEnd({
      model,
      end_s,
      tolerance: 1e-9,
      peaks: [
        { of: { unknown: lead.current }, ...all },
        { of: { unknown: capacitor.voltage }, ...all },
      ],
    });
    const check = (what: string, expected: number, got: number, unit: string): void =>
      external({ source: sources, what: `${name}: ${what}`, expected, got, unit, relative: 1.5e-4, note: 'printed to four figures' });
    check('peak current', peak_A, run.peaks[0]!.value, 'A');
    check('time of the peak', peak_s, run.peaks[0]!.time, 's');
    check('largest capacitor voltage', peak_V, run.peaks[1]!.value, 'V');
  });

  it.each([0.1, 0.3, 0.7])('overshoots by exp(−πζ/√(1 − ζ²)) at ζ = %d', (damping) => {
    const { model, capacitor } = seriesLoop(10, 2 * damping * Math.sqrt(2e-6 / 2e-3), 2e-6, 2e-3);
    const run = runToEnd({ model, end_s: 5e-4, tolerance: 1e-8, peaks: [{ of: { unknown: capacitor.voltage }, sign: 1, from_s: 0, until_s: 5e-4 }] });
    external({
      source: sources,
      what: `overshoot at ζ = ${damping}`,
      expected: { 0.1: 0.7292, 0.3: 0.3723, 0.7: 0.046 }[damping]!,
      got: run.peaks[0]!.value / 10 - 1,
      unit: '1',
      absolute: 6e-5,
    });
  });

  it('follows the printed curve of the textbook example at every recorded moment', () => {
    const { model, lead, capacitor } = seriesLoop(48, 280, 0.1, 0.4e-6);
    const system = { ...model.system, watches: [{ name: 'vC', expression: capacitor.value }, { name: 'i', expression: lead.value }] };
    const run = runToEnd({ model: compile(system), end_s: 2e-3, tolerance: 1e-8, record: { watches: [0, 1], between: 3 } });
    const [voltage, current] = run.recording.curves;
    expect(run.recording.time_s.length).toBeGreaterThan(40);
    run.recording.time_s.forEach((t, k) => {
      const decay = Math.exp(-1400 * t);
      const printed = 48 - 48 * decay * Math.cos(4800 * t) - 14 * decay * Math.sin(4800 * t);
      expect(Math.abs(voltage![k]! - printed)).toBeLessThan(1e-4);
      expect(Math.abs(current![k]! - 0.1 * decay * Math.sin(4800 * t))).toBeLessThan(1e-6);
    });
  });
});

describe('diode behind a resistance', () => {
  it.each([
    // Is, nVt, R, V, current, relative tolerance
    [25e-15, 0.0257025, 249.3, 0.9, 1.0848517e-3, 1e-7],
    [1e-9, 0.025852, 1, 12, 11.4013453, 1e-8],
    [10e-6, 0.0271446, 10e-3, 0.5, 12.0028074, 1e-8],
    [1e-14, 0.025852, 1000, 5, 4.30745637e-3, 1e-8],
  ])('Is %d A, nVt %d V, R %d Ω, %d V: %d A', (saturation_A, slope_V, resistance_ohm, source_V, expected, relative) => {
    const b = new SystemBuilder();
    const node = b.node('anode');
    // A source has some resistance of its own; the current depends on the sum only.
    const source = addSource(b, 'source', node, b.reference, source_V, 0.001 * resistance_ohm);
    addDiode(b, 'diode', node, b.reference, { saturation_A, slope_V, series_ohm: 0.999 * resistance_ohm });
    const run = runToEnd({ model: compile(b.finish(1)), end_s: 1e-3, tolerance: 1e-10 });
    external({
      source: 'T. C. Banwell, A. Jayakumar, Electronics Letters 36 (2000) 291, eq. 5, evaluated with a general-purpose Lambert W',
      what: `diode current, Is ${saturation_A} A, nVt ${slope_V} V, ${resistance_ohm} Ω, ${source_V} V`,
      expected,
      got: run.watched[source.currentWatch]!,
      unit: 'A',
      relative: relative * 2,
    });
  });
});

describe('a diode whose law is set for a run', () => {
  it('is the diode of that law', () => {
    const b = new SystemBuilder();
    const node = b.node('anode');
    const source = addSource(b, 'source', node, b.reference, 12, 1e-3);
    const diode = addDiode(b, 'diode', node, b.reference, { saturation_A: 1e-6, slope_V: 0.05, series_ohm: 0.1 });
    const model = compile(b.finish(1));
    const parameters = nominalParameters(model);
    setDiodeLaw(parameters, diode, { saturation_A: 1e-9, slope_V: 0.025852, series_ohm: 0.999 });
    external({
      source: 'T. C. Banwell, A. Jayakumar, Electronics Letters 36 (2000) 291, eq. 5, evaluated with a general-purpose Lambert W',
      what: 'diode current, law set afterwards, Is 1 nA, nVt 25.852 mV, 1 Ω, 12 V',
      expected: 11.4013453,
      got: runToEnd({ model, parameters, end_s: 1e-3, tolerance: 1e-10 }).watched[source.currentWatch]!,
      unit: 'A',
      relative: 1e-8,
    });
  });
});

describe('cells under a constant current', () => {
  it.each([0, 1, 5, 60])('sag by I·(R0 + R1 (1 − e^(−t/τ1)) + …) after %d s', (time_s) => {
    const b = new SystemBuilder();
    const node = b.node('pack');
    const cells = addCells(b, 'pack', node, b.reference, {
      openCircuit_V: 50,
      resistance_ohm: 0.02,
      slow: [
        { resistance_ohm: 0.01, time_s: 2 },
        { resistance_ohm: 0.03, time_s: 40 },
      ],
    });
    addStandby(b, 'load', node, b.reference, 20, 5);
    const terminal = b.watch('terminal', node.voltage);
    const run = runToEnd({ model: compile(b.finish(1000)), end_s: time_s, tolerance: 1e-7 });
    const source = 'R-C pairs behind a constant current, by hand: V − I·(R0 + Σ R (1 − e^(−t/τ)))';
    const sag_V = 20 * (0.02 + 0.01 * (1 - Math.exp(-time_s / 2)) + 0.03 * (1 - Math.exp(-time_s / 40)));
    external({ source, what: `50 V pack at 20 A after ${time_s} s`, expected: 50 - sag_V, got: run.watched[terminal]!, unit: 'V', absolute: 1e-5 });
    external({ source, what: `current of a 50 V pack at 20 A after ${time_s} s`, expected: 20, got: run.watched[cells.currentWatch]!, unit: 'A', absolute: 1e-5 });
  });
});

describe('a lamp', () => {
  it.each([
    [12, 10e-3],
    [0.5, 0],
  ])('of 2 V and 1 kΩ takes its current at %d V', (source_V, current_A) => {
    const b = new SystemBuilder();
    const node = b.node('bus');
    const source = addSource(b, 'source', node, b.reference, source_V, 1e-3);
    addLamp(b, 'lamp', node, b.reference, 1000, 2);
    const run = runToEnd({ model: compile(b.finish(1)), end_s: 1e-3, tolerance: 1e-7 });
    external({
      source: "Ohm's law by hand: (V − 2 V)/1 kΩ, none below",
      what: `lamp at ${source_V} V`,
      expected: current_A,
      got: run.watched[source.currentWatch]!,
      unit: 'A',
      absolute: 1e-5,
      note: 'knee smoothed over 0.2 V: 7 µA of 10 mA below the forward voltage, 1 µA above',
    });
  });
});

describe('omega', () => {
  // mpmath 1.3.0 at 40 digits, w + ln w = x, rounded to the nearest double; −8 and 30 are the ends of the table.
  const exact: readonly (readonly [number, number])[] = [
    [-700, 9.85967654375977e-305],
    [-50, 1.9287498479639178e-22],
    [-30, 9.357622968839299e-14],
    [-12.3, 0.0000045517237448470335],
    [-8.0625, 0.0003150387097133966],
    [-8, 0.00033535014932106175],
    [-7.9375, 0.0003569706577789883],
    [-5, 0.006693000497730993],
    [-2.03, 0.11685148756095236],
    [-1, 0.2784645427610738],
    [0, 0.5671432904097838],
    [0.5, 0.7662486081617502],
    [1, 1],
    [1.5, 1.2649597201255005],
    [3, 2.207940031569323],
    [10, 7.929420095019697],
    [29.9375, 26.654540489075686],
    [29.97, 26.68586594028943],
    [30, 26.714782920381055],
    [30.03, 26.743701029904294],
    [100, 95.44148664557584],
    [1e6, 999986.1845032576],
  ];
  it.each(exact)('ω(%d)', (x, w) => {
    const source = 'mpmath 1.3.0 at 40 digits';
    external({ source, what: `engine's ω(${x})`, expected: w, got: omega(x), unit: '1', relative: 1e-10 });
    external({ source, what: `engine's iterated ω(${x})`, expected: w, got: omegaByIteration(x), unit: '1', relative: 1e-13 });
  });

  it('satisfies ω + ln ω = x within 1e-10 all over, and never decreases', () => {
    let before = 0;
    for (let x = -20; x <= 60; x += 0.00731) {
      const w = omega(x);
      expect(Math.abs(w + Math.log(w) - x)).toBeLessThanOrEqual(1e-10 * (1 + w));
      expect(w).toBeGreaterThan(before);
      before = w;
    }
  });
});

/** A source behind a resistance, a capacitor, a constant-power load that starts on the way up. */
function poweredLoad(source_V: number, resistance_ohm: number, power_W: number, start_V: number, stop_V: number) {
  const b = new SystemBuilder();
  const node = b.node('bus');
  const source = addSource(b, 'source', node, b.reference, source_V, resistance_ohm);
  addCapacitor(b, 'bank', node, b.reference, 2e-3, 1e-3);
  const load = addConstantPower(b, 'load', node, b.reference, { power_W, start_V, stop_V, floor_V: 0.5 });
  return { model: compile(b.finish(100)), source, load };
}

describe('constant-power load', () => {
  const source = 'quadratic of (V − v)·v/R = P by hand; greatest power at v = V/2: College Physics 11e, 18.58';
  it.each([
    [48, 0.05, 5000, 40, 42.0555, 118.891],
    [22.2, 0.06, 1500, 16, 16.8628, 88.953],
    // Started below its lower root's current but above the root itself: it climbs on to the upper one.
    [48, 0.05, 5000, 7, 42.0555, 118.891],
  ])('%d V through %d Ω at %d W, started at %d V, settles at the upper root', (source_V, resistance_ohm, power_W, start_V, upper_V, upper_A) => {
    const { model, source: feed, load } = poweredLoad(source_V, resistance_ohm, power_W, start_V, 6);
    const run = runToEnd({ model, end_s: 0.05, automata: [load.automaton], tolerance: 1e-7 });
    const what = `${source_V} V, ${resistance_ohm} Ω, ${power_W} W from ${start_V} V`;
    external({ source, what: `${what}: voltage`, expected: upper_V, got: run.watched[load.voltage]!, unit: 'V', absolute: 1e-4 });
    external({ source, what: `${what}: current`, expected: upper_A, got: run.watched[feed.currentWatch]!, unit: 'A', absolute: 2e-3,
      note: "the floor of the load's law is smoothed over 0.1 V: 1e-5 of the current at 17 V" });
    expect(run.notes.map((note) => note.what)).toEqual(['load starts']);
  });

  it('never holds above the largest power V²/4R, 11.52 kW at 48 V and 50 mΩ', () => {
    const held = (power_W: number): boolean => {
      const { model, load } = poweredLoad(48, 0.05, power_W, 40, 6);
      const run = runToEnd({ model, end_s: 0.02, automata: [load.automaton], tolerance: 1e-6 });
      return run.parameters[load.started] === 1 && !run.notes.some((note) => note.what === 'load stops');
    };
    expect(held(11_400)).toBe(true);
    expect(held(11_640)).toBe(false);
  });

  it.each([
    [2e-3, true],
    [100e-6, false],
  ])('with 2 µH in the feed and %d F: rings down %s', (capacitance_F, settles) => {
    // P < (R C/L) v²: 88.4 kW at 2 mF, 4.42 kW at 100 µF, against 5 kW.
    const b = new SystemBuilder();
    const node = b.node('bus');
    const drive = b.parameter('source', 48);
    const lead = addBranch(b, 'lead', b.reference, node, { resistance_ohm: 0.05, inductance_H: 2e-6, contacts: [], drive: drive.value });
    // 1 µΩ: a real series resistance would damp what the criterion is about.
    const bank = addCapacitor(b, 'bank', node, b.reference, capacitance_F, 1e-6, 42.0555 + 0.05);
    const load = addConstantPower(b, 'load', node, b.reference, { power_W: 5000, start_V: 0, stop_V: -1, floor_V: 0.5 });
    const model = compile(b.finish(1));
    const initial = new Float64Array(model.plan.unknowns);
    initial[lead.current] = 118.891;
    initial[bank.voltage] = 42.1055;
    const late = { from_s: 1.5e-3, until_s: 2e-3, of: { unknown: bank.voltage } };
    const run = runToEnd({ model, initial, end_s: 2e-3, automata: [load.automaton], tolerance: 1e-7, peaks: [{ sign: 1, ...late }, { sign: -1, ...late }] });
    const swing = run.peaks[0]!.value - run.peaks[1]!.value;
    if (settles) expect(swing).toBeLessThan(0.02);
    else expect(swing).toBeGreaterThan(0.2);
  });
});

describe('bench supply with a current limit', () => {
  it.each([
    // Limit, load, current: the limit rules above 12 V/limit, the supply's 20 mΩ and the load below.
    [5, 1, 5],
    [20, 1, 12 / 1.02],
    [0.5, 10, 0.5],
  ])('of %d A into %d Ω gives %d A', (limit_A, load_ohm, expected) => {
    const b = new SystemBuilder();
    const node = b.node('bench');
    const supply = addLimitedSource(b, 'supply', node, b.reference, 12, limit_A);
    addResistor(b, 'load', node, b.reference, load_ohm);
    const run = runToEnd({ model: compile(b.finish(1)), end_s: 1e-3, tolerance: 1e-7 });
    external({
      source: "Ohm's law by hand",
      what: `12 V limited to ${limit_A} A into ${load_ohm} Ω`,
      expected,
      got: run.watched[supply.currentWatch]!,
      unit: 'A',
      absolute: 1e-3,
      note: 'corner smoothed over 20 mA',
    });
  });

  it('takes nothing back from a bus above its voltage', () => {
    const b = new SystemBuilder();
    const node = b.node('bench');
    const supply = addLimitedSource(b, 'supply', node, b.reference, 12, 5);
    addSource(b, 'pack', node, b.reference, 20, 0.1);
    const run = runToEnd({ model: compile(b.finish(1)), end_s: 1e-3, tolerance: 1e-7 });
    expect(Math.abs(run.watched[supply.currentWatch]!)).toBeLessThan(1e-3);
  });
});

describe('standby load behind a soft start', () => {
  it('leaves the bank below the source by current times resistance', () => {
    const b = new SystemBuilder();
    const node = b.node('bus');
    addSource(b, 'source', node, b.reference, 50.4, 100);
    const bank = addCapacitor(b, 'bank', node, b.reference, 1e-3, 0.01);
    addStandby(b, 'logic', node, b.reference, 0.045, 8);
    const run = runToEnd({ model: compile(b.finish(1)), end_s: 3, tolerance: 1e-7 });
    external({ source: "Ohm's law by hand: 50.4 V − 45 mA · 100 Ω", what: 'bank behind 100 Ω with 45 mA of standby', expected: 45.9, got: run.unknowns[bank.voltage]!, unit: 'V', absolute: 1e-4 });
  });
});

describe('joining two charged capacitors', () => {
  it.each([0.02, 2])('through %d Ω loses ½·C1C2/(C1+C2)·ΔV²', (resistance_ohm) => {
    const b = new SystemBuilder();
    const left = b.node('left');
    const right = b.node('right');
    const one = addCapacitor(b, 'one', left, b.reference, 2e-3, 1e-3, 50);
    const two = addCapacitor(b, 'two', right, b.reference, 3e-3, 1e-3, 20);
    addResistor(b, 'join', left, right, resistance_ohm);
    const run = runToEnd({ model: compile(b.finish(1)), end_s: 60 * resistance_ohm * 1.2e-3, tolerance: 1e-7 });
    const source = 'conservation of charge, any physics text: V = (C1V1 + C2V2)/(C1 + C2), loss ½·C1C2/(C1 + C2)·ΔV²';
    external({ source, what: `2 mF at 50 V and 3 mF at 20 V through ${resistance_ohm} Ω: loss`, expected: 0.54, got: run.balance.lost_J, unit: 'J', relative: 1e-6 });
    for (const { voltage } of [one, two])
      external({ source, what: `2 mF at 50 V and 3 mF at 20 V through ${resistance_ohm} Ω: voltage`, expected: 32, got: run.unknowns[voltage]!, unit: 'V', relative: 1e-6 });
  });
});

describe('battery sag', () => {
  it.each([
    // r, load, printed current, its rounding, printed terminal voltage, its rounding, printed power
    [0.1, 10, 1.188, 5e-4, 11.9, 0.05, undefined],
    [0.1, 0.5, 20, 0.05, 10, 0.05, 200],
    [0.5, 0.5, 12, 0.05, 6, 5e-3, 72],
  ] as const)('12.0 V with %d Ω inside on %d Ω: %d A', (inside_ohm, load_ohm, current_A, roundA, terminal_V, roundV, power_W) => {
    const b = new SystemBuilder();
    const node = b.node('terminal');
    const battery = addSource(b, 'battery', node, b.reference, 12, inside_ohm);
    const load = addResistor(b, 'load', node, b.reference, load_ohm, { heatScale_J: 1 });
    const terminal = b.watch('terminal', node.voltage);
    const run = runToEnd({ model: compile(b.finish(1)), end_s: 1, tolerance: 1e-7 });
    const source = 'OpenStax College Physics, 21.2';
    const what = `12.0 V, r ${inside_ohm} Ω, load ${load_ohm} Ω`;
    external({ source, what: `${what}: current`, expected: current_A, got: run.watched[battery.currentWatch]!, unit: 'A', absolute: roundA });
    external({ source, what: `${what}: terminal voltage`, expected: terminal_V, got: run.watched[terminal]!, unit: 'V', absolute: roundV });
    if (power_W !== undefined) external({ source, what: `${what}: heat in the load in 1 s`, expected: power_W, got: run.unknowns[load.heat!]!, unit: 'J', absolute: 0.05 });
  });

  it('drives (E1 − E2)/(r1 + r2) between two packs joined at unequal charge', () => {
    const b = new SystemBuilder();
    const node = b.node('joint');
    const full = addSource(b, 'full', node, b.reference, 25.2, 0.02);
    const flat = addSource(b, 'flat', node, b.reference, 22.2, 0.02);
    const run = runToEnd({ model: compile(b.finish(1)), end_s: 1e-3 });
    const source = 'OpenStax College Physics, 21.2: series-opposed sources';
    external({ source, what: '25.2 V and 22.2 V packs of 20 mΩ each: current', expected: 75, got: run.watched[full.currentWatch]!, unit: 'A', relative: 1e-9 });
    external({ source, what: '25.2 V and 22.2 V packs of 20 mΩ each: into the flat one', expected: -75, got: run.watched[flat.currentWatch]!, unit: 'A', relative: 1e-9 });
  });
});
