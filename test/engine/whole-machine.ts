import { CELL_CURVES } from '../../src/physics/cell-curves.ts';
import { filmLaw_W_m2K125 } from '../../src/physics/cooling.ts';
import { fuseElement } from '../../src/physics/fuse-element.ts';
import { FUSE_GATES } from '../../src/physics/fuses.ts';
import { COLD_LAW } from '../../src/physics/packs.ts';
import { sampler } from '../../src/quantity/random.ts';
import { addBank } from '../../src/engine/devices/bank.ts';
import { addBattery, stepCurveLaw } from '../../src/engine/devices/battery.ts';
import { addDrive, type DriveHandle } from '../../src/engine/devices/drive.ts';
import { addMeltingFuse } from '../../src/engine/devices/melting-fuse.ts';
import { strike } from '../../src/engine/devices/motor.ts';
import { addConverter, addReceiver } from '../../src/engine/devices/supply.ts';
import { addConduction, addFreeAir, addHeatNode, addSurroundings, type HeatNode } from '../../src/engine/devices/thermal.ts';
import { addGround, addWheel } from '../../src/engine/devices/wheel.ts';
import { addWire } from '../../src/engine/devices/wire.ts';
import { heldInputs } from '../../src/engine/held-inputs.ts';
import { compile } from '../../src/engine/model.ts';
import type { ScheduledAction } from '../../src/engine/simulate.ts';
import { laidOut, type SystemBuilder } from '../../src/engine/system.ts';

/** A made-up 14 kg machine with every device of a match: two driven sides, a spinning weapon, heat in every part. */
export function wholeMachine(kernel: 'generated' | 'interpreted' | 'best' = 'best') {
  return laidOut((b) => machineIn(b, kernel));
}

