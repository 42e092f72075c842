import type { CurrentCurve } from './pulse-shape.ts';

/** What a match asks of the machine, where one has been played: without it the controllers' stated limits count. */
export interface MatchLoads {
  /** `gentle`, with its seed. */
  readonly name: string;
  /** Current through a part over the match; undefined for a part that it says nothing of. */
  currentThrough(part: string): CurrentCurve | undefined;
}

/** The largest current of a curve, with its direction kept out, A. */
export function peak_A({ current_A }: CurrentCurve): number {
  return current_A.reduce((most, one) => Math.max(most, Math.abs(one)), 0);
}
