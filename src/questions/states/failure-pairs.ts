import { CONSEQUENCES, rank, type Effect, type FailureStudy } from './failure-effects.ts';

/** How far a search over pairs has come, and what it has found since it was last asked. */
export interface PairProgress {
  readonly done: number;
  readonly of: number;
}

/**
 * Tries all pairs of failures of different parts in the states that the procedure reaches as written. Yields how far it has come after every `each` pairs, so that a caller
 * can show it and stop; returns the pairs that do what neither of the two does alone, the worst first.
 */
export function* failurePairs(study: FailureStudy, each = 50): Generator<PairProgress, Effect[]> {
  const { failures } = study;
  const states = study.states.filter((state) => !state.slip);
  const single = failures.map((failure) => study.worstOf([failure], states));
  const of = (failures.length * (failures.length - 1)) / 2;
  const found: Effect[] = [];
  let done = 0;
  for (let a = 0; a < failures.length; a++)
    for (let b = a + 1; b < failures.length; b++) {
      done++;
      if (done % each === 0) yield { done, of };
      if (failures[a]!.part === failures[b]!.part) continue;
      const effect = study.worstOf([failures[a]!, failures[b]!], states);
      const alone = Math.max(severity(single[a]!), severity(single[b]!));
      if (severity(effect) > alone) found.push(effect);
    }
  yield { done, of };
  return found.sort((x, y) => rank(y) - rank(x));
}

function severity(effect: Effect): number {
  return CONSEQUENCES.indexOf(effect.consequence);
}
