import type { MergedSituation } from './every-state.ts';

/** What one situation makes of every load. */
export interface Surveyed {
  readonly situation: MergedSituation;
  /** Class of each load, an index into CLASSES. */
  readonly classes: Uint8Array;
  /** Voltage across each load, V. */
  readonly voltages: Float64Array;
  /** 1 for each load that is meant to be fed. */
  readonly fed: Uint8Array;
  /** Loads that start, pull their supply down, and start again. */
  readonly came: Uint8Array;
}
