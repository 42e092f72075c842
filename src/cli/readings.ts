import { parseQuantity } from '../quantity/parse.ts';
import { ranged, type Quantity } from '../quantity/quantity.ts';
import { METER, type Reading } from '../questions/hold-test.ts';
import { EXIT, Mistake } from './exit.ts';
import { printable } from './layout.ts';

/**
 * A reading as people write it: `0.5 s 12.3 V`, `0.5 s ±0.05 s, 12.3 V`, `rest 39.3 V`.
 * @throws Mistake when it is none
 */
export function parseReading(text: string): Reading {
  const words = text.trim().split(/[\s,;]+/);
  if (words[0]?.toLowerCase() === 'rest') return { time_s: Infinity, ...voltsOf('--reading', words.slice(1).join(' ')) };
  const halves = words.slice(1).map((_, k) => ({ time: words.slice(0, k + 1).join(' '), volts: words.slice(k + 1).join(' ') }));
  // "0.5 s ±0.05 s 12.3 V" parts in one place only: where a time ends and a voltage begins.
  const read = halves.map(({ time, volts }) => ({ time: parseQuantity(time, 'time'), volts: parseQuantity(volts, 'voltage'), text: volts }));
  for (const { time, volts, text: written } of read) {
    if (!time.ok || !volts.ok) continue;
    const { value, low, high } = time.quantity;
    if (!(value >= 0)) throw new Mistake(`--reading: expected a time of at least 0 s, found ${quoted(text)}`, EXIT.usage);
    return { time_s: value, ...(low === high ? {} : { timeError_s: (high - low) / 2 }), ...voltsOf('--reading', written) };
  }
  const near = read.find(({ time, volts }) => time.ok || volts.ok);
  const failed = near === undefined ? undefined : near.time.ok ? near.volts : near.time;
  const hint = failed === undefined || failed.ok || failed.hint === undefined ? '' : `; ${failed.hint}`;
  throw new Mistake(`--reading: expected a time and a voltage like "0.5 s 12.3 V", found ${quoted(text)}${hint}`, EXIT.usage);
}

/** The voltage at rest, of `--rest`. */
export function parseRest(text: string): Reading {
  return { time_s: Infinity, ...voltsOf('--rest', text) };
}

/**
 * The pack's voltage, of `--pack`, with what the meter may be off by unless a spread is written.
 * @throws Mistake when it is no voltage above 0
 */
export function parsePack(text: string): Quantity {
  const { volts_V, voltsError_V } = voltsOf('--pack', text);
  if (!(volts_V - voltsError_V > 0)) throw new Mistake(`--pack: expected a voltage above 0 V like "41.8 V", found ${quoted(text)}`, EXIT.usage);
  return ranged('voltage', volts_V, volts_V - voltsError_V, volts_V + voltsError_V, 'measured');
}

function voltsOf(option: string, text: string): { readonly volts_V: number; readonly voltsError_V: number } {
  const parsed = parseQuantity(text, 'voltage');
  if (!parsed.ok) throw new Mistake(`${option}: expected ${parsed.expected}, found ${quoted(text)}${parsed.hint === undefined ? '' : `; ${parsed.hint}`}`, EXIT.usage);
  const { value, low, high } = parsed.quantity;
  if (!(value >= 0)) throw new Mistake(`${option}: expected a voltage of at least 0 V, found ${quoted(text)}`, EXIT.usage);
  return { volts_V: value, voltsError_V: low === high ? METER.share * value + METER.digits_V + roundingOf(text, value) : (high - low) / 2 };
}

/** Half of the last place written, V: who writes 12.3 V has left out what stood behind. Nothing where two places are written. */
function roundingOf(text: string, value_V: number): number {
  const [, number = '', , places = ''] = /^\s*\+?(\d*(\.(\d*))?)/.exec(text) ?? [];
  const written = Number(number);
  if (!(written > 0)) return 0;
  const place_V = (value_V / written) * 10 ** -places.length;
  return place_V > METER.digits_V / 2 ? place_V / 2 : 0;
}

function quoted(text: string): string {
  return JSON.stringify(printable(text));
}
