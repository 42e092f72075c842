import { requireNotNegative, requirePositive } from './domain.ts';
import { wrightOmega } from './lambert.ts';

// ── A capacitor charged through a resistor ──

/**
 * Time for a capacitor to cover a fraction of the step, s: RC · ln(1/(1 − p)).
 * @throws RangeError when the fraction is not in 0 to below 1
 */
export function chargeTime_s(resistance_ohm: number, capacitance_F: number, fraction: number): number {
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  if (!(fraction >= 0 && fraction < 1)) throw new RangeError(`fraction: expected 0 to below 1, got ${fraction}`);
  return -resistance_ohm * capacitance_F * Math.log1p(-fraction);
}

/** A charge through a resistor while something already draws current, and a bleed resistor, if any, stands across. */
export interface LoadedCharge {
  readonly source_V: number;
  readonly resistance_ohm: number;
  readonly load_A: number;
  /** Across the capacitor; Infinity for none. */
  readonly bleed_ohm: number;
}

/** Voltage at which a loaded charge ends, V: (V − I·R) · R_b/(R + R_b). Below zero: the load never gets its current. */
export function chargeEnd_V({ source_V, resistance_ohm, load_A, bleed_ohm }: LoadedCharge): number {
  requirePositive(source_V, 'source_V', 'V');
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  requireNotNegative(load_A, 'load_A', 'A');
  if (!(bleed_ohm > 0)) throw new RangeError(`bleed_ohm: expected above 0 Ω, got ${bleed_ohm}`);
  return (source_V - load_A * resistance_ohm) / (1 + resistance_ohm / bleed_ohm);
}

/** Time from one voltage to another in a loaded charge, s; Infinity when the end voltage comes first. */
export function loadedChargeTime_s(charge: LoadedCharge, capacitance_F: number, from_V: number, to_V: number): number {
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  requireNotNegative(from_V, 'from_V', 'V');
  if (!(to_V >= from_V)) throw new RangeError(`to_V: expected at least ${from_V} V, got ${to_V}`);
  const end = chargeEnd_V(charge);
  if (to_V === from_V) return 0;
  if (!(to_V < end)) return Infinity;
  const parallel = charge.resistance_ohm / (1 + charge.resistance_ohm / charge.bleed_ohm);
  return parallel * capacitance_F * Math.log((end - from_V) / (end - to_V));
}

/** Heat in whatever lies between a stiff source and a capacitor charged across a step, J: ½C·ΔV², for any resistance. */
export function chargeLoss_J(capacitance_F: number, step_V: number): number {
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  return 0.5 * capacitance_F * step_V * step_V;
}

/** ∫i² dt of a capacitor charged across a step through a resistance, A²·s: ΔV²·C/(2R), with or without inductance. */
export function chargeLetThrough_A2s(resistance_ohm: number, capacitance_F: number, step_V: number): number {
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  return chargeLoss_J(capacitance_F, step_V) / resistance_ohm;
}

// ── Two charged capacitors, or two packs, joined ──

/** What happens when two stores at unequal voltage are joined through a resistance. */
export interface Joined {
  /** First current, from the first into the second, A: (V₁ − V₂)/R. */
  readonly current_A: number;
  readonly timeConstant_s: number;
  readonly end_V: number;
  readonly charge_C: number;
  readonly heat_J: number;
}

/**
 * Joins two capacitors through a resistance. A pack counts as a large one: charge over open-circuit swing, C = Q/(dV/dz),
 * behind its own resistance; add both packs' resistances to the leads'.
 * @throws RangeError when a capacitance or the resistance is not above zero
 */
export function join(first_V: number, first_F: number, second_V: number, second_F: number, resistance_ohm: number): Joined {
  requirePositive(first_F, 'first_F', 'F');
  requirePositive(second_F, 'second_F', 'F');
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  const series_F = (first_F * second_F) / (first_F + second_F);
  const step_V = first_V - second_V;
  return {
    current_A: step_V / resistance_ohm,
    timeConstant_s: resistance_ohm * series_F,
    end_V: (first_F * first_V + second_F * second_V) / (first_F + second_F),
    charge_C: series_F * step_V,
    heat_J: 0.5 * series_F * step_V * step_V,
  };
}

/** A resistor with a capacitor across it: one time scale of a pack's sag. */
export interface RcPair {
  readonly resistance_ohm: number;
  readonly capacitance_F: number;
}

/** Sag of a pack under a constant current from rest, V: I · ( R₀ + Σ R·(1 − e^(−t/RC)) ). */
export function packSag_V(current_A: number, time_s: number, series_ohm: number, pairs: readonly RcPair[]): number {
  requireNotNegative(time_s, 'time_s', 's');
  requireNotNegative(series_ohm, 'series_ohm', 'Ω');
  let effective_ohm = series_ohm;
  for (const { resistance_ohm, capacitance_F } of pairs) {
    effective_ohm -= resistance_ohm * Math.expm1(-time_s / (resistance_ohm * capacitance_F));
  }
  return current_A * effective_ohm;
}

// ── A step on a resistor, inductor and capacitor in series ──

/** A source stepped onto R, L and C in series; `step_V` is the source less the capacitor's first voltage. */
export interface SeriesStep {
  readonly step_V: number;
  readonly resistance_ohm: number;
  readonly inductance_H: number;
  readonly capacitance_F: number;
}

