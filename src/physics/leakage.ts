/** Temperature at which a reverse leakage is stated, °C. */
export const LEAKAGE_STATED_C = 25;
/** Rise that doubles it, K. Common practice, no source. */
const DOUBLES_K = 10;

/**
 * What a diode passes backwards at a temperature: twice as much for every ten kelvins. Good to a factor of about two
 * between 0 and 100 °C, for silicon and Schottky junctions alike; their datasheets rise by 1.6 to 2.2 times.
 * @param at25_A  leakage at 25 °C, A, at least 0
 * @throws RangeError when the leakage is below zero or the temperature is no number
 * @see common practice, no source
 */
export function leakage_A(at25_A: number, temperature_C: number): number {
  if (!(at25_A >= 0)) throw new RangeError(`at25_A: expected at least 0 A, got ${at25_A}`);
  if (!Number.isFinite(temperature_C)) throw new RangeError(`temperature_C: expected a temperature, got ${temperature_C}`);
  return at25_A * 2 ** ((temperature_C - LEAKAGE_STATED_C) / DOUBLES_K);
}
