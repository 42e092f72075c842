import { describe, expect, it } from 'vitest';
import { FUSE_GATES } from '../../src/physics/fuses.ts';
import { fuseElement } from '../../src/physics/fuse-element.ts';
import { sampler } from '../../src/quantity/random.ts';
import { addBank } from '../../src/engine/devices/bank.ts';
import { addDrive } from '../../src/engine/devices/drive.ts';
import { addMeltingFuse } from '../../src/engine/devices/melting-fuse.ts';
import { addBareMotor } from '../../src/engine/devices/motor.ts';
import { addSource } from '../../src/engine/devices/source.ts';
import { addConverter, addReceiver } from '../../src/engine/devices/supply.ts';
import { addConduction, addFreeAir, addHeatNode, addSurroundings } from '../../src/engine/devices/thermal.ts';
import { addGround, addWheel } from '../../src/engine/devices/wheel.ts';
import { addWire } from '../../src/engine/devices/wire.ts';
import { addFixedCurrent, addPlainBattery, built, plainMotor, runWith, setting, timeOf } from './match-circuits.ts';

const SEED = 20261125;
const DRAWS = 12;

/** Draws of one law: `between` is even, `decades` even over decades; the same for every machine. */
function draws(law: number): { readonly between: (low: number, high: number) => number; readonly decades: (low: number, high: number) => number }[] {
  return Array.from({ length: DRAWS }, (_, k) => {
    const next = sampler(SEED, 1000 * law + k);
    return { between: (low, high) => low + next() * (high - low), decades: (low, high) => low * (high / low) ** next() };
  });
}

/** A difference this small is the integrator's: tolerance 1e-6, error up to ten of it. */
const SLACK = 2e-5;
const notMore = (a: number, b: number): void => expect(a).toBeLessThanOrEqual(b + SLACK * Math.max(1, Math.abs(b)));

