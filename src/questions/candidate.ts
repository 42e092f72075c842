import type { Change } from '../machine/edit.ts';
import type { MatchLoads } from './match-loads.ts';
import type { Study } from './study.ts';

/** A change that may help, before it is tried. */
export interface Candidate {
  readonly what: string;
  readonly free: boolean;
  readonly changes: readonly Change[];
  readonly caution: string | undefined;
  /** Candidates of one ladder come mild ones first: once one is good, what is harder is not tried. */
  readonly ladder?: string;
  /** The match's loads, where the change leaves them as they are. */
  readonly loads?: MatchLoads;
  /** What else the change does, looked up on the changed machine. */
  readonly beside?: (changed: Study) => string | undefined;
}