function machineIn(b: SystemBuilder, kernel: 'generated' | 'interpreted' | 'best') {
  const full_V = 25.1;
  const air = addSurroundings(b, 'air', 25);
  const cable = (name: string, section_mm2: number, length_m: number): { readonly law: { resistance_ohm: number; reference_C: number; coefficient_per_K: number }; readonly lump: HeatNode } => {
    const outer = Math.sqrt((4 * section_mm2 * 1e-6) / (Math.PI * 0.8)) + 2e-3;
    const lump = addHeatNode(b, name, 1.3 * 385 * 8890 * section_mm2 * 1e-6 * length_m, 25);
    addFreeAir(b, `${name} to air`, lump, air, { surface_m2: Math.PI * outer * length_m, film_W_m2K125: filmLaw_W_m2K125(outer, 60, 25), emissivity: 0.9 });
    return { law: { resistance_ohm: (0.01758 * length_m) / section_mm2, reference_C: 20, coefficient_per_K: 0.00393 }, lump };
  };
  const pack = addHeatNode(b, 'pack', 700, 25);
  addConduction(b, 'pack to air', pack, air, 0.2);
  const bus = addBank(b, 'bus', 5e-4, full_V);
  const weaponBank = addBank(b, 'weapon bank', 2e-3, full_V);
  const driveBank = addBank(b, 'drive bank', 1e-3, full_V);
  const battery = addBattery(b, 'pack', bus.node, b.reference, {
    cells: 6, capacity_Ah: 3.3, soc: 1, openCircuit: stepCurveLaw(CELL_CURVES.lipo), resistance_ohm: 0.018,
    slow: [{ resistance_ohm: 0.005, capacitance_F: 400 }, { resistance_ohm: 0.006, capacitance_F: 9000 }], lump: pack, cold: COLD_LAW,
    weakest: { capacityShare: 0.95, resistanceShare: 1.2 }, lead: [{ name: 'main lead', ...cable('main lead', 8.37, 0.4) }],
  });
  const toWeapon = cable('weapon lead', 5.26, 0.5);
  const weaponLead = addWire(b, 'weapon lead', bus.node, weaponBank.node, toWeapon.law, { lump: toWeapon.lump, parts: true });
  const toDrive = cable('drive lead', 3.31, 0.6);
  addWire(b, 'drive lead', bus.node, driveBank.node, toDrive.law, { lump: toDrive.lump });
  const fuse = addMeltingFuse(b, 'weapon fuse', weaponLead.current, fuseElement(60, FUSE_GATES['bolt-in medium'], 'middle'), (run) => (run.parameters[weaponLead.connected!] = 0));
  const converter = addConverter(b, 'converter', bus.node, b.reference, { load_W: 6, efficiency: 0.88, output_V: 5, start_V: 7.5, dropOut_V: 6.5, holdUp_s: 2e-3, runningAtStart: true });
  const supervision = { start_V: 15, stop_V: 12, overvoltage_V: 33, resume_V: 30, runningAtStart: true, boot_s: 1 };
  const parts = (name: string): { readonly winding: HeatNode; readonly case: HeatNode } => {
    const housing = addHeatNode(b, `${name} housing`, 200, 25);
    const made = { winding: addHeatNode(b, `${name} winding`, 40, 25), case: addHeatNode(b, `${name} controller`, 60, 25) };
    addConduction(b, `${name} winding to housing`, made.winding, housing, 1.5);
    addConduction(b, `${name} housing to air`, housing, air, 0.6);
    addConduction(b, `${name} controller to air`, made.case, air, 0.5);
    return made;
  };
  const copper = (resistance_ohm: number) => ({ resistance_ohm, reference_C: 25, coefficient_per_K: 0.00393 });
  const heatOfWeapon = parts('weapon');
  const weapon = addDrive(b, 'weapon', weaponBank.node, b.reference, {
    braking: 'none', motorLimit_A: 120, batteryLimit_A: 80, largestDuty: 1, efficiency: 0.95, supervision, thermal: { lump: heatOfWeapon.case, foldFrom_C: 90, foldTo_C: 110 },
    motor: { winding: copper(0.03), inductance_H: 3e-5, torqueConstant_Nm_A: 0.018, inertia_kgm2: 4e-3, viscous_Nms: 2e-5, coulomb_Nm: 0.05, lump: heatOfWeapon.winding },
  });
  const ground = addGround(b, 'machine', { mass_kg: 14, rolling_N: 3 });
  const side = (name: string): DriveHandle => {
    const hot = parts(name);
    return addDrive(b, name, driveBank.node, b.reference, {
      braking: 'regenerate', motorLimit_A: 60, batteryLimit_A: 40, regenerationLimit_A: 20, largestDuty: 1, efficiency: 0.94, supervision, thermal: { lump: hot.case, foldFrom_C: 90, foldTo_C: 110 },
      motor: { winding: copper(0.08), inductance_H: 5e-5, torqueConstant_Nm_A: 0.012, inertia_kgm2: 3e-5, viscous_Nms: 5e-6, coulomb_Nm: 0.01, creep_rad_s: 20, lump: hot.winding },
      load: (motor) => addWheel(b, `${name} wheels`, motor, ground, { gearing: 12, radius_m: 0.04, load_N: 68, grip: 0.8, efficiency: 0.85 }).torque,
    });
  };
  const left = side('left');
  const right = side('right');
  const receiver = addReceiver(b, 'receiver', converter.railWatch, { brownOut_V: 3.5, recover_V: 4, tolerance_s: 5e-3, back_s: 2 }, (run, obeys) => {
    for (const drive of [weapon, left, right]) run.parameters[drive.enabled!] = obeys ? 1 : 0;
  });
  const model = compile(b.finish(1e4), kernel);
  const automata = [fuse.automaton, converter.automaton, receiver.automaton, ...weapon.automata, ...left.automata, ...right.automata];
  return { model, automata, battery, bus, pack, weapon, left, right, ground, fuse, receiver };
}

/** Throttles at ten a second and a hit every few seconds, from gentle (0) to brutal (1). */
export function dutyOf(machine: ReturnType<typeof wholeMachine>, seed: number, brutality: number, end_s: number): ScheduledAction[] {
  const next = sampler(seed, Math.round(100 * brutality));
  const rows = Math.round(10 * end_s);
  const wander = (): Float64Array => {
    let at = 0;
    return Float64Array.from({ length: rows }, () => (at = Math.max(-1, Math.min(1, 0.9 * at + (0.2 + 0.8 * brutality) * (next() - 0.5)))));
  };
  const columns = [{ parameter: machine.left.throttle, values: wander() }, { parameter: machine.right.throttle, values: wander() }];
  const script: ScheduledAction[] = [
    heldInputs({ time_s: Float64Array.from({ length: rows }, (_, k) => k / 10), columns, kind: 'throttle' }),
    { time: 0.5, kind: 'weapon', action: (run) => (run.parameters[machine.weapon.throttle] = 0.4 + 0.6 * brutality) },
  ];
  for (let time = 5 + 5 * next(); time < end_s; time += 4 + 10 * next()) script.push({ time, kind: 'hit', action: (run) => strike(run, machine.weapon.motor, 0.2 + 0.7 * brutality * next()) });
  return script;
}
