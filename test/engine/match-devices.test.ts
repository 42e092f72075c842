import { describe, expect, it } from 'vitest';
import { FUSE_GATES } from '../../src/physics/fuses.ts';
import { fuseElement } from '../../src/physics/fuse-element.ts';
import { addBank } from '../../src/engine/devices/bank.ts';
import { addDrive, type DriveRequest } from '../../src/engine/devices/drive.ts';
import { addMeltingFuse } from '../../src/engine/devices/melting-fuse.ts';
import { addBareMotor, free, jam, strike } from '../../src/engine/devices/motor.ts';
import { addSource } from '../../src/engine/devices/source.ts';
import { addConverter, addReceiver, addRegulator } from '../../src/engine/devices/supply.ts';
import { addFreeAir, addHeatNode, addSurroundings, heat } from '../../src/engine/devices/thermal.ts';
import { addGround, addWheel, collide, type WheelHandle } from '../../src/engine/devices/wheel.ts';
import { addWire } from '../../src/engine/devices/wire.ts';
import { heldInputs } from '../../src/engine/held-inputs.ts';
import type { SystemBuilder } from '../../src/engine/system.ts';
import { external } from '../external.ts';
import { addFixedCurrent, addPlainBattery, built, plainMotor, reaches, runWith, setting, timeOf } from './match-circuits.ts';

describe('motor', () => {
  const KT = 0.047746;
  const circuit = built((b) => {
    const node = b.node('supply');
    addSource(b, 'stiff', node, b.reference, 48, 1e-6);
    const motor = addBareMotor(b, 'motor', node, b.reference, {
      ...plainMotor(), winding: { resistance_ohm: 0.4, reference_C: 25, coefficient_per_K: 0 }, inductance_H: 1e-6, torqueConstant_Nm_A: KT, inertia_kgm2: 5e-3, ownLoss: true,
    });
    return { motor };
  });
  const { motor } = circuit.handles;

  it('spins up from a stiff voltage as the closed form, and heats its copper by what it stores', () => {
    // An armature inductance of 1 µH moves the speed by L·Kt²/(J·R²) = 3e-6 of itself.
    const tau = (5e-3 * 0.4) / KT ** 2;
    const source = 'spin-up from a stiff voltage, ω = V/Kt (1 − e^(−t/τ)), τ = J·R/Kt², heat ½J(V/Kt)²';
    for (const share of [0.5, 1, 2]) {
      const run = runWith(circuit, share * tau, {});
      external({ source, what: `speed after ${share} time constants, 48 V, 0.4 Ω, 5e-3 kg·m²`, expected: (48 / KT) * (1 - Math.exp(-share)), got: run.unknowns[motor.speedUnknown]!, unit: 'rad/s', relative: 2e-5 });
    }
    const run = runWith(circuit, 20 * tau, {});
    external({ source, what: 'copper heat of that spin-up', expected: 2527, got: run.unknowns[motor.windingLoss!]!, unit: 'J', relative: 3e-4 });
  });

  it('gives to a hit the share asked for, and stands still while jammed', () => {
    const energy = { before: 0, after: 0 };
    const kinetic = (speed: number): number => 0.5 * 5e-3 * speed * speed;
    const run = runWith(circuit, 3, {}, {
      script: [
        { time: 1, action: (r) => { energy.before = kinetic(r.unknowns[motor.speedUnknown]!); strike(r, motor, 0.36); energy.after = kinetic(r.unknowns[motor.speedUnknown]!); } },
        { time: 2, action: (r) => jam(r, motor) },
      ],
    });
    expect(energy.after / energy.before).toBeCloseTo(0.64, 12);
    expect(run.unknowns[motor.speedUnknown]).toBe(0);
    external({ source: 'OpenStax College Physics 23.6: 48.0 V, 0.400 Ω', what: 'current of the jammed motor in the circuit', expected: 120, got: run.unknowns[motor.currentUnknown]!, unit: 'A', relative: 1e-5 });
    const again = runWith(circuit, 3, {}, { script: [{ time: 1, action: (r) => jam(r, motor) }, { time: 1.1, action: (r) => free(r, motor) }] });
    expect(again.unknowns[motor.speedUnknown]!).toBeGreaterThan(500);
    expect(again.balance.imbalance).toBeLessThan(1e-5);
  });
});

