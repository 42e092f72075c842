import type { Failure } from '../../machine/network/failures.ts';
import type { Setting, Situation } from '../../machine/network/situation.ts';
import type { EverySituation, MergedSituation } from './every-state.ts';
import { classify } from './load-class.ts';

/** Classes of all loads in one situation with one failure; undefined where no state of rest was found. */
export type FailureLook = (failure: Failure, situation: MergedSituation, classes: Uint8Array | undefined) => void;

/** How far a walk over all failures has come. */
export interface FailureCount {
  /** Situations times failures that were covered. */
  covered: number;
  /** Of those, the ones that had to be solved; in the others the failure lies where nothing flows. */
  solved: number;
}

/**
 * Puts a machine into every situation with every failure, one at a time. A failure that lies where no source can drive a
 * current changes nothing and is not solved again; one that closes a way has situations of its own.
 */
export function everyFailure(setting: Setting, every: EverySituation, failures: readonly Failure[], present: Uint8Array, look: FailureLook): FailureCount {
  const count: FailureCount = { covered: 0, solved: 0 };
  const classes = new Uint8Array(setting.machine.loads.length);
  const solve = (failure: Failure, situation: MergedSituation): void => {
    count.covered += situation.standsFor;
    if (!touches(failure, situation, setting)) return;
    count.solved++;
    setting.set(situation, [failure.change], situation.reached);
    if (!setting.settle()) {
      look(failure, situation, undefined);
      return;
    }
    classify(setting, situation.reached, classes);
    look(failure, situation, classes);
  };
  // All situations first: solving one with a failure leaves that failure in the setting, whose ways the walk follows.
  const situationsWith = (changes: readonly Failure['change'][]): MergedSituation[] => {
    const situations: MergedSituation[] = [];
    setting.set({ positions: new Uint8Array(setting.machine.rows.length), present }, changes);
    every.visit(present, (situation) => situations.push(situation));
    return situations;
  };
  const opening = failures.filter((failure) => !failure.closes);
  for (const situation of situationsWith([])) for (const failure of opening) solve(failure, situation);
  for (const failure of failures.filter((one) => one.closes)) for (const situation of situationsWith([failure.change])) solve(failure, situation);
  return count;
}

/** Whether anything flows where a failure lies. */
export function touches(failure: Failure, { driven, reached }: Pick<MergedSituation, 'driven' | 'reached'>, { machine }: Setting): boolean {
  if (failure.strands.some((s) => driven[s] === 1)) return true;
  if (failure.nodes.length > 0 && failure.nodes.every((node) => reached[node] === 1)) return true;
  // A way that a failure closes may join two nodes that are reached, or lead on from one.
  return failure.closes && failure.strands.some((s) => reached[machine.strands[s]!.a] === 1 && reached[machine.strands[s]!.b] === 1);
}

/** The same for situations that a procedure reaches. */
export function reachedWith(setting: Setting, every: EverySituation, situation: Situation, failures: readonly Failure[]): MergedSituation {
  setting.set(situation, failures.map((failure) => failure.change));
  return { ...situation, standsFor: 1, asked: new Uint8Array(situation.positions.length).fill(1), ...every.reach(situation) };
}
