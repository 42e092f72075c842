import type { BankHandle } from '../../engine/devices/bank.ts';
import { addDrive, type DriveHandle } from '../../engine/devices/drive.ts';
import type { MotorTerms } from '../../engine/devices/motor.ts';
import { addGround, addWheel, type GroundHandle, type WheelHandle } from '../../engine/devices/wheel.ts';
import type { Expr } from '../../engine/expression.ts';
import type { Binder, FromValues } from '../circuit/binder.ts';
import type { Role } from '../duty/duty.ts';
import type { Machine } from '../machine.ts';
import type { Controller } from '../parts/loads.ts';
import type { Motor } from '../parts/motor.ts';
import type { Current } from './strands.ts';
import type { Warmth } from './warmth.ts';

/** A controller with what it drives; several motors on it are one that is as strong as all of them. */
export interface DriveUnit {
  readonly controller: string;
  readonly motors: readonly string[];
  readonly role: Exclude<Role, 'servos'>;
  readonly drive: DriveHandle;
  /** Which of the model's buses it hangs on. */
  readonly bus: number;
  readonly motorCurrent: Current;
  readonly ground: GroundHandle | undefined;
  readonly wheel: WheelHandle | undefined;
  /** Weight on its wheels, N, and what they grip. */
  readonly weight: FromValues | undefined;
  readonly grip: FromValues | undefined;
  /** Motor current limit, A, and temperatures between which it is folded back. */
  readonly motorLimit: FromValues;
  readonly foldFrom: FromValues;
  readonly foldTo: FromValues;
}

/** What a controller's motors lack, in words; empty when they can be driven. */
export function missingOf(machine: Machine, controller: Controller): string[] {
  return motorsOf(machine, controller).flatMap(({ id, values }) => {
    const lacks: string[] = [];
    if (values.resistance === undefined) lacks.push(`resistance of ${id}`);
    if (values.torqueConstant === undefined && values.speedConstant === undefined) lacks.push(`torque constant or speed constant of ${id}`);
    if (roleOf(values) === 'drive' && machine.mass === undefined) lacks.push('mass of the machine');
    if (values.liftedMass !== undefined && values.liftRadius === undefined) lacks.push(`lift radius of ${id}`);
    return lacks;
  });
}

export function motorsOf(machine: Machine, { values }: Controller): Motor[] {
  return [values.drives, values.alsoDrives].flatMap((id) => {
    const part = id === undefined ? undefined : machine.parts.get(id);
    return part?.kind === 'motor' ? [part] : [];
  });
}

/** What a motor is for. */
export function roleOf(values: Motor['values']): DriveUnit['role'] {
  if (values.wheelDiameter !== undefined) return 'drive';
  if (values.loadInertia !== undefined) return 'weapons';
  return values.liftedMass === undefined ? 'arms' : 'lifters';
}

export class DriveBuilder {
  readonly units: DriveUnit[] = [];

  constructor(
    private readonly machine: Machine,
    private readonly binder: Binder,
    private readonly warmth: Warmth,
    private readonly node: (point: string) => BankHandle,
    /** Highest voltage of its supply, V: sets what a controller without limit lets through. */
    private readonly supply: FromValues,
    /** How many controllers turn wheels. */
    private readonly wheeled: number,
    private readonly busOf: (point: string) => number,
  ) {}