describe('battery', () => {
  it.each([[0.1, 10, 1.188, 11.9], [0.1, 0.5, 20, 10], [0.5, 0.5, 12, 6]])('sags as the textbook: %d Ω inside, %d Ω outside', (inside, outside, amps, volts) => {
    const { model, handles } = built((b) => {
      const node = b.node('terminal');
      const battery = addPlainBattery(b, node, { cells: 1, resistance_ohm: inside, capacity_Ah: 1e6, openCircuit: (g) => g.constant(12) });
      addWire(b, 'load', node, b.reference, { resistance_ohm: outside, reference_C: 20, coefficient_per_K: 0 });
      return { battery };
    });
    const run = runWith({ model, handles }, 1, {});
    const source = 'OpenStax College Physics 21.2, 12.0 V';
    external({ source, what: `current of the battery device, ${inside} Ω and ${outside} Ω`, expected: amps, got: run.watched[handles.battery.currentWatch]!, unit: 'A', relative: 2e-3 });
    external({ source, what: `its terminal voltage, ${inside} Ω and ${outside} Ω`, expected: volts, got: run.watched[handles.battery.terminalWatch]!, unit: 'V', relative: 2e-3 });
  });

  it('gives its charge, polarises, and empties its weakest cell first', () => {
    const circuit = built((b) => {
      const node = b.node('terminal');
      const battery = addPlainBattery(b, node, { slow: [{ resistance_ohm: 0.01, capacitance_F: 1000 }], weakest: { capacityShare: 0.9, resistanceShare: 1.2 } });
      addFixedCurrent(b, 'load', node, 30);
      return { battery };
    });
    const { battery } = circuit.handles;
    const run = runWith(circuit, 180, {});
    // 30 A for 180 s is 1.5 Ah, half of 3 Ah; the pair of 10 s has settled at 30 A · 10 mΩ.
    external({ source: 'definition of the ampere-hour', what: 'state of charge after 1.5 Ah of 3 Ah from 95 %', expected: 0.45, got: run.unknowns[battery.soc]!, unit: '1', absolute: 1e-9 });
    external({ source: 'R–C pair charged by a current, R·i (1 − e^(−t/RC))', what: 'polarisation after 18 time constants', expected: 0.3 * (1 - Math.exp(-18)), got: run.unknowns[battery.slow[0]!.voltage]!, unit: 'V', relative: 1e-6 });
    const own = 0.95 - 0.5 / 0.9;
    external({ source: 'same charge from a cell of 90 % capacity, worked by hand', what: 'voltage of the weakest cell', expected: 3 + own - (1.2 * (30 * 0.02 + 0.3)) / 6, got: run.watched[battery.weakest!.cellWatch]!, unit: 'V', absolute: 1e-6 });
  });

  it('is stiffer in the cold and warms by what it loses', () => {
    const circuit = built((b) => {
      const node = b.node('terminal');
      const lump = addHeatNode(b, 'pack', 500, 0);
      const battery = addPlainBattery(b, node, { lump, cold: { floor: 0.6419, rise: 1.5581, decay_K: 17 }, slow: [{ resistance_ohm: 0.01, capacitance_F: 1 }] });
      addFixedCurrent(b, 'load', node, 50);
      return { battery, lump };
    });
    const { battery, lump } = circuit.handles;
    // 0.6419 + 1.5581 = 2.2 at 0 °C; the pair of 22 ms has settled, and 165 W have warmed it by 0.07 K.
    const cold = runWith(circuit, 0.2, {});
    expect(cold.watched[battery.terminalWatch]).toBeCloseTo(6 * 3.95 - 50 * 0.03 * 2.2, 1);
    const aged = runWith(circuit, 0.2, { [battery.resistanceScale]: 1.5 });
    expect(aged.watched[battery.terminalWatch]).toBeCloseTo(6 * 3.95 - 50 * 0.045 * 2.2, 1);
    const later = runWith(circuit, 60, {});
    expect(later.unknowns[lump.unknown]! * 500).toBeCloseTo(later.balance.lost_J, 1);
  });
});

