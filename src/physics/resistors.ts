import { requirePositive, requireWithin } from './domain.ts';

export type ResistorConstruction = 'cement wirewound' | 'aluminium-clad wirewound' | 'film';

/** Duration of the standard overload tests, s. */
export const OVERLOAD_TEST_S = 5;

/**
 * Power a resistor of a construction takes for the five seconds of its overload test, W.
 * Wirewound: 5 times rated below 4 W, 10 times from there (MIL-PRF-26 practice; the makers' line lies between 3 and 4 W).
 * Film: 2.5 times rated voltage, so 6.25 times rated power (IEC 60115-1, short-time overload, from memory); its
 * greatest element voltage may set less.
 * @throws RangeError when the rating is not above zero (NaN included)
 */
export function overloadPower_W(construction: ResistorConstruction, rated_W: number): number {
  requirePositive(rated_W, 'rated_W', 'W');
  if (construction === 'film') return 2.5 * 2.5 * rated_W;
  return (rated_W < 4 ? 5 : 10) * rated_W;
}

/** Energy of the five-second overload test, J. */
export function overloadEnergy_J(construction: ResistorConstruction, rated_W: number): number {
  return overloadPower_W(construction, rated_W) * OVERLOAD_TEST_S;
}

/** Energy of one short pulse that resistors of one construction and size take, J: a band, because it depends on the ohms. */
export interface PulseEnergy {
  readonly construction: ResistorConstruction;
  readonly rated_W: number;
  readonly low_J: number;
  readonly high_J: number;
}

/** Editable defaults, from memory: a datasheet's own pulse chart replaces them. */
export const PULSE_ENERGIES: readonly PulseEnergy[] = [
  { construction: 'cement wirewound', rated_W: 5, low_J: 20, high_J: 60 },
  { construction: 'cement wirewound', rated_W: 10, low_J: 50, high_J: 150 },
  { construction: 'aluminium-clad wirewound', rated_W: 25, low_J: 100, high_J: 300 },
  { construction: 'aluminium-clad wirewound', rated_W: 50, low_J: 300, high_J: 1000 },
  { construction: 'film', rated_W: 1, low_J: 1, high_J: 3 },
];

/**
 * Pulse energy band for a size, J: log–log between two sizes of its construction, in proportion to rated power beyond.
 * Meant for pulses of milliseconds to a tenth of a second, where the heat stays in the wire; see `pulseCrossover_s`.
 * @param energies  the defaults, or a builder's own rows
 * @throws RangeError when the rating is not above zero or no row has the construction
 */
export function pulseEnergy(
  construction: ResistorConstruction,
  rated_W: number,
  energies: readonly PulseEnergy[] = PULSE_ENERGIES,
): PulseEnergy {
  requirePositive(rated_W, 'rated_W', 'W');
  const rows = energies.filter((row) => row.construction === construction).sort((a, b) => a.rated_W - b.rated_W);
  const below = rows.findLast((row) => row.rated_W <= rated_W);
  const above = rows.find((row) => row.rated_W >= rated_W);
  const nearest = below ?? above;
  if (!nearest) throw new RangeError(`construction: expected one with pulse energies, got ${construction}`);
  if (!below || !above || below === above) {
    const scale = rated_W / nearest.rated_W;
    return { construction, rated_W, low_J: nearest.low_J * scale, high_J: nearest.high_J * scale };
  }
  const part = Math.log(rated_W / below.rated_W) / Math.log(above.rated_W / below.rated_W);
  const between = (low: number, high: number): number => low * (high / low) ** part;
  return {
    construction,
    rated_W,
    low_J: between(below.low_J, above.low_J),
    high_J: between(below.high_J, above.high_J),
  };
}

/** Largest power of a wirewound pulse of a duration, W: the joules are fixed while the heat stays in the wire. */
export function pulsePower_W(energy_J: number, duration_s: number): number {
  requirePositive(energy_J, 'energy_J', 'J');
  requirePositive(duration_s, 'duration_s', 's');
  return energy_J / duration_s;
}

/** Duration above which the overload power, not the pulse energy, is the limit, s. */
export function pulseCrossover_s(energy_J: number, overload_W: number): number {
  requirePositive(energy_J, 'energy_J', 'J');
  requirePositive(overload_W, 'overload_W', 'W');
  return energy_J / overload_W;
}

/** Average power of repeated pulses, W: the sum of the energies over the time they share. It must stay below the rating. */
export function repeatedPower_W(energy_J: number, pulses: number, over_s: number): number {
  requirePositive(energy_J, 'energy_J', 'J');
  requireWithin(pulses, 1, 1e9, 'pulses', '');
  requirePositive(over_s, 'over_s', 's');
  return (energy_J * pulses) / over_s;
}
