import { requireNotNegative, requirePositive } from './domain.ts';

/**
 * Equivalent series resistance from the loss factor of a datasheet: tan δ/(2πfC), Ω. Holds at the datasheet's own
 * temperature and frequency; cold electrolytics show two to four times as much.
 * @param frequency_Hz  of the tan δ test, usually 100 or 120 Hz
 * @throws RangeError when an argument is out of range (NaN included)
 */
export function seriesResistance_ohm(lossFactor: number, capacitance_F: number, frequency_Hz = 120): number {
  requireNotNegative(lossFactor, 'lossFactor', '');
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  requirePositive(frequency_Hz, 'frequency_Hz', 'Hz');
  return lossFactor / (2 * Math.PI * frequency_Hz * capacitance_F);
}

/** Largest tan δ at 20 °C and 120 Hz by rated voltage: general-purpose 85 °C radial electrolytics, a maker's datasheet. */
export const LOSS_FACTORS: readonly { readonly rated_V: number; readonly lossFactor: number }[] = [
  { rated_V: 6.3, lossFactor: 0.22 },
  { rated_V: 10, lossFactor: 0.19 },
  { rated_V: 16, lossFactor: 0.16 },
  { rated_V: 25, lossFactor: 0.14 },
  { rated_V: 35, lossFactor: 0.12 },
  { rated_V: 50, lossFactor: 0.1 },
  { rated_V: 63, lossFactor: 0.09 },
  { rated_V: 100, lossFactor: 0.08 },
];

const LOSS_PER_EXTRA_FARAD = 0.02 / 1000e-6;

/**
 * tan δ of a general-purpose electrolytic, by the table; a rating between two rows takes the lower row (more loss),
 * and each 1000 µF above the first adds 0.02, in proportion.
 * @throws RangeError when an argument is not above zero
 */
export function typicalLossFactor(rated_V: number, capacitance_F: number): number {
  requirePositive(rated_V, 'rated_V', 'V');
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  const row = LOSS_FACTORS.findLast((entry) => entry.rated_V <= rated_V) ?? LOSS_FACTORS[0]!;
  return row.lossFactor + Math.max(0, capacitance_F - 1000e-6) * LOSS_PER_EXTRA_FARAD;
}

/** Voltage an electrolytic takes for 30 s now and then, V: 1.15 times rated up to 315 V, 1.10 above (IEC 60384-4). */
export function surgeVoltage_V(rated_V: number): number {
  requirePositive(rated_V, 'rated_V', 'V');
  return (rated_V <= 315 ? 1.15 : 1.1) * rated_V;
}

/** Energy in a capacitor, J: ½CV². */
export function storedEnergy_J(capacitance_F: number, voltage_V: number): number {
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  return 0.5 * capacitance_F * voltage_V * voltage_V;
}

/** Time a resistor needs to bring a capacitor down, s: RC · ln(V₀/V). */
export function bleedTime_s(resistance_ohm: number, capacitance_F: number, from_V: number, to_V: number): number {
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  return resistance_ohm * capacitance_F * logSpan(from_V, to_V);
}

/** Largest resistor that brings a capacitor down in time, Ω: t/(C · ln(V₀/V)); Infinity when it is there already. */
export function bleedResistor_ohm(capacitance_F: number, from_V: number, to_V: number, within_s: number): number {
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  requirePositive(within_s, 'within_s', 's');
  const span = logSpan(from_V, to_V);
  return span > 0 ? within_s / (capacitance_F * span) : Infinity;
}

/** Steady heat of a bleed resistor that stays connected, W. */
export function bleedPower_W(voltage_V: number, resistance_ohm: number): number {
  requireNotNegative(voltage_V, 'voltage_V', 'V');
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  return (voltage_V * voltage_V) / resistance_ohm;
}

function logSpan(from_V: number, to_V: number): number {
  requirePositive(from_V, 'from_V', 'V');
  requirePositive(to_V, 'to_V', 'V');
  return Math.max(0, Math.log(from_V / to_V));
}