describe('heat', () => {
  it('warms a wire as the closed form of a resistance that rises with it', () => {
    const circuit = built((b) => {
      const lump = addHeatNode(b, 'wire', 20, 25);
      const node = b.node('near');
      addSource(b, 'stiff', node, b.reference, 10, 1e-3);
      const far = b.node('far');
      addWire(b, 'wire', node, far, { resistance_ohm: 0.01, reference_C: 20, coefficient_per_K: 0.00393 }, { lump });
      addFixedCurrent(b, 'load', far, 40);
      return { lump };
    });
    const run = runWith(circuit, 60, {});
    // C·T' = I²R₀(1 + α(T − 20)): T = 20 − 1/α + (25 − 20 + 1/α)·e^(I²R₀α·t/C).
    const alpha = 0.00393;
    const expected = 20 - 1 / alpha + (5 + 1 / alpha) * Math.exp((40 ** 2 * 0.01 * alpha * 60) / 20);
    external({ source: 'adiabatic warming of a resistance linear in temperature, closed form', what: '10 mΩ, 20 J/K, 40 A for 60 s from 25 °C', expected, got: run.unknowns[circuit.handles.lump.unknown]!, unit: '°C', relative: 1e-6 });
  });

  it('settles in still air where convection and radiation carry the heat', () => {
    const circuit = built((b) => {
      const lump = addHeatNode(b, 'lump', 2, 25);
      const room = addSurroundings(b, 'room', 25);
      addFreeAir(b, 'lump to room', lump, room, { surface_m2: 0.01, film_W_m2K125: 4, emissivity: 0.9 });
      heat(b, lump, b.graph.constant(12));
      return { lump };
    });
    const end = runWith(circuit, 2000, {}).unknowns[circuit.handles.lump.unknown]!;
    const leaving = 0.01 * (4 * (end - 25) ** 1.25 + 0.9 * 5.670374e-8 * ((end + 273.15) ** 4 - 298.15 ** 4));
    external({ source: 'Stefan–Boltzmann and h·ΔT^1.25, summed by hand at the temperature reached', what: 'heat that leaves 100 cm² fed with 12 W', expected: 12, got: leaving, unit: 'W', relative: 1e-4 });
  });
});

/** A drive on a bank, fed through a resistance from a stiff source. */
function driven(request: Partial<DriveRequest>, supply: { readonly volts: number; readonly ohms: number } = { volts: 24, ohms: 0.01 }) {
  return built((b) => {
    const bank = addBank(b, 'bank', 2e-3, supply.volts);
    const source = addSource(b, 'supply', bank.node, b.reference, supply.volts, supply.ohms);
    const drive = addDrive(b, 'drive', bank.node, b.reference, {
      braking: 'regenerate', motorLimit_A: 100, largestDuty: 1, efficiency: 0.95, motor: plainMotor(), ...request,
    });
    return { bank, source, drive };
  });
}

const SUPERVISED = { start_V: 12, stop_V: 9, overvoltage_V: 30, resume_V: 27, runningAtStart: true, boot_s: 0.2 };

