import { rank, type Effect, type FailureStudy } from './failure-effects.ts';
import type { ReachedState } from './procedure-states.ts';

/** Two failures that together do worse than either alone, or the same unnoticed: by numbers, so that a thread can hand it over. */
export interface PairFound extends Omit<Effect, 'failures' | 'state'> {
  /** Indices into the study's failures. */
  readonly first: number;
  readonly second: number;
  /** Index into the states as written; undefined at full drive. */
  readonly at: number | undefined;
}

/** What became of all pairs with one failure as their first. */
export interface PairRow {
  readonly pairs: number;
  /** Pairs times states that were covered. */
  readonly covered: number;
  /** Of those, the ones that had to be solved; in the others one of the two changes nothing beside the other. */
  readonly solved: number;
  readonly unsolved: number;
  readonly found: readonly PairFound[];
}

/** How far a search over pairs has come. */
export interface PairProgress {
  readonly done: number;
  readonly of: number;
}

/** All pairs of failures of different parts, in the states that the procedure reaches as written and at full drive. */
export class PairSearch {
  /** Pairs that there are. */
  readonly of: number;
  readonly states: readonly ReachedState[];
  private readonly alone: readonly number[];

  constructor(private readonly study: FailureStudy) {
    const { failures } = study;
    this.states = study.states.filter((state) => !state.slip);
    study.restart();
    this.alone = failures.map((failure) => rank(study.worstOf([failure], this.states)));
    let of = 0;
    failures.forEach((failure, k) => {
      for (let other = k + 1; other < failures.length; other++) if (failures[other]!.part !== failure.part) of++;
    });
    this.of = of;
  }

  /** Rows that there are, each with one failure as the first of its pairs. */
  get rows(): number {
    return this.study.failures.length;
  }

  /** Tries every pair of a row. Gives the same whatever was tried before, so that rows may be shared out over threads. */
  row(first: number): PairRow {
    const { study } = this;
    const { failures } = study;
    const before = { solved: study.solved, unsolved: study.unsolved };
    study.restart();
    const found: PairFound[] = [];
    let pairs = 0;
    for (let second = first + 1; second < failures.length; second++) {
      if (failures[second]!.part === failures[first]!.part) continue;
      pairs++;
      const worst = this.worst(first, second);
      if (worst !== undefined) found.push(worst);
    }
    return { pairs, covered: pairs * (this.states.length + 1), solved: study.solved - before.solved, unsolved: study.unsolved - before.unsolved, found };
  }

  /** What was found, as an effect of the study's failures. */
  effect({ first, second, at, ...own }: PairFound): Effect {
    const { failures, full } = this.study;
    return { ...own, failures: [failures[first]!, failures[second]!], state: at === undefined ? full : this.states[at]! };
  }

  /** The worst of a pair over all states, where it ranks above either alone. Where one changes nothing beside the other it cannot be. */
  private worst(first: number, second: number): PairFound | undefined {
    const { study, states } = this;
    const a = study.failures[first]!;
    const b = study.failures[second]!;
    let worst: Effect | undefined;
    let place: number | undefined;
    for (let at = 0; at <= states.length; at++) {
      const driving = at === states.length;
      const state = driving ? study.full : states[at]!;
      const effect = study.independent(a, b, state) ? undefined : study.effect([a, b], state, driving);
      if (effect === undefined || (worst !== undefined && rank(effect) <= rank(worst))) continue;
      worst = effect;
      place = driving ? undefined : at;
    }
    if (worst === undefined || rank(worst) <= Math.max(this.alone[first]!, this.alone[second]!)) return undefined;
    const { consequence, noticed, wakes, moves, dark, reversed, strains, driving } = worst;
    return { first, second, at: place, consequence, noticed, wakes, moves, dark, reversed, strains, driving };
  }
}

/** Tries all pairs, yielding how far it has come; returns what was found, see {@link byRank}. */
export function* failurePairs(search: PairSearch): Generator<PairProgress, PairFound[]> {
  const found: PairFound[] = [];
  let done = 0;
  for (let first = 0; first < search.rows; first++) {
    const row = search.row(first);
    done += row.pairs;
    found.push(...row.found);
    yield { done, of: search.of };
  }
  return byRank(search, found);
}

/** The worst first; alike ones in the order of the failures. */
export function byRank(search: PairSearch, found: readonly PairFound[]): PairFound[] {
  const keyed = found.map((one) => ({ one, rank: rank(search.effect(one)) }));
  return keyed.sort((x, y) => y.rank - x.rank || x.one.first - y.one.first || x.one.second - y.one.second).map(({ one }) => one);
}
