/** One axis of a chart, in the unit of its quantity; ticks are labelled in `unit`, which carries a prefix. */
export interface Axis {
  readonly low: number;
  readonly high: number;
  readonly unit: string;
  readonly ticks: readonly { readonly at: number; readonly text: string }[];
}

/** Narrower than this in SI units, a curve is a flat line and what is left is rounding. */
const NOISE = 1e-15;

const PREFIXES: Readonly<Record<number, string>> = { [-12]: 'p', [-9]: 'n', [-6]: '\u00B5', [-3]: 'm', 0: '', 3: 'k', 6: 'M', 9: 'G' };

/** Units that take a prefix; a prefix before a square or before °C would say something else. */
const PREFIXED = new Set(['V', 'A', 'Ω', '\u2126', 'F', 'H', 's', 'W', 'J', 'C', 'Hz', 'm', 'N', 'N·m', 'S']);

/**
 * An axis with ticks at 1, 2 or 5 times a power of ten and an engineering prefix.
 * @param low     smallest value to show
 * @param high    largest value to show, ≥ low
 * @param about   number of ticks to aim for, ≥ 2
 * @param snap    whether the ends move out to a tick
 * @throws RangeError when an end is not finite or they are the wrong way round
 */
export function axisOver(low: number, high: number, unit: string, about: number, snap: boolean): Axis {
  if (!(low <= high && Number.isFinite(high - low))) throw new RangeError(`axis: expected finite low ≤ high, got ${low}, ${high}`);
  const pad = high - low > NOISE ? 0 : Math.abs(high) > NOISE ? Math.abs(high) * 0.1 : 1;
  const [bottom, top] = [low - pad, high + pad];
  const step = niceStep((top - bottom) / about);
  // What passes a tick by a tenth of a step or less needs no further tick, only its own room; and a line that ends
  // at 1.999 s still has its tick at 2 s.
  const first = snap ? Math.floor(bottom / step + 0.1) : Math.ceil(bottom / step - 0.005);
  const last = snap ? Math.ceil(top / step - 0.1) : Math.floor(top / step + 0.005);
  const ends = [snap ? Math.min(bottom, first * step) : bottom, snap ? Math.max(top, last * step) : top] as const;
  const exponent = prefixExponent(Math.max(...ends.map(Math.abs)), unit);
  const decimals = Math.min(20, Math.max(0, exponent - Math.floor(Math.log10(step) + 1e-9)));
  const ticks = Array.from({ length: last - first + 1 }, (_, index) => {
    const at = (first + index) * step;
    return { at, text: tidy((at / 10 ** exponent).toFixed(decimals)) };
  });
  return { low: ends[0], high: ends[1], unit: `${PREFIXES[exponent] ?? ''}${unit}`, ticks };
}

/**
 * A logarithmic axis: ends at 1, 2 or 5 times a power of ten, ticks that each carry their own prefix and unit, because
 * one prefix cannot serve nine decades.
 * @param low    smallest value to show, > 0
 * @param high   largest value to show, ≥ low
 * @param about  number of ticks at most, ≥ 2
 * @throws RangeError when an end is not finite or above zero, or they are the wrong way round
 */
export function logAxisOver(low: number, high: number, unit: string, about: number): Axis {
  if (!(low > 0 && low <= high && Number.isFinite(high))) throw new RangeError(`logarithmic axis: expected finite 0 < low ≤ high, got ${low}, ${high}`);
  const from = Math.floor(Math.log10(low)) - 1;
  const decades = Math.ceil(Math.log10(high)) - from + 2;
  const steps = (leads: readonly number[], stride: number): number[] =>
    Array.from({ length: decades }, (_, k) => from + k).filter((power) => power % stride === 0).flatMap((power) => leads.map((lead) => Number(`${lead}e${power}`)));
  const ends = steps([1, 2, 5], 1);
  const slack = 1 + 1e-9;
  const bottom = ends.findLast((end) => end <= low * slack) ?? low;
  const first = ends.find((end) => end * slack >= high) ?? high;
  const top = first > bottom ? first : (ends.find((end) => end > bottom) ?? 2 * bottom);
  const inside = (all: readonly number[]): number[] => all.filter((at) => at >= bottom && at <= top);
  const choices = [inside(ends), inside(steps([1], 1)), inside(steps([1], 2)), inside(steps([1], 3)), inside(steps([1], 6))];
  const chosen = choices.find((all) => all.length <= about) ?? [bottom, top];
  return { low: bottom, high: top, unit: '', ticks: chosen.map((at) => ({ at, text: shortValue(at, unit) })) };
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