describe('controller', () => {
  it('limits motor and battery current, driving either way', () => {
    for (const throttle of [1, -1]) {
      const circuit = driven({ batteryLimit_A: 40 });
      const { drive } = circuit.handles;
      const all = { from_s: 0, until_s: 1 } as const;
      const run = runWith(circuit, 1, { [drive.throttle]: throttle }, {
        peaks: [
          { of: { unknown: drive.motor.currentUnknown }, sign: throttle > 0 ? 1 : -1, ...all },
          { of: { watch: drive.busCurrentWatch }, sign: 1, ...all },
        ],
      });
      expect(Math.abs(run.peaks[0]!.value)).toBeLessThan(101);
      expect(Math.abs(run.peaks[0]!.value)).toBeGreaterThan(97);
      expect(run.peaks[1]!.value).toBeLessThan(40.5);
      expect(run.peaks[1]!.value).toBeGreaterThan(38);
      expect(Math.sign(run.unknowns[drive.motor.speedUnknown]!)).toBe(throttle);
    }
  });

  it.each([
    // (E − R·I)·I·η/u at about 20 V, 100 A, 50 mΩ: 58 A.
    ['regenerate', undefined, -62, -50],
    ['regenerate', 5, -5.6, -4],
    ['coast', undefined, -0.6, 1],
    ['none', undefined, -0.6, 1],
  ] as const)('gives back what %s with a limit of %s A allows', (braking, limit, least, most) => {
    const circuit = driven({ braking, ...(limit === undefined ? {} : { regenerationLimit_A: limit }) });
    const { drive } = circuit.handles;
    const run = runWith(circuit, 1.5, { [drive.throttle]: 1 }, {
      script: [setting(1, drive.throttle, 0.2)],
      peaks: [{ of: { watch: drive.busCurrentWatch }, sign: -1, from_s: 1, until_s: 1.5 }],
    });
    expect(run.peaks[0]!.value).toBeGreaterThan(least);
    expect(run.peaks[0]!.value).toBeLessThan(most);
    expect(run.balance.imbalance).toBeLessThan(1e-5);
  });

  it('feeds the bus through its diodes when off, from a motor that is faster than the bus allows', () => {
    const circuit = driven({ supervision: { ...SUPERVISED, start_V: 100, overvoltage_V: 200, resume_V: 190, runningAtStart: false }, motor: plainMotor({ initialSpeed_rad_s: 2000, winding: { resistance_ohm: 0.5, reference_C: 25, coefficient_per_K: 0 } }) }, { volts: 10, ohms: 1e4 });
    const { drive, bank } = circuit.handles;
    const run = runWith(circuit, 0.5, {}, { automata: drive.automata });
    // 2000 rad/s at 0.02 V·s is 40 V; less two diodes, 0.8 V each at high current and 0.5 V at the milliamperes of the end.
    // What 2 mF takes hardly slows 4 kJ.
    const emf = 0.02 * run.unknowns[drive.motor.speedUnknown]!;
    expect(run.unknowns[bank.voltage]!).toBeGreaterThan(emf - 1.9);
    expect(run.unknowns[bank.voltage]!).toBeLessThan(emf - 0.9);
    expect(run.balance.imbalance).toBeLessThan(1e-5);
  });

  it('stops under its stop voltage, starts again after its time, and lets go above its over-voltage', () => {
    const circuit = driven({ supervision: SUPERVISED }, { volts: 24, ohms: 0.01 });
    const { drive, source } = circuit.handles;
    const run = runWith(circuit, 2, { [drive.throttle]: 0.3 }, {
      automata: drive.automata, script: [setting(0.5, source.voltage, 8), setting(1, source.voltage, 24), setting(1.6, source.voltage, 32), setting(1.8, source.voltage, 24)],
    });
    expect(run.notes.map((note) => note.what)).toEqual(['drive stops', 'drive starts', 'drive lets go: over-voltage', 'drive resumes']);
    expect(timeOf(run, 'drive starts')).toBeGreaterThan(1.2);
    expect(timeOf(run, 'drive starts')).toBeLessThan(1.201);
    expect(run.parameters[drive.running!]).toBe(1);
    const off = runWith(circuit, 0.3, { [drive.throttle]: 0.3 }, { automata: drive.automata, script: [setting(0.1, drive.enabled!, 0)] });
    expect(off.parameters[drive.running!]).toBe(0);
  });

  it('folds its motor current back as it warms', () => {
    const make = (start_C: number) => built((b) => {
      const node = b.node('supply');
      addSource(b, 'supply', node, b.reference, 24, 0.01);
      const lump = addHeatNode(b, 'case', 1e6, start_C);
      const drive = addDrive(b, 'drive', node, b.reference, {
        braking: 'none', motorLimit_A: 100, largestDuty: 1, efficiency: 0.95, motor: plainMotor({ inertia_kgm2: 1e3 }), thermal: { lump, foldFrom_C: 80, foldTo_C: 100 },
      });
      return { drive };
    });
    const currents = [25, 90, 95, 110].map((start_C) => {
      const circuit = make(start_C);
      return runWith(circuit, 0.2, { [circuit.handles.drive.throttle]: 1 }).unknowns[circuit.handles.drive.motor.currentUnknown]!;
    });
    // Straight from 80 to 100 °C: all, half, a quarter, nothing; the knees of the clamps leave a few amperes.
    [100, 50, 25, 0].forEach((expected, k) => expect(Math.abs(currents[k]! - expected)).toBeLessThan(3));
  });
});

