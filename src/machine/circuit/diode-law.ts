import type { DiodeLaw } from '../../engine/devices/diode.ts';

/** Thermal voltage at 25 °C, V (k·T/q, CODATA 2018). */
const THERMAL_V = 0.0256926;

/**
 * Shockley law of a power diode through one datasheet point, its voltage at a third of its rated current.
 * The emission coefficient (1.1 Schottky, 1.7 silicon) and the ohmic share at rated current (0.08 V, 0.15 V) are class
 * values: common practice, no source.
 */
export function diodeLaw(type: 'silicon' | 'schottky', rating_A: number, drop_V: number): DiodeLaw {
  const slope_V = (type === 'schottky' ? 1.1 : 1.7) * THERMAL_V;
  const series_ohm = (type === 'schottky' ? 0.08 : 0.15) / rating_A;
  const at_A = rating_A / 3;
  return { slope_V, series_ohm, saturation_A: at_A * Math.exp(-(drop_V - at_A * series_ohm) / slope_V) };
}

/** An ideal-diode module as a very steep diode: 10 mV of regulation at an ampere, then its on-resistance; 10 µA of leakage. */
export function idealDiodeLaw(on_ohm: number): DiodeLaw {
  return { slope_V: 0.87e-3, series_ohm: on_ohm, saturation_A: 1e-5 };
}
