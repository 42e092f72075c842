/** One axis of a chart, in the unit of its quantity; ticks are labelled in `unit`, which carries a prefix. */
export interface Axis {
  readonly low: number;
  readonly high: number;
  readonly unit: string;
  readonly ticks: readonly { readonly at: number; readonly text: string }[];
}

const PREFIXES: Readonly<Record<number, string>> = { [-12]: 'p', [-9]: 'n', [-6]: '\u00B5', [-3]: 'm', 0: '', 3: 'k', 6: 'M', 9: 'G' };

/** Units that take a prefix; a prefix before a square or before °C would say something else. */
const PREFIXED = new Set(['V', 'A', 'Ω', '\u2126', 'F', 'H', 's', 'W', 'J', 'C', 'Hz', 'm', 'N', 'N·m', 'S']);

/**
 * An axis with ticks at 1, 2 or 5 times a power of ten and an engineering prefix.
 * @param low     smallest value to show
 * @param high    largest value to show, ≥ low
 * @param about   number of ticks to aim for, ≥ 2
 * @param snap    whether the ends move out to the next tick
 * @throws RangeError when an end is not finite or they are the wrong way round
 */
export function axisOver(low: number, high: number, unit: string, about: number, snap: boolean): Axis {
  if (!(low <= high && Number.isFinite(high - low))) throw new RangeError(`axis: expected finite low ≤ high, got ${low}, ${high}`);
  const pad = high > low ? 0 : Math.abs(high) * 0.1 || 1;
  const [bottom, top] = [low - pad, high + pad];
  const step = niceStep((top - bottom) / about);
  // A hair of slack, so that 0.30000000000000004 is still the tick 0.3.
  const first = snap ? Math.floor(bottom / step + 1e-9) : Math.ceil(bottom / step - 1e-9);
  const last = snap ? Math.ceil(top / step - 1e-9) : Math.floor(top / step + 1e-9);
  const exponent = prefixExponent(Math.max(Math.abs(bottom), Math.abs(top)), unit);
  const decimals = Math.min(12, Math.max(0, exponent - Math.floor(Math.log10(step) + 1e-9)));
  const ticks = Array.from({ length: last - first + 1 }, (_, index) => {
    const at = (first + index) * step;
    return { at, text: tidy((at / 10 ** exponent).toFixed(decimals)) };
  });
  return { low: snap ? first * step : bottom, high: snap ? last * step : top, unit: `${PREFIXES[exponent] ?? ''}${unit}`, ticks };
}

/** A value with the prefix that suits it, three significant digits: `34 V`, `1.2 kA`. */
export function shortValue(value: number, unit: string): string {
  const exponent = prefixExponent(Math.abs(Number(value.toPrecision(3))), unit);
  const number = tidy(String(Number((value / 10 ** exponent).toPrecision(3))));
  return `${number} ${PREFIXES[exponent] ?? ''}${unit}`.trimEnd();
}

function niceStep(rough: number): number {
  const power = 10 ** Math.floor(Math.log10(rough));
  const lead = rough / power;
  return power * (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10);
}

function prefixExponent(size: number, unit: string): number {
  if (!PREFIXED.has(unit) || !(size > 0)) return 0;
  // A ten-thousandth of slack keeps 999.99 mV from reading 1000 mV.
  const exponent = Math.floor(Math.log10(size * 1.0001) / 3) * 3;
  return Math.min(unit === 's' ? 0 : 9, Math.max(-12, exponent));
}

/** A true minus sign, and no minus before zero. */
function tidy(number: string): string {
  return /^-0(\.0+)?$/.test(number) ? number.slice(1) : number.replace(/^-/, '\u2212');
}
