import { requireNotNegative } from './domain.ts';
import { monotoneCurve, type MonotoneCurve } from './monotone-curve.ts';

export type Chemistry = 'lipo' | 'nca' | 'nmc' | 'lfp';

/** Voltages of one cell that its makers state, V. */
export interface CellLimits {
  readonly full_V: number;
  readonly nominal_V: number;
  /** Below this, at rest, the cell is harmed. */
  readonly cutoff_V: number;
  readonly storage_V: number;
  readonly source: string;
}

export const CELL_LIMITS: Readonly<Record<Chemistry, CellLimits>> = {
  lipo: { full_V: 4.2, nominal_V: 3.7, cutoff_V: 3.0, storage_V: 3.8, source: "cell makers' notes" },
  nca: { full_V: 4.2, nominal_V: 3.6, cutoff_V: 2.5, storage_V: 3.8, source: "cell makers' notes, from memory" },
  nmc: { full_V: 4.2, nominal_V: 3.6, cutoff_V: 2.5, storage_V: 3.8, source: "cell makers' notes, from memory" },
  lfp: { full_V: 3.65, nominal_V: 3.2, cutoff_V: 2.5, storage_V: 3.3, source: "cell makers' notes, from memory" },
};

/** Full-charge voltage of a pouch cell of the high-voltage kind, V (cell makers' notes). */
export const HIGH_VOLTAGE_LIPO_FULL_V = 4.35;

/** An open-circuit voltage curve as points, and how far to trust it. */
export interface OpenCircuitTable {
  readonly soc: readonly number[];
  readonly volts: readonly number[];
  readonly source: string;
}

export const OPEN_CIRCUIT: Readonly<Record<Chemistry, OpenCircuitTable>> = {
  // Typical of lithium cobalt oxide pouches: flatter in the middle than the two measured curves.
  lipo: {
    soc: [0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1],
    volts: [3.27, 3.61, 3.69, 3.73, 3.77, 3.8, 3.84, 3.87, 3.95, 4.02, 4.11, 4.2],
    source: 'table in common use among hobby builders; common practice, no source',
  },
  // Mean of charge and discharge at C/20.
  nca: {
    soc: [
      0.002, 0.022, 0.049, 0.1, 0.151, 0.198, 0.249, 0.299, 0.35, 0.401, 0.452, 0.499, 0.55, 0.601, 0.648, 0.699, 0.75,
      0.8, 0.851, 0.898, 0.949, 0.98, 1,
    ],
    volts: [
      2.535, 2.943, 3.129, 3.268, 3.351, 3.411, 3.497, 3.558, 3.61, 3.662, 3.708, 3.752, 3.798, 3.84, 3.881, 3.922,
      3.979, 4.037, 4.075, 4.09, 4.111, 4.138, 4.175,
    ],
    source: 'measured 18650 cell, 3.0 Ah: open data set derlucae98/US18650VTC6_OCV_SOC_Curve, MIT licence',
  },
  nmc: fittedNmc(),
  lfp: {
    soc: [0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97, 1],
    volts: [2.5, 3.0, 3.13, 3.2, 3.25, 3.275, 3.285, 3.29, 3.305, 3.33, 3.335, 3.35, 3.45],
    source: 'plateau of a typical cell, from memory; common practice, no source',
  },
};

const curves: Readonly<Record<Chemistry, MonotoneCurve>> = {
  lipo: curveOf('lipo'),
  nca: curveOf('nca'),
  nmc: curveOf('nmc'),
  lfp: curveOf('lfp'),
};

/**
 * Rest voltage of one cell, V: a smooth rising curve through the chemistry's table.
 * Outside 0 to 1 it goes on straight, so that a solver may step a hair past empty or full; the caller judges that.
 * @param soc  state of charge, 0 to 1
 * @throws RangeError when soc is NaN
 */
export function openCircuit_V(chemistry: Chemistry, soc: number): number {
  return curves[chemistry].at(soc);
}

/** Slope of `openCircuit_V`, V per unit of state of charge; above zero everywhere. */
export function openCircuitSlope_V(chemistry: Chemistry, soc: number): number {
  return curves[chemistry].slopeAt(soc);
}

/**
 * State of charge of a rested cell from its voltage, held to 0 to 1. On a flat stretch (lfp above all) millivolts
 * decide, so a reading there says little.
 * @throws RangeError when the voltage is negative or NaN
 */
export function socOf(chemistry: Chemistry, volts: number): number {
  requireNotNegative(volts, 'volts', 'V');
  return Math.min(1, Math.max(0, curves[chemistry].inverse(volts)));
}

/** Points of `resistanceFactor`; common practice, no source: ±25 %. */
export const RESISTANCE_FACTORS: readonly { readonly temperature_C: number; readonly factor: number }[] = [
  { temperature_C: 0, factor: 2.2 },
  { temperature_C: 10, factor: 1.6 },
  { temperature_C: 25, factor: 1 },
  { temperature_C: 45, factor: 0.8 },
];

const factorCurve = monotoneCurve(
  RESISTANCE_FACTORS.map((point) => point.temperature_C),
  RESISTANCE_FACTORS.map((point) => Math.log(point.factor)),
);

/**
 * Cell resistance at a temperature over that at 25 °C: 2.2 at 0 °C, 0.8 at 45 °C. Exponential beyond the table.
 * @throws RangeError when the temperature is NaN
 */
export function resistanceFactor(temperature_C: number): number {
  return Math.exp(factorCurve.at(temperature_C));
}

function curveOf(chemistry: Chemistry): MonotoneCurve {
  return monotoneCurve(OPEN_CIRCUIT[chemistry].soc, OPEN_CIRCUIT[chemistry].volts);
}

/**
 * Half-cell fits of an NMC811 and graphite-silicon cell, 5 Ah, sampled at each half per cent.
 * @see C.-H. Chen et al., J. Electrochem. Soc. 167 (2020) 080534; coefficients from memory, end stoichiometries
 *      chosen so that the curve spans 2.50 to 4.20 V
 */
function fittedNmc(): OpenCircuitTable {
  const negative = (x: number): number =>
    1.9793 * Math.exp(-39.3631 * x) +
    0.2482 -
    0.0909 * Math.tanh(29.8538 * (x - 0.1234)) -
    0.04478 * Math.tanh(14.9159 * (x - 0.2769)) -
    0.0205 * Math.tanh(30.4444 * (x - 0.6103));
  const positive = (y: number): number =>
    -0.809 * y +
    4.4875 -
    0.0428 * Math.tanh(18.5138 * (y - 0.5542)) -
    17.7326 * Math.tanh(15.789 * (y - 0.3117)) +
    17.5842 * Math.tanh(15.9308 * (y - 0.312));
  const soc = Array.from({ length: 201 }, (_, k) => k / 200);
  const volts = soc.map((z) => positive(0.8539 + (0.2638 - 0.8539) * z) - negative(0.0263 + (0.9106 - 0.0263) * z));
  return { soc, volts, source: 'C.-H. Chen et al., J. Electrochem. Soc. 167 (2020) 080534, coefficients from memory' };
}
