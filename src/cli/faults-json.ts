import type { Machine } from '../machine/machine.ts';
import { effectVerdict } from '../questions/faults.ts';
import type { Effect } from '../questions/states/failure-effects.ts';
import type { PairsTried } from './pair-search.ts';

/** What single failures do, and pairs of them where they were asked for. */
export interface Faults {
  readonly machine: Machine;
  /** The gravest first. */
  readonly effects: readonly Effect[];
  /** States that were looked at, full drive aside. */
  readonly states: number;
  readonly covered: number;
  readonly solved: number;
  readonly unsolved: number;
  readonly state: string | undefined;
  readonly pairs: (Omit<PairsTried, 'found'> & { readonly effects: readonly Effect[] }) | undefined;
}

/** One object with SI values; null for what is not known. schema/faults.schema.json describes it. */
export function faultsJson({ machine, effects, states, covered, solved, unsolved, state, pairs }: Faults, around: { readonly fingerprint: string; readonly version: string }): string {
  const object = {
    machine: machine.name,
    ...around,
    state: state ?? null,
    states,
    covered,
    solved,
    unsolved,
    failures: effects.map(effectObject),
    pairs: pairs === undefined ? null : {
      done: pairs.done, of: pairs.of, complete: pairs.done === pairs.of,
      covered: pairs.covered, solved: pairs.solved, unsolved: pairs.unsolved,
      found: pairs.effects.map(effectObject),
    },
  };
  return `${JSON.stringify(object, null, 2)}\n`;
}

function effectObject(effect: Effect): object {
  const { failures, consequence, noticed, state, driving, wakes, dark, strains, moves, reversed } = effect;
  const seen = consequence !== 'nothing seen';
  return {
    failures: failures.map(({ part, mode, words }) => ({ part, mode, words })),
    consequence,
    verdict: effectVerdict(effect),
    noticed: seen ? noticed : null,
    where: seen ? state.words : null,
    slip: seen && state.slip,
    driving,
    wakes,
    moves,
    dark,
    reversed: reversed.map(({ part, volts_V, diodes_A }) => ({ load: part, voltage: volts_V, current: diodes_A ?? null })),
    strains: strains.map(({ part, words, guard, current_A, within_s, melts_s }) => ({ part, words, guard, current: current_A, within: within_s, melts: melts_s ?? null })),
  };
}
