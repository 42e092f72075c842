import type { Failure } from '../../machine/network/failures.ts';
import type { Setting, Situation } from '../../machine/network/situation.ts';
import { exchanges } from './equal-branches.ts';
import type { EverySituation, MergedSituation } from './every-state.ts';
import { KnownFailures, type Place } from './known-failures.ts';
import { classify } from './load-class.ts';

/** Classes of all loads in one situation with one failure; undefined where no state of rest was found. */
export type FailureLook = (failure: Failure, situation: MergedSituation, classes: Uint8Array | undefined) => void;

/** How far a walk over all failures has come. */
export interface FailureCount {
  /** Situations times failures that were covered. */
  covered: number;
  /** Of those, the ones that had to be solved. */
  solved: number;
  /** Of those, the ones that follow from one that was solved: the same change, or that of an equal branch. In the rest the failure lies where nothing flows. */
  exchanged: number;
}

/**
 * Puts a machine into every situation with every failure, one at a time. A failure that lies where no source can drive a
 * current changes nothing and is not solved again; one that closes a way has situations of its own.
 * @param options.equalBranches  false to solve also what follows from a case that is known
 */
export function everyFailure(setting: Setting, every: EverySituation, failures: readonly Failure[], present: Uint8Array, look: FailureLook, options: { readonly equalBranches?: boolean } = {}): FailureCount {
  const count: FailureCount = { covered: 0, solved: 0, exchanged: 0 };
  const classes = new Uint8Array(setting.machine.loads.length);
  const known = options.equalBranches === false ? undefined : new KnownFailures(setting.machine, setting.values, failures, exchanges(setting.machine, setting.values));
  const solve = (failure: Failure, situation: MergedSituation, place: Place | undefined): void => {
    count.covered += situation.standsFor;
    if (!touches(failure, situation, setting)) return;
    const image = place === undefined ? undefined : known!.find(place, failure);
    if (image !== undefined) {
      count.exchanged++;
      look(failure, situation, image.classes);
      return;
    }
    count.solved++;
    setting.set(situation, [failure.change], situation.reached);
    const found = setting.settle() ? classes : undefined;
    if (found !== undefined) classify(setting, situation.reached, found);
    if (place !== undefined) known!.keep(place, failure, found);
    look(failure, situation, found);
  };
  // All situations first: solving one with a failure leaves that failure in the setting, whose ways the walk follows.
  const situationsWith = (changes: readonly Failure['change'][]): MergedSituation[] => {
    const situations: MergedSituation[] = [];
    setting.set({ positions: new Uint8Array(setting.machine.rows.length), present }, changes);
    every.visit(present, (situation) => situations.push(situation));
    return situations;
  };
  const opening = failures.filter((failure) => !failure.closes);
  for (const situation of situationsWith([])) {
    const place = known?.place(situation);
    for (const failure of opening) solve(failure, situation, place);
  }
  for (const failure of failures.filter((one) => one.closes)) for (const situation of situationsWith([failure.change])) solve(failure, situation, known?.place(situation));
  return count;
}

/** Whether anything flows where a failure lies. */
export function touches(failure: Failure, { driven, reached }: Pick<MergedSituation, 'driven' | 'reached'>, { machine }: Setting): boolean {
  const fed = (k: number): boolean => {
    const { plus, minus, logic = plus } = machine.loads[k]!;
    return (reached[plus] === 1 || reached[logic] === 1) && reached[minus] === 1;
  };
  if (failure.loads.some(fed)) return true;
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