  add(controller: Controller): void {
    const { binder, warmth, machine } = this;
    const motors = motorsOf(machine, controller);
    const [first] = motors;
    if (first === undefined) return;
    const b = binder.system;
    const id = controller.id;
    const own = (field: string): FromValues => binder.value(`${id}.${field}`);
    const role = roleOf(first.values);
    const m = together(binder, motors);
    const names = motors.map((motor) => motor.id);
    const winding = warmth.winding(names[0]!, names.join(', '), {
      winding: total(binder, names, 'windingHeatCapacity'), housing: total(binder, names, 'housingHeatCapacity'),
      rise: parallel(binder, names, 'windingThermalResistance'), housingRise: parallel(binder, names, 'housingThermalResistance'),
      limit: lowest(binder, names, 'windingLimit'),
    }, `${id} motor`);
    const body = warmth.part(id, id, 'controller', { capacity: own('heatCapacity'), rise: own('thermalResistance'), limit: own('foldBackFrom') }, id);
    const { supply } = this;
    const unlimited = controller.values.limitsCurrent === false;
    const motorLimit: FromValues = unlimited ? (v) => (1.2 * supply(v)) / m.resistance(v) : own('motorCurrent');
    const battery = controller.values.batteryCurrent === undefined ? undefined : own('batteryCurrent');
    const returns = controller.values.regeneration !== undefined && controller.values.regeneration.value > 0;
    const braking = role === 'weapons' ? 'none' : (controller.values.braking ?? (returns ? 'regenerate' : 'coast'));
    const returned = returns && braking === 'regenerate' ? own('regeneration') : undefined;
    const [cutOut, restart] = [own('cutOut'), own('restart')];
    const stop: FromValues = (v) => Math.min(cutOut(v), 0.98 * restart(v));
    const trip: FromValues = controller.values.tripVoltage === undefined ? () => NEVER_V : own('tripVoltage');
    const foldFrom = own('foldBackFrom');
    const foldTo: FromValues = (v) => Math.max(own('foldBackEnd')(v), foldFrom(v) + LEAST_FOLD_K);
    const inertia = this.shaftInertia(motors, m.rotor);
    let ground: GroundHandle | undefined;
    let wheel: WheelHandle | undefined;
    const weight = role === 'drive' ? this.weightOn(motors) : undefined;
    const grip = role === 'drive' ? mean(binder, names, 'grip') : undefined;

    const load = (motor: MotorTerms): Expr => {
      if (role === 'lifters') return this.lifted(first, motor);
      if (role !== 'drive' || weight === undefined || grip === undefined) return b.graph.zero;
      const rolling: FromValues = (v) => mean(binder, names, 'rollingResistance')(v) * weight(v);
      const mass: FromValues = (v) => weight(v) / GRAVITY_M_S2;
      ground = addGround(b, `${id} ground`, { mass_kg: binder.nominally(mass), rolling_N: binder.nominally(rolling) });
      binder.bind(ground.mass, mass);
      binder.bind(ground.rolling, rolling);
      const radius: FromValues = (v) => binder.value(`${first.id}.wheelDiameter`)(v) / 2;
      const gearing = gearingOf(binder, first);
      const efficiency = binder.value(`${first.id}.gearEfficiency`);
      wheel = addWheel(b, `${id} wheels`, motor, ground, { gearing: binder.nominally(gearing), radius_m: binder.nominally(radius), load_N: binder.nominally(weight), grip: binder.nominally(grip), efficiency: binder.nominally(efficiency) });
      binder.bind(wheel.gearing, gearing);
      binder.bind(wheel.radius, radius);
      binder.bind(wheel.load, weight);
      binder.bind(wheel.grip, grip);
      binder.bind(wheel.efficiency, efficiency);
      return wheel.torque;
    };
    const nominal = (from: FromValues): number => binder.nominally(from);
    const drive = addDrive(b, id, this.node(`${id}+`).node, b.reference, {
      braking, motorLimit_A: nominal(motorLimit), largestDuty: 1, efficiency: nominal(own('efficiency')),
      ...(battery === undefined ? {} : { batteryLimit_A: nominal(battery) }),
      ...(returned === undefined ? {} : { regenerationLimit_A: nominal(returned) }),
      supervision: { start_V: nominal(restart), stop_V: nominal(stop), overvoltage_V: nominal(trip), resume_V: RESUME * nominal(trip), runningAtStart: true, boot_s: nominal(own('bootTime')) },
      thermal: { lump: body, foldFrom_C: nominal(foldFrom), foldTo_C: nominal(foldTo) },
      motor: {
        winding: { resistance_ohm: nominal(m.resistance), reference_C: 25, coefficient_per_K: COPPER_PER_K }, inductance_H: nominal(m.inductance), torqueConstant_Nm_A: nominal(m.torqueConstant),
        inertia_kgm2: nominal(inertia), viscous_Nms: 0, coulomb_Nm: nominal(m.friction), creep_rad_s: (CREEP * nominal(supply)) / nominal(m.torqueConstant), lump: winding, energyScale_J: 1e4,
      },
      load,
    });
    binder.bind(drive.motorLimit, motorLimit);
    if (battery !== undefined) binder.bind(drive.batteryLimit!, battery);
    if (returned !== undefined) binder.bind(drive.regenerationLimit!, returned);
    binder.bind(drive.efficiency, own('efficiency'));
    const t = drive.thresholds!;
    binder.bind(t.start, restart);
    binder.bind(t.stop, stop);
    binder.bind(t.overvoltage, trip);
    binder.bind(t.resume, (v) => RESUME * trip(v));
    binder.bind(t.boot, own('bootTime'));
    binder.bind(drive.folds!.from, foldFrom);
    binder.bind(drive.folds!.to, foldTo);
    const p = drive.motor.parameters;
    binder.bind(p.resistance, m.resistance);
    binder.bind(p.inductance, m.inductance);
    binder.bind(p.torqueConstant, m.torqueConstant);
    binder.bind(p.inertia, inertia);
    binder.bind(p.coulomb, m.friction);
    const motorCurrent: Current = { key: `${id} motor`, watch: drive.motor.currentWatch, squared: b.quadrature(`${id} motor let-through`, b.graph.square(drive.motor.current), 1e5) };
    this.units.push({ controller: id, motors: names, role, drive, bus: this.busOf(`${id}+`), motorCurrent, ground, wheel, weight, grip, motorLimit, foldFrom, foldTo });
  }

