import { requireNotNegative, requirePositive } from './domain.ts';

const RPM_PER_RAD_S = 60 / (2 * Math.PI);

/** Torque constant from the label's speed constant, N·m/A: Kt = 60/(2π·Kv), Kv in rpm/V. In SI it is the back-EMF constant too. */
export function torqueConstant_Nm_A(kv_rpm_V: number): number {
  requirePositive(kv_rpm_V, 'kv_rpm_V', 'rpm/V');
  return RPM_PER_RAD_S / kv_rpm_V;
}

/** Speed constant from the torque constant, rpm/V. */
export function speedConstant_rpm_V(torqueConstant: number): number {
  requirePositive(torqueConstant, 'torqueConstant', 'N·m/A');
  return RPM_PER_RAD_S / torqueConstant;
}

/** A direct-current motor and what it turns, all on the motor's shaft. */
export interface Drive {
  readonly resistance_ohm: number;
  readonly torqueConstant_Nm_A: number;
  readonly inertia_kgm2: number;
}

/** Current at a speed from a stiff voltage, A: (V − Kt·ω)/R; at rest the stall current. Negative above no-load speed. */
export function motorCurrent_A(voltage_V: number, resistance_ohm: number, backEmf_V: number): number {
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  const current = (voltage_V - backEmf_V) / resistance_ohm;
  if (Number.isNaN(current)) throw new RangeError(`voltage_V: expected numbers, got ${voltage_V} and ${backEmf_V}`);
  return current;
}

/** Energy of a spinning mass, J: ½Jω². */
export function kineticEnergy_J(inertia_kgm2: number, speed_rad_s: number): number {
  requireNotNegative(inertia_kgm2, 'inertia_kgm2', 'kg·m²');
  return 0.5 * inertia_kgm2 * speed_rad_s * speed_rad_s;
}

/** Time to a speed at constant motor current without drag, s: J·ω/(Kt·I). */
export function constantCurrentSpinUp_s(
  inertia_kgm2: number,
  speed_rad_s: number,
  torqueConstant: number,
  current_A: number,
): number {
  requirePositive(inertia_kgm2, 'inertia_kgm2', 'kg·m²');
  requireNotNegative(speed_rad_s, 'speed_rad_s', 'rad/s');
  requirePositive(torqueConstant, 'torqueConstant', 'N·m/A');
  requirePositive(current_A, 'current_A', 'A');
  return (inertia_kgm2 * speed_rad_s) / (torqueConstant * current_A);
}

/** Mechanical time constant of a spin-up from a stiff voltage, s: J·R/Kt². */
export function spinUpConstant_s({ resistance_ohm, torqueConstant_Nm_A: Kt, inertia_kgm2 }: Drive): number {
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  requirePositive(Kt, 'torqueConstant_Nm_A', 'N·m/A');
  requirePositive(inertia_kgm2, 'inertia_kgm2', 'kg·m²');
  return (inertia_kgm2 * resistance_ohm) / (Kt * Kt);
}

/** Where a spin-up from rest on a stiff voltage stands. */
export interface SpinUpPoint {
  readonly speed_rad_s: number;
  readonly current_A: number;
  /** Lost in the resistance so far; at the end it equals the stored energy. */
  readonly copperHeat_J: number;
}

/** Speed, current and heat at a time of a spin-up without drag: ω = (V/Kt)(1 − e^(−t/τ)), ∫i²R dt = ½V²(τ/R)(1 − e^(−2t/τ)). */
export function spinUpAt(drive: Drive, voltage_V: number, time_s: number): SpinUpPoint {
  const tau = spinUpConstant_s(drive);
  requirePositive(voltage_V, 'voltage_V', 'V');
  requireNotNegative(time_s, 'time_s', 's');
  const { resistance_ohm, torqueConstant_Nm_A: Kt } = drive;
  return {
    speed_rad_s: (-voltage_V / Kt) * Math.expm1(-time_s / tau),
    current_A: (voltage_V / resistance_ohm) * Math.exp(-time_s / tau),
    copperHeat_J: ((-voltage_V * voltage_V * tau) / (2 * resistance_ohm)) * Math.expm1((-2 * time_s) / tau),
  };
}

/** A direct-current motor on a stiff voltage, with friction that does not depend on speed. */
export interface MotorOnVoltage {
  readonly voltage_V: number;
  readonly resistance_ohm: number;
  readonly torqueConstant_Nm_A: number;
  /** Current that turns the unloaded motor, A. */
  readonly noLoadCurrent_A: number;
}

/** What a datasheet prints of a motor. */
export interface MotorPoints {
  readonly stallCurrent_A: number;
  /** Torque at the shaft when stalled, friction taken off, N·m. */
  readonly stallTorque_Nm: number;
  readonly noLoadSpeed_rad_s: number;
  /** Largest power at the shaft, W, at half the no-load speed. */
  readonly mostPower_W: number;
  /** Largest share of electrical power that reaches the shaft: (1 − √(I₀/Is))². */
  readonly bestEfficiency: number;
  /** Current at which it does: √(I₀·Is). */
  readonly bestCurrent_A: number;
}

/**
 * Stall, no-load, greatest power and best efficiency. Speed falls in a straight line from no load to stall:
 * ω = (V − R·I)/Kt, shaft torque Kt·(I − I₀).
 * @throws RangeError when a value is not above zero or the no-load current not below the stall current (NaN included)
 */
export function motorPoints({ voltage_V, resistance_ohm, torqueConstant_Nm_A: Kt, noLoadCurrent_A }: MotorOnVoltage): MotorPoints {
  requirePositive(voltage_V, 'voltage_V', 'V');
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  requirePositive(Kt, 'torqueConstant_Nm_A', 'N·m/A');
  requireNotNegative(noLoadCurrent_A, 'noLoadCurrent_A', 'A');
  const stall = voltage_V / resistance_ohm;
  if (!(noLoadCurrent_A < stall)) throw new RangeError(`noLoadCurrent_A: expected below the stall current, ${stall} A, got ${noLoadCurrent_A}`);
  const noLoadSpeed = (voltage_V - resistance_ohm * noLoadCurrent_A) / Kt;
  const stallTorque = Kt * (stall - noLoadCurrent_A);
  return {
    stallCurrent_A: stall,
    stallTorque_Nm: stallTorque,
    noLoadSpeed_rad_s: noLoadSpeed,
    mostPower_W: (stallTorque * noLoadSpeed) / 4,
    bestEfficiency: (1 - Math.sqrt(noLoadCurrent_A / stall)) ** 2,
    bestCurrent_A: Math.sqrt(noLoadCurrent_A * stall),
  };
}

/** Inertia that a load shows to the motor behind a gear, kg·m²: J/N². */
export function reflectedInertia_kgm2(inertia_kgm2: number, gearing: number): number {
  requireNotNegative(inertia_kgm2, 'inertia_kgm2', 'kg·m²');
  requirePositive(gearing, 'gearing', '');
  return inertia_kgm2 / (gearing * gearing);
}