export interface SeriesStepAnswer {
  /** ζ = (R/2)·√(C/L): below 1 it rings. */
  readonly damping: number;
  /** ω₀ = 1/√(LC), rad/s. */
  readonly naturalRate_rad_s: number;
  readonly peakCurrent_A: number;
  readonly peakTime_s: number;
  /** Share of the step by which the capacitor passes the source; 0 from ζ = 1 up. */
  readonly overshoot: number;
  /** ∫i² dt, A²·s; Infinity without resistance. */
  readonly letThrough_A2s: number;
}

/**
 * Peak current, its time and the capacitor's overshoot, for any damping. One form serves all three cases:
 *     I_pk = (V/Z₀) · e^(−ζ·g),  t_pk = g/ω₀,  g = acos ζ/√(1 − ζ²), 1 at ζ = 1, acosh ζ/√(ζ² − 1) above
 * @throws RangeError when L or C is not above zero or R is negative
 * @see Nilsson and Riedel, Electric Circuits, ch. 8, for the three waveforms it follows from
 */
export function seriesStep(circuit: SeriesStep): SeriesStepAnswer {
  const { step_V, resistance_ohm, inductance_H, capacitance_F } = checkedStep(circuit);
  const rate = 1 / Math.sqrt(inductance_H * capacitance_F);
  const zeta = (resistance_ohm / 2) * Math.sqrt(capacitance_F / inductance_H);
  const off = Math.sqrt(Math.abs((1 - zeta) * (1 + zeta)));
  const g = off === 0 ? 1 : (zeta < 1 ? Math.acos(zeta) : Math.acosh(zeta)) / off;
  return {
    damping: zeta,
    naturalRate_rad_s: rate,
    peakCurrent_A: step_V * Math.sqrt(capacitance_F / inductance_H) * Math.exp(-zeta * g),
    peakTime_s: g / rate,
    overshoot: zeta < 1 ? Math.exp((-Math.PI * zeta) / off) : 0,
    letThrough_A2s: resistance_ohm > 0 ? (0.5 * capacitance_F * step_V * step_V) / resistance_ohm : Infinity,
  };
}

/** Current and capacitor rise at a time after the step, from rest: the three waveforms behind `seriesStep`. */
export function seriesStepAt(circuit: SeriesStep, time_s: number): { current_A: number; rise_V: number } {
  const { step_V, resistance_ohm, inductance_H, capacitance_F } = checkedStep(circuit);
  requireNotNegative(time_s, 'time_s', 's');
  const alpha = resistance_ohm / (2 * inductance_H);
  const square = 1 / (inductance_H * capacitance_F);
  const split = Math.sqrt(Math.abs(alpha * alpha - square));
  let even: number;
  let odd: number;
  if (alpha * alpha > square) {
    // Both exponents are below zero; the slow one in the form that does not cancel.
    const fast = Math.exp(-(alpha + split) * time_s);
    const slow = Math.exp((-square / (alpha + split)) * time_s);
    even = (slow + fast) / 2;
    odd = (slow - fast) / (2 * split);
  } else {
    const envelope = Math.exp(-alpha * time_s);
    even = envelope * Math.cos(split * time_s);
    odd = split > 0 ? (envelope * Math.sin(split * time_s)) / split : envelope * time_s;
  }
  return { current_A: (step_V / inductance_H) * odd, rise_V: step_V * (1 - even - alpha * odd) };
}

function checkedStep(circuit: SeriesStep): SeriesStep {
  requireNotNegative(circuit.resistance_ohm, 'resistance_ohm', 'Ω');
  requirePositive(circuit.inductance_H, 'inductance_H', 'H');
  requirePositive(circuit.capacitance_F, 'capacitance_F', 'F');
  if (!Number.isFinite(circuit.step_V)) throw new RangeError(`step_V: expected a number, got ${circuit.step_V}`);
  return circuit;
}

// ── A diode with a resistor in series ──

export interface DiodeLaw {
  readonly saturation_A: number;
  /** Ideality times thermal voltage, n·kT/q, V. */
  readonly slope_V: number;
  /** All resistance in series, Ω; zero for the bare junction. */
  readonly resistance_ohm: number;
}

/**
 * Current of a diode and resistor in series across a voltage, either sign:
 *     I = (nVt/R) · ω( ln(Is·R/nVt) + (V + Is·R)/nVt ) − Is
 * with Wright's omega in place of W₀(exp …), so that no voltage overflows.
 * @throws RangeError when saturation or slope is not above zero, the resistance is negative, or the voltage is NaN
 * @see T. C. Banwell and A. Jayakumar, Electronics Letters 36 (2000) 291, eq. 5
 */
export function diodeCurrent_A({ saturation_A, slope_V, resistance_ohm }: DiodeLaw, voltage_V: number): number {
  requirePositive(saturation_A, 'saturation_A', 'A');
  requirePositive(slope_V, 'slope_V', 'V');
  requireNotNegative(resistance_ohm, 'resistance_ohm', 'Ω');
  if (Number.isNaN(voltage_V)) throw new RangeError('voltage_V: expected a number, got NaN');
  if (resistance_ohm === 0) return saturation_A * Math.expm1(voltage_V / slope_V);
  const drop = saturation_A * resistance_ohm;
  const omega = wrightOmega(Math.log(drop / slope_V) + (voltage_V + drop) / slope_V);
  return (slope_V / resistance_ohm) * omega - saturation_A;
}
