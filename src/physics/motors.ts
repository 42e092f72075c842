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
