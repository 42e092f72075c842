import type { Chain } from '../../machine/machine.ts';

/** A simulated run of a machine to be looked at moment by moment. Plain data that crosses threads; times in s, values in SI, temperatures in °C. */
export interface Replay {
  readonly run: RunName;
  /** Never falls. A moment that stands twice is one at which something jumped: before it, and after it. */
  readonly time_s: Float64Array;
  readonly columns: readonly ReplayColumn[];
  /** In order of time. */
  readonly marks: readonly ReplayMark[];
  readonly switches: readonly SwitchTrack[];
  readonly loads: readonly LoadTrack[];
  /** Energy that the packs' cells gave in the run, as its balance has it, J. */
  readonly delivered_J: number;
}

export const RUN_NAMES = ['power-up', 'power-down', 'match'] as const;
export type RunName = (typeof RUN_NAMES)[number];

export type ReplayQuantity = 'voltage' | 'current' | 'power' | 'temperature' | 'angular speed' | 'speed';

/** What a curve belongs to: a part, a point of the wiring, a lead, or one conductor (`item`) in it. */
export type Owner =
  | { readonly part: string }
  | { readonly point: string }
  | { readonly chain: string; readonly role: Chain['role']; readonly item?: number };

export interface ReplayColumn {
  readonly name: string;
  readonly quantity: ReplayQuantity;
  readonly unit: string;
  readonly of: readonly Owner[];
  /** One finite number for each moment. */
  readonly values: Float64Array;
}

/** A step of the crew, something that the duty asks for, or something that happened by itself. */
export interface ReplayMark {
  readonly from_s: number;
  /** Until when it is what goes on. */
  readonly until_s: number;
  readonly words: string;
  readonly sort: 'step' | 'event';
}

/** Where a switch stands, from each moment on. */
export interface SwitchTrack {
  readonly part: string;
  readonly at: readonly { readonly from_s: number; readonly position: string }[];
}

/** What decides whether a load is awake. */
export interface LoadTrack {
  readonly part: string;
  /** Point that feeds its logic. */
  readonly point: string;
  /** Voltage there from which it is awake, V; undefined for one whose run says by itself when it runs. */
  readonly wakes_V: number | undefined;
  /** Whether it runs, from each moment on. */
  readonly runs: readonly { readonly from_s: number; readonly on: boolean }[] | undefined;
  /** What hangs on its output. */
  readonly behind: readonly string[];
}

/** Why a run cannot be looked at. */
export interface NoReplay {
  readonly why: string;
}

/** The last point at or before a moment: of two at one moment the later. */
export function indexAt(time_s: Float64Array, moment_s: number): number {
  let low = 0;
  let high = time_s.length - 1;
  if (!(moment_s >= (time_s[0] ?? 0))) return 0;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (time_s[middle]! <= moment_s) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** A curve's value at a moment, straight between its points; before the first and after the last of them it stays as there. */
export function valueAt({ time_s }: Pick<Replay, 'time_s'>, { values }: Pick<ReplayColumn, 'values'>, moment_s: number): number {
  const at = indexAt(time_s, moment_s);
  const [from, to] = [time_s[at]!, time_s[at + 1]];
  if (to === undefined || !(to > from) || !(moment_s > from)) return values[at]!;
  return values[at]! + ((values[at + 1]! - values[at]!) * (moment_s - from)) / (to - from);
}

/** The columns of one part, point, lead or conductor, in the order in which a replay lists them. */
export function columnsOf({ columns }: Pick<Replay, 'columns'>, owner: Owner): ReplayColumn[] {
  return columns.filter(({ of }) => of.some((one) => sameOwner(one, owner)));
}

function sameOwner(a: Owner, b: Owner): boolean {
  if ('part' in a) return 'part' in b && a.part === b.part;
  if ('point' in a) return 'point' in b && a.point === b.point;
  return 'chain' in b && a.chain === b.chain && a.role === b.role && a.item === b.item;
}

/** What is the case at a moment of something that changes from time to time. */
export function lastBefore<T extends { readonly from_s: number }>(track: readonly T[], moment_s: number): T | undefined {
  return track.findLast(({ from_s }) => from_s <= moment_s);
}

/** What goes on at a moment, in words: `turn Q1 to ON`, `push with M1, stall with M3`. */
export function wordsAt({ marks }: Pick<Replay, 'marks'>, moment_s: number): string {
  return marks.filter(({ sort, from_s, until_s }) => sort === 'step' && from_s <= moment_s && moment_s < until_s).map(({ words }) => words).join(', ');
}
