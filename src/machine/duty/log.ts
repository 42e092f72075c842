import { nearest } from '../../quantity/nearest.ts';
import { quoted } from '../../quantity/scan.ts';

/** What was recorded of a match or a test: throttles or motor currents over time. */
export interface DutyLog {
  /** Rising from 0, s. */
  readonly time_s: Float64Array;
  readonly columns: readonly LogColumn[];
}

export interface LogColumn {
  /** Controller or motor. */
  readonly part: string;
  /** Throttle −1 to 1, or motor current, A. */
  readonly what: 'throttle' | 'current';
  readonly values: Float64Array;
}

export interface LogIssue {
  readonly line: number;
  readonly expected: string;
  readonly found: string;
  readonly hint?: string;
}

export type LogResult = { readonly ok: true; readonly log: DutyLog } | { readonly ok: false; readonly issues: readonly LogIssue[] };

const MOST_ROWS = 200_000;
const MOST_ISSUES = 20;
const LARGEST_A = 1e5;
const TIME_UNITS: Readonly<Record<string, number>> = { '': 1, s: 1, sec: 1, seconds: 1, ms: 1e-3, min: 60, us: 1e-6, µs: 1e-6 };

/**
 * Reads a log: a line of names, then numbers. `time` (s; ms, µs or min in brackets) and for each controller or motor
 * `T1 throttle` (share or, with % in brackets, per cent) or `M1 current` (A). Separators are commas, semicolons or tabs;
 * with the latter two a comma may stand in a number. Empty lines and lines that begin with # are left out, a gap in a
 * column keeps its last value, columns of other names are left alone.
 * @param parts  ids of the controllers and motors that may be driven
 */
export function readDutyLog(text: string, parts: readonly string[]): LogResult {
  const issues: LogIssue[] = [];
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n?|\n/).map((line, k) => ({ line: k + 1, text: line.trim() })).filter(({ text: one }) => one !== '' && !one.startsWith('#'));
  const [head, ...rows] = lines;
  if (head === undefined || rows.length < 1) return { ok: false, issues: [{ line: 1, expected: 'a line of names and lines of numbers', found: head === undefined ? 'nothing' : 'one line' }] };
  if (rows.length > MOST_ROWS) return { ok: false, issues: [{ line: head.line, expected: `at most ${MOST_ROWS} lines`, found: `${rows.length}` }] };
  const separator = [';', '\t', ','].find((mark) => head.text.includes(mark)) ?? ',';
  const names = split(head.text, separator);
  const timeAt = names.findIndex((name) => /^time\b/i.test(name));
  if (timeAt < 0) return { ok: false, issues: [{ line: head.line, expected: 'a column "time"', found: names.map(quoted).join(', ') }] };
  const unit = TIME_UNITS[bracketed(names[timeAt]!)];
  if (unit === undefined) return { ok: false, issues: [{ line: head.line, expected: 'a time in s, ms, µs or min', found: quoted(names[timeAt]!) }] };
  const wanted = names.flatMap((name, at) => {
    const [, part = '', what] = /^(\S+)[ _]+(throttle|current)\b/i.exec(name) ?? [];
    if (what === undefined) return [];
    if (!parts.includes(part)) {
      const near = nearest(part, parts);
      issues.push({ line: head.line, expected: 'a column of a controller or motor that is driven', found: quoted(name), hint: near === undefined ? `there are ${parts.join(', ')}` : `did you mean ${quoted(near)}?` });
      return [];
    }
    return [{ part, what: what.toLowerCase() as LogColumn['what'], at, scale: bracketed(name) === '%' ? 0.01 : 1 }];
  });
  if (wanted.length === 0 && issues.length === 0) issues.push({ line: head.line, expected: 'a column like "T1 throttle" or "M1 current"', found: names.map(quoted).join(', ') });
  const time_s = new Float64Array(rows.length);
  const columns = wanted.map(({ part, what }): LogColumn => ({ part, what, values: new Float64Array(rows.length) }));
  const issue = (line: number, expected: string, found: string): void => {
    if (issues.length < MOST_ISSUES) issues.push({ line, expected, found });
  };
  rows.forEach(({ line, text: row }, k) => {
    const cells = split(row, separator);
    const time = number(cells[timeAt], separator);
    if (time === undefined || Number.isNaN(time)) issue(line, 'a time', quoted(cells[timeAt] ?? ''));
    time_s[k] = unit * (time ?? NaN);
    if (k > 0 && !(time_s[k] > time_s[k - 1]!) && !Number.isNaN(time_s[k]) && !Number.isNaN(time_s[k - 1])) issue(line, `a time after ${quoted(split(rows[k - 1]!.text, separator)[timeAt] ?? '')}`, quoted(cells[timeAt] ?? ''));
    wanted.forEach(({ what, at, scale }, c) => {
      const value = number(cells[at], separator);
      const scaled = value === undefined ? (k === 0 ? 0 : columns[c]!.values[k - 1]!) : scale * value;
      const most = what === 'throttle' ? 1 : LARGEST_A;
      if (!(Math.abs(scaled) <= most)) issue(line, what === 'throttle' ? 'a throttle from -1 to 1 (or from -100 to 100 under "(%)")' : 'a current in A', quoted(cells[at] ?? ''));
      columns[c]!.values[k] = scaled;
    });
  });
  if (issues.length > 0) return { ok: false, issues };
  const first = time_s[0]!;
  return { ok: true, log: { time_s: time_s.map((time) => time - first), columns } };
}

function split(line: string, separator: string): string[] {
  return line.split(separator).map((cell) => cell.trim().replace(/^"(.*)"$/, '$1').trim());
}

function bracketed(name: string): string {
  return /[([]([^)\]]*)[)\]]/.exec(name)?.[1]?.trim().replace('\u03BC', 'µ') ?? '';
}

/** Undefined for an empty cell, NaN for one that is no number. */
function number(cell: string | undefined, separator: string): number | undefined {
  if (cell === undefined || cell === '') return undefined;
  const text = separator === ',' ? cell : cell.replace(',', '.');
  return /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/.test(text) ? Number(text) : NaN;
}
