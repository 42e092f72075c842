import { Intended } from '../../machine/network/intended.ts';
import type { NetworkSource } from '../../machine/network/machine-network.ts';
import { buildNetwork } from '../../machine/network/network.ts';
import { HICCUPS, Setting, type Situation } from '../../machine/network/situation.ts';
import type { Machine } from '../../machine/machine.ts';
import { available, type Available } from './available.ts';
import { EverySituation, positionCount } from './every-state.ts';
import { exchanges } from './equal-branches.ts';
import { feedingPath, type FeedingPath } from './feeding-path.ts';
import { KnownStates } from './known-states.ts';
import { CLASSES, classify, type LoadClass } from './load-class.ts';
import { procedureStates } from './procedure-states.ts';
import { surveyPresent, type Survey } from './survey.ts';
import type { Surveyed } from './surveyed.ts';

/** What is asked of a machine's states, ready to be asked. */
export type Asking = Pick<Survey, 'network' | 'setting' | 'every' | 'intended'>;

/** Every state with certain sources. */
export interface StateTable {
  /** States that differ. */
  readonly rows: readonly Surveyed[];
  /** States that there are. */
  readonly states: number;
  /** Of those, the ones in which no state of rest was found. */
  readonly unsolved: number;
  /** Of those that differ, the ones that an exchange of equal branches makes of another. */
  readonly exchanged: number;
}

/** One load in one state, in full. */
export interface LoadDetail {
  readonly part: string;
  readonly kind: string;
  readonly class: LoadClass;
  readonly voltage_V: number;
  /** Whether it is meant to be fed. */
  readonly meant: boolean;
  /** Whether it starts, pulls its supply down, stops, and again. */
  readonly hiccups: boolean;
  /** Switches that stand open on the way that it is meant to be fed by. */
  readonly open: readonly string[];
  /** What it could draw and how that comes to it; undefined for a load that is dead. */
  readonly reach: (Available & { readonly path: FeedingPath }) | undefined;
}

export function asking(machine: Machine): Asking {
  const network = buildNetwork(machine);
  const setting = new Setting(network, network.inputs.nominal());
  return { network, setting, every: new EverySituation(setting), intended: new Intended(network) };
}

/** Sources that are there: every pack but those that are out, and of the motors those that turn. */
export function presentSources(sources: readonly NetworkSource[], out: readonly string[], turning: readonly string[]): Uint8Array {
  return Uint8Array.from(sources, ({ kind, part }) => (kind === 'spinning motor' ? turning.includes(part) : !out.includes(part)) ? 1 : 0);
}

/** @param options.equalBranches  false to solve also what an exchange of equal branches makes of a state that is known */
export function stateTable(asked: Asking, present: Uint8Array, options: { readonly equalBranches?: boolean } = {}): StateTable {
  const { network, setting } = asked;
  const rows: Surveyed[] = [];
  const known = new KnownStates(options.equalBranches === false ? [] : exchanges(network, setting.values));
  const unsolved = surveyPresent(asked, present, (one) => rows.push(one), known);
  return { rows, states: positionCount(network), unsolved, exchanged: known.images };
}

/** Where every switch stands before the first step: what no step names is closed, the rest is open. */
export function startPositions({ network }: Asking): Uint8Array {
  return procedureStates(network)[0]!.situation.positions;
}

/** Every load in one state; undefined where no state of rest was found. */
export function stateDetail({ network, setting, every, intended }: Asking, situation: Situation): LoadDetail[] | undefined {
  setting.set(situation);
  const { reached } = every.reach(situation);
  setting.set(situation, [], reached);
  if (!setting.settle()) return undefined;
  const classes = new Uint8Array(network.loads.length);
  classify(setting, reached, classes);
  const fed = intended.fed(situation);
  const came = setting.came.slice();
  return network.loads.map((load, k): LoadDetail => ({
    part: load.part,
    kind: load.kind,
    class: CLASSES[classes[k]!]!,
    voltage_V: setting.across(load),
    meant: fed[k] === 1,
    hiccups: came[k] === HICCUPS,
    open: intended.openOnTheWay(k, situation),
    reach: classes[k] === 0 ? undefined : { ...available(setting, k), path: feedingPath(setting, k) },
  }));
}