describe('wheel', () => {
  const moving = (grip: number, limit_A: number) => built((b: SystemBuilder) => {
    const node = b.node('supply');
    addSource(b, 'supply', node, b.reference, 24, 1e-3);
    const ground = addGround(b, 'machine', { mass_kg: 10, rolling_N: 0 });
    let wheel: WheelHandle | undefined;
    const drive = addDrive(b, 'drive', node, b.reference, {
      braking: 'regenerate', motorLimit_A: limit_A, largestDuty: 1, efficiency: 0.95, motor: plainMotor({ inertia_kgm2: 1e-4 }),
      load: (motor) => (wheel = addWheel(b, 'wheel', motor, ground, { gearing: 5, radius_m: 0.04, load_N: 98.0665, grip, efficiency: 1 })).torque,
    });
    return { ground, wheel: wheel!, drive };
  });

  it('accelerates by what grips, however strong the motor', () => {
    const circuit = moving(0.5, 100);
    const run = runWith(circuit, 0.5, { [circuit.handles.drive.throttle]: 1 });
    external({ source: 'a = µ·g with all weight on driven wheels', what: 'speed after 0.5 s at a grip of 0.5', expected: 0.5 * 9.80665 * 0.5, got: run.unknowns[circuit.handles.ground.speedUnknown]!, unit: 'm/s', relative: 2e-3 });
  });

  it('accelerates by the motor while the tyres hold', () => {
    // 10 A · 0.02 N·m/A · 5 / 0.04 m = 25 N on 10 kg, and 1e-4·25/0.0016 = 1.5625 kg of rotor.
    const circuit = moving(2, 10);
    const run = runWith(circuit, 0.8, { [circuit.handles.drive.throttle]: 1 });
    external({ source: "Newton's second law with the reflected inertia J·N²/r², worked by hand", what: 'speed after 0.8 s at 25 N', expected: (25 / 11.5625) * 0.8, got: run.unknowns[circuit.handles.ground.speedUnknown]!, unit: 'm/s', relative: 1.5e-2 });
  });

  it('stalls against a wall and loses what a collision takes', () => {
    const circuit = moving(0.5, 100);
    const { ground, drive, wheel } = circuit.handles;
    const wall = runWith(circuit, 1, { [drive.throttle]: 1, [ground.opposing]: 500 });
    expect(Math.abs(wall.unknowns[ground.speedUnknown]!)).toBeLessThan(0.02);
    expect(wall.watched[wheel.tractionWatch]).toBeCloseTo(49.03, 1);
    const hit = runWith(circuit, 0.4, { [drive.throttle]: 1 }, { script: [{ time: 0.3, action: (run) => collide(run, ground, 1) }] });
    external({ source: '½mv² at a = µ·g', what: 'energy of a dead stop from 0.3 s', expected: 5 * (0.5 * 9.80665 * 0.3) ** 2, got: hit.unknowns[ground.collisions]!, unit: 'J', relative: 1e-2 });
    expect(hit.balance.imbalance).toBeLessThan(1e-5);
  });
});

describe('supply of the radio', () => {
  const circuit = built((b) => {
    const node = b.node('bus');
    const source = addSource(b, 'supply', node, b.reference, 12, 0.01);
    const converter = addConverter(b, 'converter', node, b.reference, { load_W: 5, efficiency: 0.9, output_V: 5, start_V: 7, dropOut_V: 6, holdUp_s: 0.02, runningAtStart: true });
    const receiver = addReceiver(b, 'receiver', converter.railWatch, { brownOut_V: 3.5, recover_V: 4, tolerance_s: 0.01, back_s: 1.5 });
    return { source, converter, receiver };
  });
  const { source, converter, receiver } = circuit.handles;
  const dip = (length_s: number) => runWith(circuit, 5, {}, {
    automata: [converter.automaton, receiver.automaton], script: [setting(1, source.voltage, 4), setting(1 + length_s, source.voltage, 12)],
  });

  it('bears a dip shorter than hold-up and tolerance', () => {
    expect(dip(0.015).notes.map((note) => note.what)).toEqual(['converter drops out']);
    const second = dip(0.025);
    expect(second.notes.map((note) => note.what)).toEqual(['converter drops out', 'converter output goes', 'converter output comes']);
    expect(second.parameters[receiver.losses]).toBe(0);
  });

  it('loses control in a longer one, from the moment it no longer bears it until it has come back', () => {
    const run = dip(0.1);
    expect(timeOf(run, 'receiver loses control')).toBeCloseTo(1.03, 6);
    expect(timeOf(run, 'receiver is back')).toBeCloseTo(2.6, 6);
    expect(run.parameters[receiver.timeWithout]).toBeCloseTo(1.57, 6);
    expect(run.parameters[receiver.losses]).toBe(1);
    expect(run.parameters[receiver.inControl]).toBe(1);
  });

  it('follows the input down behind a linear regulator', () => {
    const linear = built((b) => {
      const node = b.node('bus');
      const supply = addSource(b, 'supply', node, b.reference, 12, 0.01);
      return { supply, regulator: addRegulator(b, 'regulator', node, b.reference, { current_A: 1, output_V: 5, headroom_V: 1 }) };
    });
    const rail = (volts: number): number => runWith(linear, 0.01, { [linear.handles.supply.voltage]: volts }).watched[linear.handles.regulator.railWatch]!;
    expect(rail(12)).toBeCloseTo(5, 2);
    expect(rail(5.01)).toBeCloseTo(4, 2);
    expect(rail(0.5)).toBeLessThan(0.02);
  });
});

