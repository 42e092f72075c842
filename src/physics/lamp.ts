import { requireNotNegative, requirePositive } from './domain.ts';

/** A light-emitting diode behind a resistor, taken as one part. */
export interface LedLamp {
  readonly forward_V: number;
  readonly resistance_ohm: number;
  /** Half-width of the bend at the forward voltage, V. */
  readonly knee_V: number;
}

/** Bend of an indicator diode, V: it glows some tenths below its forward voltage. Common practice, no source. */
export const LED_KNEE_V = 0.2;

/**
 * Current of an LED lamp, A: nothing below the bend, (V − V_f)/R above it, a parabola that touches both between.
 * The slope is continuous, so a solver passes it without an event.
 * @throws RangeError when the resistance or the bend is not above zero, or the voltage is NaN
 */
export function ledCurrent_A({ forward_V, resistance_ohm, knee_V }: LedLamp, voltage_V: number): number {
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  requirePositive(knee_V, 'knee_V', 'V');
  const over = voltage_V - forward_V;
  if (Number.isNaN(over)) throw new RangeError(`voltage_V: expected a number, got ${voltage_V}`);
  if (over <= -knee_V) return 0;
  if (over >= knee_V) return over / resistance_ohm;
  return (over + knee_V) ** 2 / (4 * knee_V * resistance_ohm);
}

/** Resistor that gives an LED its current at a voltage, Ω: (V − V_f)/I. */
export function ledResistor_ohm(voltage_V: number, forward_V: number, current_A: number): number {
  requirePositive(current_A, 'current_A', 'A');
  requirePositive(voltage_V - forward_V, 'voltage_V − forward_V', 'V');
  return (voltage_V - forward_V) / current_A;
}

/** A tungsten filament lamp by its label. */
export interface FilamentLamp {
  readonly rated_V: number;
  readonly rated_W: number;
  /** Hot resistance over cold. */
  readonly ratio: number;
}

/** Hot over cold resistance of a small lamp near 2300 K; common practice: a 12 V 24 W bulb reads about 0.5 Ω cold. */
export const FILAMENT_RATIO = 12;

const COLD_K = 293.15;

/**
 * Exponent of tungsten's resistivity with absolute temperature: ρ ∝ T^1.2 between 300 and 3000 K within 4 %.
 * H. A. Jones and I. Langmuir, General Electric Review 30 (1927) 310, from memory.
 */
export const TUNGSTEN_EXPONENT = 1.2;

/** Resistance at the rated point, Ω: V²/P. */
export function filamentHot_ohm({ rated_V, rated_W }: FilamentLamp): number {
  requirePositive(rated_V, 'rated_V', 'V');
  requirePositive(rated_W, 'rated_W', 'W');
  return (rated_V * rated_V) / rated_W;
}

/** Resistance at 20 °C, Ω; the inrush of a lamp is its voltage over this. */
export function filamentCold_ohm(lamp: FilamentLamp): number {
  if (!(lamp.ratio > 1 && lamp.ratio < Infinity)) throw new RangeError(`ratio: expected above 1, got ${lamp.ratio}`);
  return filamentHot_ohm(lamp) / lamp.ratio;
}

/**
 * Steady current of a filament lamp, A: resistance rises as T^1.2, heat leaves as T⁴ − T₀⁴ (radiation alone, so the
 * dim end reads a little low).
 * @throws RangeError when a figure of the lamp is out of range, or the voltage is negative (NaN included)
 */
export function filamentCurrent_A(lamp: FilamentLamp, voltage_V: number): number {
  requireNotNegative(voltage_V, 'voltage_V', 'V');
  const cold_ohm = filamentCold_ohm(lamp);
  const hot = lamp.ratio ** (1 / TUNGSTEN_EXPONENT);
  // Temperatures count in cold ones here: t = T/T₀.
  const radiated_W = (t: number): number => (lamp.rated_W * (t ** 4 - 1)) / (hot ** 4 - 1);
  const electric_W = (t: number): number => (voltage_V * voltage_V) / (cold_ohm * t ** TUNGSTEN_EXPONENT);
  let low = 1;
  let high = 2;
  while (radiated_W(high) < electric_W(high)) high *= 2;
  for (let pass = 0; pass < 100 && high - low > 1e-14 * high; pass++) {
    const middle = (low + high) / 2;
    if (radiated_W(middle) < electric_W(middle)) low = middle;
    else high = middle;
  }
  return voltage_V / (cold_ohm * ((low + high) / 2) ** TUNGSTEN_EXPONENT);
}

/** Temperature of the filament at its rated point by the ratio, K. */
export function filamentHot_K(lamp: FilamentLamp): number {
  filamentCold_ohm(lamp);
  return COLD_K * lamp.ratio ** (1 / TUNGSTEN_EXPONENT);
}
