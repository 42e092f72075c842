import { addBank, type BankHandle } from '../../src/engine/devices/bank.ts';
import { addBattery, type BatteryHandle, type OpenCircuitLaw } from '../../src/engine/devices/battery.ts';
import { addDrive, type DriveHandle } from '../../src/engine/devices/drive.ts';
import { strike } from '../../src/engine/devices/motor.ts';
import { addConverter } from '../../src/engine/devices/supply.ts';
import { addConduction, addHeatNode, addSurroundings, type HeatNode } from '../../src/engine/devices/thermal.ts';
import { addWire } from '../../src/engine/devices/wire.ts';
import { heldInputs } from '../../src/engine/held-inputs.ts';
import { compile, type Model } from '../../src/engine/model.ts';
import type { ScheduledAction } from '../../src/engine/simulate.ts';
import { laidOut, type SystemBuilder } from '../../src/engine/system.ts';

interface MotorData {
  readonly Kt: number;
  readonly R: number;
  readonly L: number;
  readonly J: number;
  readonly b: number;
  readonly Tc: number;
  readonly I_mot: number;
}

export interface K3Data {
  readonly pack: {
    readonly ns: number; readonly Q_Ah: number; readonly soc0: number; readonly R0: number; readonly R1: number; readonly C1: number;
    readonly R2: number; readonly C2: number; readonly Cth: number; readonly Rth: number; readonly a: readonly [number, number, number, number, number, number];
  };
  readonly T_amb: number;
  readonly alpha_cu: number;
  readonly cables: readonly { readonly name: string; readonly R25: number; readonly Cth: number; readonly hA: number }[];
  readonly C_bus: number;
  readonly C_weapon: number;
  readonly C_drive: number;
  readonly P_dcdc: number;
  readonly eta: number;
  readonly weapon: MotorData & { readonly I_bat: number; readonly duty: number };
  readonly drive: MotorData;
  readonly hits: readonly number[];
  readonly hit_energy_loss: number;
  readonly t_end: number;
  readonly duty_dt: number;
  readonly duty_left: readonly number[];
  readonly duty_right: readonly number[];
  readonly t_speed: readonly number[];
  readonly initial: { readonly v: number } & Record<string, number>;
}

export interface K3Circuit {
  readonly model: Model;
  readonly initial: Float64Array;
  readonly script: readonly ScheduledAction[];
  readonly battery: BatteryHandle;
  readonly bus: BankHandle;
  readonly pack: HeatNode;
  readonly cables: readonly HeatNode[];
  readonly weapon: DriveHandle;
  readonly left: DriveHandle;
  readonly right: DriveHandle;
}

/**
 * K3, a three-minute match, from the engine's own devices. Only the cell's open-circuit formula is the reference's own;
 * its cooling is a conductance, which the product replaces by convection and radiation.
 */
export function k3(data: K3Data, kernel: 'generated' | 'interpreted' | 'best' = 'best'): K3Circuit {
  return laidOut((b) => k3In(b, data, kernel));
}

function k3In(b: SystemBuilder, data: K3Data, kernel: 'generated' | 'interpreted' | 'best'): K3Circuit {
  const { pack: p } = data;
  const ambient = addSurroundings(b, 'air', data.T_amb);
  const lump = (name: string, capacity: number, conductance: number): HeatNode => {
    const made = addHeatNode(b, name, capacity, data.T_amb);
    addConduction(b, `${name} to air`, made, ambient, conductance);
    return made;
  };
  const pack = lump('pack', p.Cth, 1 / p.Rth);
  const cables = data.cables.map((cable) => lump(cable.name, cable.Cth, cable.hA));
  const at = startVoltage(data);
  const copper = (k: number) => ({ resistance_ohm: data.cables[k]!.R25, reference_C: 25, coefficient_per_K: data.alpha_cu });
  const bus = addBank(b, 'bus', data.C_bus, at);
  const weaponBank = addBank(b, 'weapon bank', data.C_weapon, at);
  const driveBank = addBank(b, 'drive bank', data.C_drive, at);
  const battery = addBattery(b, 'pack', bus.node, b.reference, {
    cells: p.ns, capacity_Ah: p.Q_Ah, soc: p.soc0, openCircuit: formula(p.a), resistance_ohm: p.R0,
    slow: [{ resistance_ohm: p.R1, capacitance_F: p.C1 }, { resistance_ohm: p.R2, capacitance_F: p.C2 }],
    lump: pack,
    lead: [{ name: data.cables[0]!.name, law: copper(0), lump: cables[0]! }],
  });
  [weaponBank, driveBank].forEach((bank, k) => addWire(b, data.cables[k + 1]!.name, bus.node, bank.node, copper(k + 1), { lump: cables[k + 1]! }));
  addConverter(b, 'converter', bus.node, b.reference, { load_W: data.P_dcdc, efficiency: 1, output_V: 5, start_V: 2, dropOut_V: 1, holdUp_s: 0, runningAtStart: true });
  const motor = (m: MotorData) => ({
    winding: { resistance_ohm: m.R, reference_C: 25, coefficient_per_K: data.alpha_cu },
    inductance_H: m.L, torqueConstant_Nm_A: m.Kt, inertia_kgm2: m.J, viscous_Nms: m.b, coulomb_Nm: m.Tc,
  });
  const weapon = addDrive(b, 'weapon', weaponBank.node, b.reference, {
    braking: 'none', motorLimit_A: data.weapon.I_mot, batteryLimit_A: data.weapon.I_bat, largestDuty: data.weapon.duty, efficiency: data.eta, motor: motor(data.weapon),
  });
  const side = (name: string): DriveHandle =>
    addDrive(b, name, driveBank.node, b.reference, { braking: 'regenerate', motorLimit_A: data.drive.I_mot, largestDuty: 1, efficiency: data.eta, motor: motor(data.drive) });
  const left = side('left');
  const right = side('right');
  const model = compile(b.finish(1e4), kernel);
  const times = Float64Array.from(data.duty_left, (_, k) => k * data.duty_dt);
  const script: ScheduledAction[] = [
    heldInputs({
      time_s: times,
      columns: [
        { parameter: left.throttle, values: Float64Array.from(data.duty_left) },
        { parameter: right.throttle, values: Float64Array.from(data.duty_right) },
      ],
      kind: 'throttle',
    }),
    { time: 0, action: (run) => (run.parameters[weapon.throttle] = 1) },
    ...data.hits.map((time): ScheduledAction => ({ time, kind: 'hit', action: (run) => strike(run, weapon.motor, data.hit_energy_loss) })),
  ];
  const initial = Float64Array.from(model.system.unknowns, (unknown) => unknown.initial);
  return { model, initial, script, battery, bus, pack, cables, weapon, left, right };
}

function formula(a: K3Data['pack']['a']): OpenCircuitLaw {
  return (g, s) => {
    const decay = g.multiply(g.constant(a[1]), g.exp(g.multiply(g.constant(-a[2]), s)));
    const cubic = g.multiply(s, g.add(g.constant(a[3]), g.multiply(s, g.add(g.constant(a[4]), g.multiply(g.constant(a[5]), s)))));
    return g.add(g.add(g.constant(a[0]), decay), cubic);
  };
}

/** The reference starts at the open-circuit voltage, at rest. */
function startVoltage({ pack: { ns, soc0: s, a } }: K3Data): number {
  return ns * (a[0] + a[1] * Math.exp(-a[2] * s) + a[3] * s + a[4] * s * s + a[5] * s ** 3);
}