describe(`laws of devices, seed ${SEED}`, () => {
  const loaded = built((b) => {
    const bus = b.node('bus');
    const lump = addHeatNode(b, 'pack', 400, 25);
    const battery = addPlainBattery(b, bus, { slow: [{ resistance_ohm: 0.01, capacitance_F: 500 }] });
    const load = addFixedCurrent(b, 'load', bus, 0);
    return { battery, load, lump };
  });

  it('for a fixed current more source resistance never raises the bus', () => {
    // The charge taken is the same, so is the rest voltage; the drop R·i only grows with R.
    const { battery, load } = loaded.handles;
    for (const draw of draws(1)) {
      const amps = draw.between(5, 120);
      const less = draw.decades(1e-3, 0.05);
      const at = (ohms: number): number =>
        runWith(loaded, 30, { [load]: amps, [battery.resistance]: ohms }, { peaks: [{ of: { watch: battery.terminalWatch }, sign: -1, from_s: 0.1, until_s: 30 }] }).peaks[0]!.value;
      notMore(at(less * draw.between(1.05, 3)), at(less));
    }
  });

  it('more capacity never ends emptier', () => {
    // s' = −i/(3600 Q) with the same i.
    const { battery, load } = loaded.handles;
    for (const draw of draws(2)) {
      const amps = draw.between(5, 120);
      const less = draw.between(1, 6);
      const at = (Ah: number): number => runWith(loaded, 60, { [load]: amps, [battery.capacity]: Ah }).unknowns[battery.soc]!;
      notMore(at(less), at(less * draw.between(1.02, 3)));
    }
  });

  it('for a fixed current a colder pack never stands higher', () => {
    // T' depends on T alone, so two starting temperatures stay in order; the resistance falls with T.
    const circuit = built((b) => {
      const bus = b.node('bus');
      const lump = addHeatNode(b, 'pack', 400, 25);
      const battery = addPlainBattery(b, bus, { lump, cold: { floor: 0.6419, rise: 1.5581, decay_K: 17 } });
      return { battery, lump, load: addFixedCurrent(b, 'load', bus, 0) };
    });
    const { battery, lump, load } = circuit.handles;
    for (const draw of draws(3)) {
      const amps = draw.between(5, 80);
      const cold = draw.between(-5, 30);
      const at = (start: number): number => {
        const initial = Float64Array.from(circuit.model.system.unknowns, (unknown) => unknown.initial);
        initial[lump.unknown] = start;
        return runWith(circuit, 40, { [load]: amps }, { initial }).watched[battery.terminalWatch]!;
      };
      notMore(at(cold), at(cold + draw.between(1, 20)));
    }
  });

  const wire = built((b) => {
    const air = addSurroundings(b, 'air', 25);
    const lump = addHeatNode(b, 'wire', 1, 25);
    const cooling = addFreeAir(b, 'wire to air', lump, air, { surface_m2: 1, film_W_m2K125: 5, emissivity: 0.9 });
    const near = b.node('near');
    const far = b.node('far');
    addSource(b, 'supply', near, b.reference, 20, 1e-3);
    const made = addWire(b, 'wire', near, far, { resistance_ohm: 1, reference_C: 20, coefficient_per_K: 0.00393 }, { lump });
    return { air, lump, cooling, made, load: addFixedCurrent(b, 'load', far, 0) };
  });
  /** Temperature of a metre of bare copper of a section after a time. */
  const warmed = (section_mm2: number, amps: number, time_s: number, air_C = 25, film = 5): number => {
    const { air, lump, cooling, made, load } = wire.handles;
    const diameter = Math.sqrt((4 * section_mm2 * 1e-6) / Math.PI);
    const initial = Float64Array.from(wire.model.system.unknowns, (unknown) => unknown.initial);
    return runWith(wire, time_s, {
      [made.resistance]: 0.017241 / section_mm2, [lump.parameter]: 385 * 8890 * section_mm2 * 1e-6, [cooling.surface]: Math.PI * diameter,
      [cooling.film]: film, [air.parameter]: air_C, [load]: amps,
    }, { initial }).unknowns[lump.unknown]!;
  };

  it('for a fixed current thicker wire is never hotter', () => {
    // Heat in falls as 1/S, capacity and surface rise: T' is smaller at every T, and a scalar equation keeps that order.
    for (const draw of draws(4)) {
      const thin = draw.between(1.5, 10);
      const amps = draw.between(5, 12) * thin;
      const time = draw.decades(1, 300);
      notMore(warmed(thin * draw.between(1.05, 2), amps, time), warmed(thin, amps, time));
    }
  });

  it('for a fixed current warmer air, or less of a film, never leaves a wire cooler', () => {
    // Both lower what leaves at every T above the air.
    for (const draw of draws(5)) {
      const section = draw.between(1.5, 10);
      const amps = draw.between(5, 12) * section;
      const time = draw.decades(1, 300);
      const air = draw.between(0, 24);
      notMore(warmed(section, amps, time, air, 5), warmed(section, amps, time, 25, 5));
      notMore(warmed(section, amps, time, 25, draw.between(5, 15)), warmed(section, amps, time, 25, 5));
    }
  });

  it('a lump that conducts better to colder surroundings is never hotter', () => {
    // Same argument with a conductance.
    const circuit = built((b) => {
      const air = addSurroundings(b, 'air', 20);
      const lump = addHeatNode(b, 'case', 50, 20);
      const path = addConduction(b, 'case to air', lump, air, 1);
      const node = b.node('node');
      addSource(b, 'supply', node, b.reference, 10, 1e-3);
      const made = addWire(b, 'resistor', node, b.reference, { resistance_ohm: 5, reference_C: 20, coefficient_per_K: 0.001 }, { lump });
      return { lump, path, made };
    });
    const { lump, path, made } = circuit.handles;
    for (const draw of draws(6)) {
      const ohms = draw.between(1, 10);
      const worse = draw.decades(0.05, 2);
      const at = (conductance: number): number => runWith(circuit, 200, { [made.resistance]: ohms, [path]: conductance }).unknowns[lump.unknown]!;
      notMore(at(worse * draw.between(1.05, 4)), at(worse));
    }
  });

  it('more inertia never spins up sooner', () => {
    // Overdamped (4·L·Kt² < J·R²): ω rises monotonously to V/Kt with both time constants growing with J or their sum fixed.
    const circuit = built((b) => {
      const node = b.node('supply');
      const source = addSource(b, 'supply', node, b.reference, 24, 1e-4);
      return { source, motor: addBareMotor(b, 'motor', node, b.reference, plainMotor()) };
    });
    const { source, motor } = circuit.handles;
    for (const draw of draws(7)) {
      const light = draw.decades(5e-4, 5e-2);
      const values = { [source.voltage]: draw.between(10, 50), [motor.parameters.torqueConstant]: draw.between(0.008, 0.025), [motor.parameters.viscous]: draw.between(0, 1e-4) };
      const time = draw.decades(0.05, 3);
      const at = (inertia: number): number => runWith(circuit, time, { ...values, [motor.parameters.inertia]: inertia }).unknowns[motor.speedUnknown]!;
      notMore(at(light * draw.between(1.05, 3)), at(light));
    }
  });

  const spinning = built((b) => {
    const bank = addBank(b, 'bank', 2e-3, 24);
    const source = addSource(b, 'supply', bank.node, b.reference, 24, 0.02);
    const drive = addDrive(b, 'drive', bank.node, b.reference, { braking: 'none', motorLimit_A: 150, batteryLimit_A: 60, largestDuty: 1, efficiency: 0.95, motor: plainMotor({ coulomb_Nm: 0.02 }) });
    return { bank, source, drive };
  });
  const spun = (values: Readonly<Record<number, number>>) => {
    const { drive, bank } = spinning.handles;
    const run = runWith(spinning, 1, { [drive.throttle]: 1, ...values }, {
      peaks: [{ of: { watch: drive.busCurrentWatch }, sign: 1, from_s: 0, until_s: 1 }, { of: { unknown: bank.voltage }, sign: -1, from_s: 0, until_s: 1 }],
    });
    return { peak_A: run.peaks[0]!.value, lowest_V: run.peaks[1]!.value, speed: run.unknowns[drive.motor.speedUnknown]! };
  };

  it('a lower battery-current limit never gives a higher peak from the bus, a lower bus or a faster spin-up', () => {
    // It caps the bus current at every moment; less power at every speed is less speed at every time.
    const { drive } = spinning.handles;
    for (const draw of draws(8)) {
      const low = draw.between(10, 60);
      const less = spun({ [drive.batteryLimit!]: low });
      const more = spun({ [drive.batteryLimit!]: low * draw.between(1.1, 2.5) });
      // Peaks are sampled on the dense output: allow a tenth of a per cent.
      expect(less.peak_A).toBeLessThanOrEqual(more.peak_A * 1.001);
      expect(less.lowest_V).toBeGreaterThanOrEqual(more.lowest_V * 0.999);
      notMore(less.speed, more.speed);
    }
  });

  it('a lower motor-current limit never spins up sooner', () => {
    // Torque at every speed is not more.
    const { drive } = spinning.handles;
    for (const draw of draws(9)) {
      const low = draw.between(10, 120);
      notMore(spun({ [drive.motorLimit]: low }).speed, spun({ [drive.motorLimit]: low * draw.between(1.05, 2) }).speed);
    }
  });

  it('a heavier machine is never faster over the floor', () => {
    // Wheel and machine pull each other along (a cooperative system): less acceleration at every state keeps both behind.
    const circuit = built((b) => {
      const node = b.node('supply');
      addSource(b, 'supply', node, b.reference, 24, 1e-3);
      const ground = addGround(b, 'machine', { mass_kg: 10, rolling_N: 2 });
      const drive = addDrive(b, 'drive', node, b.reference, {
        braking: 'regenerate', motorLimit_A: 60, largestDuty: 1, efficiency: 0.95, motor: plainMotor({ inertia_kgm2: 2e-4 }),
        load: (motor) => addWheel(b, 'wheel', motor, ground, { gearing: 6, radius_m: 0.05, load_N: 100, grip: 0.7, efficiency: 0.9 }).torque,
      });
      return { ground, drive };
    });
    const { ground, drive } = circuit.handles;
    for (const draw of draws(10)) {
      const light = draw.between(2, 60);
      const time = draw.between(0.2, 1.5);
      const at = (mass: number): number => runWith(circuit, time, { [drive.throttle]: 1, [ground.mass]: mass }).unknowns[ground.speedUnknown]!;
      notMore(at(light * draw.between(1.05, 3)), at(light));
    }
  });

  it('more current never lets a fuse last longer, a larger rating never less long', () => {
    // Its warmth is linear in (i/rating)² with weights above zero.
    const circuit = built((b) => {
      const node = b.node('supply');
      const source = addSource(b, 'supply', node, b.reference, 10, 1e-4);
      const lead = addWire(b, 'lead', node, b.reference, { resistance_ohm: 0.0999, reference_C: 20, coefficient_per_K: 0 }, { parts: true });
      return { source, lead, fuse: addMeltingFuse(b, 'fuse', lead.current, fuseElement(20, FUSE_GATES.blade, 'middle'), (run) => (run.parameters[lead.connected!] = 0)) };
    });
    const { source, fuse } = circuit.handles;
    for (const draw of draws(11)) {
      const amps = draw.between(28, 150);
      const at = (current: number, rating: number): number => Math.min(1e3, timeOf(runWith(circuit, 100, { [source.voltage]: current * 0.1, [fuse.rating]: rating }, { automata: [fuse.automaton] }), 'fuse blows'));
      const here = at(amps, 20);
      notMore(at(amps * draw.between(1.02, 2), 20), here);
      notMore(here, at(amps, 20 * draw.between(1.02, 2)));
    }
  });

  it('longer hold-up, or a receiver that bears more, never leaves a machine longer without control', () => {
    // The rail goes later, or not at all, and comes back at the same time.
    const circuit = built((b) => {
      const node = b.node('bus');
      const source = addSource(b, 'supply', node, b.reference, 12, 0.01);
      const converter = addConverter(b, 'converter', node, b.reference, { load_W: 5, efficiency: 0.9, output_V: 5, start_V: 7, dropOut_V: 6, holdUp_s: 0.01, runningAtStart: true });
      return { source, converter, receiver: addReceiver(b, 'receiver', converter.railWatch, { brownOut_V: 3.5, recover_V: 4, tolerance_s: 0.01, back_s: 0.5 }) };
    });
    const { source, converter, receiver } = circuit.handles;
    for (const draw of draws(12)) {
      const dips = Array.from({ length: 5 }, (_, k) => [1 + 2 * k, draw.decades(0.003, 0.3)] as const);
      const script = dips.flatMap(([at, length]) => [setting(at, source.voltage, 4), setting(at + length, source.voltage, 12)]);
      const without = (values: Readonly<Record<number, number>>): number => runWith(circuit, 12, values, { automata: [converter.automaton, receiver.automaton], script }).parameters[receiver.timeWithout]!;
      const hold = draw.decades(1e-3, 0.05);
      const bears = draw.decades(1e-3, 0.05);
      const here = without({ [converter.holdUp]: hold, [receiver.tolerance]: bears });
      notMore(without({ [converter.holdUp]: hold * draw.between(1.1, 4), [receiver.tolerance]: bears }), here);
      notMore(without({ [converter.holdUp]: hold, [receiver.tolerance]: bears * draw.between(1.1, 4) }), here);
    }
  });
});
