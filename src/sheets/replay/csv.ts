import { field } from '../document/csv.ts';
import { valueAt, type Replay, type ReplayColumn } from '../../questions/replay/replay.ts';

/** A span of a run. */
export interface Span {
  readonly from_s: number;
  readonly until_s: number;
}

/**
 * Curves as comma-separated values: a header with units, a row for each point of the run within the span and for both of
 * its ends. Numbers have six digits and a decimal point; times as many as tell points apart.
 * @see RFC 4180, 2005, section 2
 */
export function curvesCsv(replay: Pick<Replay, 'time_s'>, columns: readonly ReplayColumn[], { from_s, until_s }: Span): string {
  const head = ['time (s)', ...columns.map(({ name, unit }) => `${name} (${unit})`)];
  const rows: string[][] = [];
  const row = (time_s: number, values: readonly number[]): void => {
    rows.push([String(Number(time_s.toFixed(9))), ...values.map((value) => String(Number(value.toPrecision(6))))]);
  };
  const atEnd = (time_s: number): void => { row(time_s, columns.map((column) => valueAt(replay, column, time_s))); };
  if (from_s > replay.time_s[0]!) atEnd(from_s);
  replay.time_s.forEach((time_s, k) => {
    if (time_s >= from_s && time_s <= until_s) row(time_s, columns.map(({ values }) => values[k]!));
  });
  if (until_s < replay.time_s.at(-1)!) atEnd(until_s);
  return [head, ...rows].map((cells) => `${cells.map(field).join(',')}\r\n`).join('');
}