describe('fuse', () => {
  const element = fuseElement(30, FUSE_GATES.blade, 'middle');
  const circuit = built((b) => {
    const node = b.node('supply');
    const source = addSource(b, 'supply', node, b.reference, 6, 1e-4);
    const lead = addWire(b, 'lead', node, b.reference, { resistance_ohm: 0.1, reference_C: 20, coefficient_per_K: 0 }, { parts: true, letThrough: true });
    return { source, lead, fuse: addMeltingFuse(b, 'fuse', lead.current, element, (run) => (run.parameters[lead.connected!] = 0)) };
  });
  const { source, lead, fuse } = circuit.handles;
  const voltageFor = (amps: number): number => amps * 0.1001;

  it.each([60, 105, 180])('opens when its element reaches the melting point: %d A', (amps) => {
    const run = runWith(circuit, 100, { [source.voltage]: voltageFor(amps) }, { automata: [fuse.automaton] });
    const at = timeOf(run, 'fuse blows');
    // At that time Σ shareₖ·(1 − e^(−t/τₖ)) is (rating/current)².
    const warmth = element.parts.reduce((sum, part) => sum + part.share * (1 - Math.exp(-at / part.time_s)), 0);
    external({ source: 'response of first-order lags to a step, closed form', what: `element of a 30 A fuse at ${amps} A when it opens`, expected: (30 / amps) ** 2, got: warmth, unit: '1', relative: 1e-5 });
    expect(run.watched[lead.currentWatch]).toBe(0);
    expect(run.unknowns[lead.letThrough!]).toBeCloseTo(amps * amps * at, 2);
  });

  it('remembers the last pulse, and forgets it in a pause', () => {
    const alone = timeOf(runWith(circuit, 100, { [source.voltage]: voltageFor(90) }, { automata: [fuse.automaton] }), 'fuse blows');
    const pulses = (pause_s: number) => {
      const length = 0.9 * alone;
      return timeOf(runWith(circuit, 3 * length + pause_s, { [source.voltage]: voltageFor(90) }, {
        automata: [fuse.automaton], script: [setting(length, source.voltage, 0), setting(length + pause_s, source.voltage, voltageFor(90)), setting(2 * length + pause_s, source.voltage, 0)],
      }), 'fuse blows');
    };
    expect(pulses(0.05)).toBeLessThan(Infinity);
    expect(pulses(120)).toBe(Infinity);
  });
});

describe('held inputs', () => {
  const circuit = driven({});
  const { drive } = circuit.handles;

  it('are held from row to row, again in the next run, and skip rows that change nothing', () => {
    const seen: number[] = [];
    const script = [heldInputs({ time_s: Float64Array.of(0, 0.1, 0.2, 0.3, 0.4), columns: [{ parameter: drive.throttle, values: Float64Array.of(0.1, 0.1, 0.5, 0.5, -0.2) }] })];
    const looks = [0.05, 0.15, 0.25, 0.35, 0.45].map((time) => ({ time, action: (run: { readonly parameters: Float64Array }) => seen.push(run.parameters[drive.throttle]!) }));
    runWith(circuit, 0.5, {}, { script: [...script, ...looks] });
    runWith(circuit, 0.5, {}, { script: [...script, ...looks] });
    expect(seen).toEqual([0.1, 0.1, 0.5, 0.5, -0.2, 0.1, 0.1, 0.5, 0.5, -0.2]);
    expect(() => heldInputs({ time_s: Float64Array.of(0, 0), columns: [] })).toThrow(/rise/);
    expect(() => heldInputs({ time_s: new Float64Array(0), columns: [] })).toThrow(/at least 1/);
  });

  it('reach a speed at a time that an event finds', () => {
    const run = runWith(circuit, 1, { [drive.throttle]: 1 }, { automata: [reaches('fast', drive.motor.speedWatch, 300)] });
    // 100 A · 0.02 N·m/A on 2e-3 kg·m²: 1000 rad/s², once the current has risen.
    external({ source: 'J·ω/(Kt·I), worked by hand', what: '2e-3 kg·m² to 300 rad/s at 100 A, 0.02 N·m/A', expected: 0.3, got: timeOf(run, 'fast'), unit: 's', relative: 0.015 });
  });
});
