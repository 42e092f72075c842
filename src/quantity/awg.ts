/** Largest size, 0000 (written 4/0), counted downwards from 0: 00 is −1, 000 is −2, 0000 is −3. */
const THICKEST = -3;
const THINNEST = 40;

/**
 * Metal cross-section of a solid round wire of an American wire gauge:
 *     d = 0.005 in · 92^((36 − n)/39),  S = π d²/4
 * A stranded wire of the same gauge has the same section by definition.
 * @param gauge  whole number from −3 (0000) to 40
 * @returns section, m²
 * @throws RangeError outside the gauges, or between two of them (NaN included)
 * @see ASTM B258, standard nominal diameters and cross-sectional areas of AWG sizes
 */
export function awgSection_m2(gauge: number): number {
  if (!(Number.isInteger(gauge) && gauge >= THICKEST && gauge <= THINNEST)) {
    throw new RangeError(`gauge: expected a whole number from ${THICKEST} (4/0) to ${THINNEST}, got ${gauge}`);
  }
  const diameter_m = 0.127e-3 * 92 ** ((36 - gauge) / 39);
  return (Math.PI / 4) * diameter_m * diameter_m;
}

/** Gauge nearest to a section given in m² (on the logarithmic scale of the gauges), or undefined outside 4/0 to 40. */
export function nearestGauge(section_m2: number): number | undefined {
  if (!(section_m2 > 0)) return undefined;
  const diameter_m = Math.sqrt((4 / Math.PI) * section_m2);
  const gauge = Math.round(36 - (39 * Math.log(diameter_m / 0.127e-3)) / Math.log(92));
  return gauge >= THICKEST && gauge <= THINNEST ? gauge : undefined;
}

/** `8 AWG`, `0 AWG`, `2/0 AWG`. */
export function gaugeName(gauge: number): string {
  return gauge < 0 ? `${1 - gauge}/0 AWG` : `${gauge} AWG`;
}

/** Gauge written `8`, `0`, `00`, `0000`, `2/0`; undefined when the text is no gauge. */
export function gaugeNumber(text: string): number | undefined {
  if (/^[1-4]\/0$/.test(text)) return 1 - Number(text.charAt(0));
  if (/^0{1,4}$/.test(text)) return 1 - text.length;
  if (!/^[1-9][0-9]?$/.test(text)) return undefined;
  const gauge = Number(text);
  return gauge <= THINNEST ? gauge : undefined;
}
