import type { Stroke } from './shapes.ts';

/** A conductor is live (straight from a pack), fed (through an impedance), leaking (by a stray path) or dead. */
export type ConductorState = 'live' | 'fed' | 'leaking' | 'dead';

/** What a load can do; `charged`: it holds a voltage and sleeps. */
export type LoadState = 'dead' | 'leaking' | 'charged' | 'awake' | 'can move';

/** A figure at a moment of a run: its name finds it again on a screen. */
export interface Figure {
  readonly name: string;
  readonly text: string;
}

/** The state in which a machine is drawn. Everything is optional: what is not named is drawn plainly. */
export interface Situation {
  /** In words, printed on the sheet: `drive on CHARGE, arm OFF, link in`. */
  readonly words?: string;
  /** Position of each switch by its part: a position's name, `open`, `closed`, `SOFT`, `ON`. */
  readonly positions?: ReadonlyMap<string, string>;
  /** By conductor (`wiring.drive#1`), by chain (`wiring.drive`), or by part. */
  readonly conductors?: ReadonlyMap<string, ConductorState>;
  readonly loads?: ReadonlyMap<string, LoadState>;
  /** What stands at a place: `8.27 V`. */
  readonly voltages?: ReadonlyMap<string, string>;
  /** State of a place, by its name. */
  readonly places?: ReadonlyMap<string, ConductorState>;
  /** Parts and conductors of a highlighted path. */
  readonly path?: ReadonlySet<string>;
  /** What has failed, and how: `open`, `welded`. */
  readonly failed?: ReadonlyMap<string, string>;
  /** Figures of a moment, the most telling first, by `part T1`, `point bar` and conductor (`wiring.drive#1`): they take the place of sizes and facts. */
  readonly figures?: ReadonlyMap<string, readonly Figure[]>;
}

/** Lines of conductors: weight and dash first, tone second, so that black ink tells them apart. */
export const LINES = {
  supply: { width_mm: 0.7, tone: 'ink', cap: 'round' },
  return: { width_mm: 0.5, tone: 'ink', cap: 'round' },
  'signal ground': { width_mm: 0.35, tone: 'ink', dash_mm: [1.8, 1], cap: 'butt' },
  live: { width_mm: 1.3, tone: 'live', cap: 'round' },
  fed: { width_mm: 0.9, tone: 'live', dash_mm: [3, 1.3], cap: 'butt' },
  leaking: { width_mm: 0.8, tone: 'live', dash_mm: [0, 1.6], cap: 'round' },
  dead: { width_mm: 0.35, tone: 'dead', cap: 'round' },
} as const satisfies Record<string, Stroke>;

/** A bar where many leads meet, over its lead's own line. */
export const BAR_MM = 1.0;