  /** Rotor and weapon on the motor's shaft. */
  private shaftInertia(motors: readonly Motor[], rotor: FromValues): FromValues {
    const [first] = motors;
    if (first?.values.loadInertia === undefined) return rotor;
    const load = this.binder.value(`${first.id}.loadInertia`);
    const gearing = gearingOf(this.binder, first);
    return (v) => rotor(v) + load(v) / gearing(v) ** 2;
  }

  /** Weight on a controller's wheels, N: the stated share, or an equal one. */
  private weightOn(motors: readonly Motor[]): FromValues {
    const mass = this.binder.value('machine.mass');
    const shares = motors.filter((motor) => motor.values.weightShare !== undefined).map((motor) => this.binder.value(`${motor.id}.weightShare`));
    const equal = 1 / Math.max(1, this.wheeled);
    return (v) => GRAVITY_M_S2 * mass(v) * (shares.length === 0 ? equal : Math.min(1, shares.reduce((sum, share) => sum + share(v), 0)));
  }

  /** Torque of a mass on a lever or drum; what it takes going up comes back going down. */
  private lifted(motor: Motor, terms: MotorTerms): Expr {
    const { binder } = this;
    const b = binder.system;
    const [mass, radius, gearing] = [binder.value(`${motor.id}.liftedMass`), binder.value(`${motor.id}.liftRadius`), gearingOf(binder, motor)];
    const torque: FromValues = (v) => (GRAVITY_M_S2 * mass(v) * radius(v)) / gearing(v);
    const parameter = b.parameter(`${motor.id} torque of what it lifts`, binder.nominally(torque));
    binder.bind(parameter.index, torque);
    b.account('load', b.graph.multiply(parameter.value, terms.speed));
    return parameter.value;
  }
}

function gearingOf(binder: Binder, motor: Motor): FromValues {
  return motor.values.gearing === undefined ? () => 1 : binder.value(`${motor.id}.gearing`);
}

/** Motors side by side as one: their currents add, and each gets what its resistance leaves it. */
function together(binder: Binder, motors: readonly Motor[]) {
  const each = motors.map(({ id, values }) => {
    const constant: FromValues = values.torqueConstant !== undefined ? binder.value(`${id}.torqueConstant`) : inverse(binder.value(`${id}.speedConstant`));
    const friction: FromValues = values.noLoadCurrent === undefined ? binder.value(`${id}.frictionTorque`) : product(binder.value(`${id}.noLoadCurrent`), constant);
    return { resistance: binder.value(`${id}.resistance`), inductance: binder.value(`${id}.inductance`), constant, friction, rotor: binder.value(`${id}.rotorInertia`) };
  });
  const conducts: FromValues = (v) => each.reduce((sum, one) => sum + 1 / one.resistance(v), 0);
  return {
    resistance: (v: Float64Array) => 1 / conducts(v),
    inductance: (v: Float64Array) => 1 / each.reduce((sum, one) => sum + 1 / one.inductance(v), 0),
    torqueConstant: (v: Float64Array) => each.reduce((sum, one) => sum + one.constant(v) / one.resistance(v), 0) / conducts(v),
    friction: (v: Float64Array) => each.reduce((sum, one) => sum + one.friction(v), 0),
    rotor: (v: Float64Array) => each.reduce((sum, one) => sum + one.rotor(v), 0),
  };
}

function total(binder: Binder, ids: readonly string[], field: string): FromValues {
  const each = ids.map((id) => binder.value(`${id}.${field}`));
  return (v) => each.reduce((sum, one) => sum + one(v), 0);
}

function parallel(binder: Binder, ids: readonly string[], field: string): FromValues {
  const each = ids.map((id) => binder.value(`${id}.${field}`));
  return (v) => 1 / each.reduce((sum, one) => sum + 1 / one(v), 0);
}

function mean(binder: Binder, ids: readonly string[], field: string): FromValues {
  const all = total(binder, ids, field);
  return (v) => all(v) / ids.length;
}

function lowest(binder: Binder, ids: readonly string[], field: string): FromValues {
  const each = ids.map((id) => binder.value(`${id}.${field}`));
  return (v) => Math.min(...each.map((one) => one(v)));
}

function inverse(of: FromValues): FromValues {
  return (v) => 1 / of(v);
}

function product(x: FromValues, y: FromValues): FromValues {
  return (v) => x(v) * y(v);
}

export const GRAVITY_M_S2 = 9.80665;
/** Relative rise of copper's resistance at 25 °C: 1/(234.5 + 25). */
const COPPER_PER_K = 1 / 259.5;
/** A controller that states no trip voltage never trips. */
const NEVER_V = 1e4;
/** After an over-voltage trip it drives again once the bus is this much lower. Common practice, no source. */
const RESUME = 0.97;
const LEAST_FOLD_K = 3;
/** Share of the no-load speed within which friction turns over. */
const CREEP = 0.01;
