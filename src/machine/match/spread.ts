import type { Duty } from '../duty/duty.ts';
import type { MatchModel } from './model.ts';
import type { MatchOutcome } from './record.ts';
import { runMatch } from './run.ts';

/** A match with its number among many. */
export interface NumberedMatch {
  readonly sample: number;
  readonly outcome: MatchOutcome;
}

/**
 * Matches of a spread: every one has values of the machine and events of the duty of its own, which follow from the seed
 * and its number alone, so that any number of threads gives the same.
 */
export function fightSamples(match: MatchModel, duty: Duty, seed: number, samples: readonly number[]): NumberedMatch[] {
  return samples.map((sample) => ({ sample, outcome: runMatch(match, { values: match.inputs.sample(seed, sample), duty, seed: dutySeed(seed, sample) }) }));
}

/** Seed of the duty in match number `sample`: 2³²/φ spreads neighbours far apart. */
export function dutySeed(seed: number, sample: number): number {
  return (seed + Math.imul(sample + 1, 0x9e3779b9)) >>> 0;
}
