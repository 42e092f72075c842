import { formatValue } from '../../quantity/format.ts';
import { columnsOf, valueAt, type Owner, type Replay, type ReplayColumn, type ReplayQuantity, type RunName } from '../../questions/replay/replay.ts';

export const RUN_WORDS: Readonly<Record<RunName, string>> = { 'power-up': 'Power-up', 'power-down': 'Power-down', match: 'Match' };

/** A moment with as many digits as tell it from its neighbours in what is shown: `2.03 s`, `3.020 012 s`, `1 min 23.4 s`. */
export function timeWords(moment_s: number, span_s: number): string {
  const digits = Math.min(7, Math.max(1, Math.ceil(-Math.log10(span_s / 2000) - 1e-9)));
  const rounded = Number(moment_s.toFixed(digits));
  const minutes = Math.floor(Math.abs(rounded) / 60);
  const seconds = Math.abs(rounded) - 60 * minutes;
  const [whole = '0', fraction = ''] = seconds.toFixed(digits).split('.');
  const grouped = fraction.replace(/(\d{3})(?=\d)/g, '$1\u202F');
  return `${rounded < 0 ? '\u2212' : ''}${minutes === 0 ? '' : `${minutes} min `}${whole}.${grouped} s`;
}

/** A span to read: `20 ms`, `3 min`. */
export function spanWords(span_s: number): string {
  return span_s >= 90 ? `${Number((span_s / 60).toPrecision(2))} min` : formatValue(span_s, 'time', 2);
}

/** Less than this of each is rounding. */
const NOTHING: Readonly<Record<ReplayQuantity, number>> = { voltage: 5e-4, current: 5e-5, power: 5e-5, temperature: 0, 'angular speed': 0.05, speed: 5e-4 };

/** A figure as a meter would show it, with its unit; what is no figure is said to be none. */
export function figureWords(value: number, quantity: ReplayQuantity): string {
  if (!Number.isFinite(value)) return 'none';
  const shown = Math.abs(value) < NOTHING[quantity] ? 0 : value;
  const size = Math.abs(shown);
  const sign = shown < 0 ? '\u2212' : '';
  if (quantity === 'temperature') return `${sign}${size.toFixed(1)}\u00A0°C`;
  const [scale, prefix] = PREFIXED.has(quantity) ? (SCALES.find(([from]) => size >= 0.9995 * from) ?? [1, '']) : [1, ''];
  const digits = size === 0 ? 0 : Math.max(0, 2 - Math.floor(Math.log10(size / scale) + 2.2e-4));
  return `${sign}${(size / scale).toFixed(Math.min(3, digits))}\u00A0${prefix}${UNITS[quantity]}`;
}

const UNITS: Readonly<Record<Exclude<ReplayQuantity, 'temperature'>, string>> = { voltage: 'V', current: 'A', power: 'W', 'angular speed': 'rad/s', speed: 'm/s' };
const PREFIXED: ReadonlySet<ReplayQuantity> = new Set(['voltage', 'current', 'power']);
const SCALES: readonly (readonly [number, string])[] = [[1000, 'k'], [1, ''], [1e-3, 'm'], [1e-6, 'µ']];

const FIGURE_ORDER: readonly ReplayQuantity[] = ['voltage', 'current', 'temperature', 'power', 'angular speed'];
/** From here an open switch is said to hold off a voltage; below it what its contact drops is of less interest than its current. */
const HELD_OFF_V = 0.5;

/**
 * What the drawing shows of every part, point and conductor of a run: one column of each quantity. For a switch it is
 * the voltage that it holds off, or its current when it holds off none: `12|7`, columns by number.
 */
export function figuresOf(replay: Replay): readonly { readonly owner: Owner; readonly names: readonly string[] }[] {
  const owners = new Map<string, Owner>();
  for (const { of } of replay.columns) for (const owner of of) owners.set(JSON.stringify(owner), owner);
  return [...owners.values()].map((owner) => {
    const own = columnsOf(replay, owner);
    const columns = FIGURE_ORDER.flatMap((quantity) => own.find((column) => column.quantity === quantity) ?? []);
    const name = (column: ReplayColumn): string => String(replay.columns.indexOf(column));
    const [across, through, ...rest] = columns;
    if (across?.name.endsWith(' voltage across') === true && through?.quantity === 'current' && !own.some(({ quantity }) => quantity === 'power')) return { owner, names: [`${name(across)}|${name(through)}`, ...rest.map(name)] };
    return { owner, names: columns.map(name) };
  });
}

/** The text of a figure at a moment. */
export function figureAt(replay: Replay, name: string, moment_s: number): string {
  const [column, instead] = name.split('|').map((number) => replay.columns[Number(number)]);
  if (column === undefined) return '';
  const value = valueAt(replay, column, moment_s);
  if (instead !== undefined && Math.abs(value) < HELD_OFF_V) return figureWords(valueAt(replay, instead, moment_s), instead.quantity);
  return figureWords(value, column.quantity);
}
