import { Intended } from '../../machine/network/intended.ts';
import { buildNetwork } from '../../machine/network/network.ts';
import type { MachineNetwork } from '../../machine/network/machine-network.ts';
import { Setting } from '../../machine/network/situation.ts';
import type { Machine } from '../../machine/machine.ts';
import { EverySituation, positionCount } from './every-state.ts';
import { exchanges } from './equal-branches.ts';
import { KnownStates } from './known-states.ts';
import { classify } from './load-class.ts';
import type { Surveyed } from './surveyed.ts';

/** Every situation of a machine. */
export interface Survey {
  readonly network: MachineNetwork;
  readonly setting: Setting;
  readonly every: EverySituation;
  readonly intended: Intended;
  readonly surveyed: readonly Surveyed[];
  /** Situations that there are: positions times sources. */
  readonly situations: number;
  /** Situations in which no state of rest was found. */
  readonly unsolved: number;
  /** Of those that differ, the ones that an exchange of equal branches makes of another. */
  readonly exchanged: number;
  /** True when motors were tried at rest, each alone and all together, because all combinations were too many. */
  readonly motorsInTurn: boolean;
}

/** Combinations of positions and sources up to which every one is gone through. */
const ALL_COMBINATIONS = 60_000;

/**
 * Puts a machine into every situation and looks at every load.
 * @param options.equalBranches  false to solve also what an exchange of equal branches makes of a state that is known
 */
export function survey(machine: Machine, options: { readonly equalBranches?: boolean } = {}): Survey {
  const network = buildNetwork(machine);
  const setting = new Setting(network, network.inputs.nominal());
  const every = new EverySituation(setting);
  const intended = new Intended(network);
  const positions = positionCount(network);
  const { combinations, motorsInTurn } = sourceCombinations(network, positions);
  const known = new KnownStates(options.equalBranches === false ? [] : exchanges(network, setting.values));
  const surveyed: Surveyed[] = [];
  let unsolved = 0;
  for (const present of combinations) unsolved += surveyPresent({ setting, every, intended }, present, (one) => surveyed.push(one), known);
  return { network, setting, every, intended, surveyed, situations: combinations.length * positions, unsolved, exchanged: known.images, motorsInTurn };
}

/**
 * Puts a machine into every situation with the sources that are there.
 * @param present  1 for each source that is there
 * @param known  states that were looked at before; those that an exchange of equal branches makes of them are not solved again
 * @returns how many situations had no state of rest
 */
export function surveyPresent({ setting, every, intended }: Pick<Survey, 'setting' | 'every' | 'intended'>, present: Uint8Array, look: (one: Surveyed) => void, known?: KnownStates): number {
  const { loads } = setting.machine;
  let unsolved = 0;
  every.visit(present, (situation) => {
    const image = known?.imageOf(situation, intended.fed(situation));
    if (image !== undefined) {
      look(image);
      return;
    }
    setting.set(situation, [], situation.reached);
    if (!setting.settle()) {
      unsolved += situation.standsFor;
      return;
    }
    const voltages = Float64Array.from(loads, (load) => setting.across(load));
    const came = setting.came.slice();
    const classes = new Uint8Array(loads.length);
    classify(setting, situation.reached, classes);
    const found = { situation, classes, voltages, fed: intended.fed(situation), came };
    known?.keep(found);
    look(found);
  });
  return unsolved;
}

/** Which sources are there: every combination of packs, with every combination of motors that turn as far as that goes. */
function sourceCombinations(network: MachineNetwork, positions: number): { readonly combinations: Uint8Array[]; readonly motorsInTurn: boolean } {
  const kinds = network.sources.map((source) => source.kind);
  const motors = kinds.flatMap((kind, k) => (kind === 'spinning motor' ? [k] : []));
  const packs = kinds.flatMap((kind, k) => (kind === 'pack' || kind === 'bench supply' ? [k] : []));
  const motorsInTurn = positions * 2 ** kinds.length > ALL_COMBINATIONS;
  const turning = motorsInTurn ? [[], ...motors.map((k) => [k]), motors] : subsets(motors);
  const combinations = subsets(packs).flatMap((there) => turning.map((some) => Uint8Array.from(kinds, (kind, k) => (kind === 'bench lead' || there.includes(k) || some.includes(k) ? 1 : 0))));
  return { combinations, motorsInTurn };
}

/** All first, none last. */
function subsets(list: readonly number[]): number[][] {
  return Array.from({ length: 2 ** list.length }, (_, mask) => list.filter((_one, k) => (mask & (1 << k)) === 0));
}
