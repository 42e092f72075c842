import { failuresOf } from '../../machine/network/failures.ts';
import { Intended } from '../../machine/network/intended.ts';
import type { MachineNetwork } from '../../machine/network/machine-network.ts';
import { buildNetwork } from '../../machine/network/network.ts';
import { HICCUPS, Setting, type Situation } from '../../machine/network/situation.ts';
import type { Machine } from '../../machine/machine.ts';
import { conductorStates, type ConductorLook } from './conductor-states.ts';
import { reachedWith } from './every-failure.ts';
import { EverySituation } from './every-state.ts';
import { feedingPath } from './feeding-path.ts';
import { classify, CLASSES, type LoadClass } from './load-class.ts';
import { poweredUp } from './procedure-states.ts';

/** A switch as a person sees it: its positions by name. */
export interface SeenSwitch {
  readonly part: string;
  readonly positions: readonly string[];
}

/** A situation by names, so that it outlives an edit of the machine. */
export interface NamedSituation {
  /** Position of each switch; a switch that is not named stands as after the power up. */
  readonly positions: Readonly<Record<string, string>>;
  /** Packs that are out, bench supplies that are off. */
  readonly absent: readonly string[];
  /** Motors that turn. */
  readonly turning: readonly string[];
  /** Words of what has failed: `fuse F1 open`. */
  readonly failures: readonly string[];
}

/** What can be changed about a machine's situation. */
export interface Changeables {
  readonly switches: readonly SeenSwitch[];
  readonly packs: readonly string[];
  readonly motors: readonly string[];
  readonly failures: readonly { readonly part: string; readonly words: string }[];
  readonly poweredUp: Readonly<Record<string, string>>;
}

export interface LoadLook {
  readonly part: string;
  /** `charged`: it holds a voltage and sleeps, which only a moment of a run can say. */
  readonly state: LoadClass | 'charged';
  readonly volts_V: number;
  /** Whether the wiring means it to be fed as the switches stand. */
  readonly meant: boolean;
  /** Starts, pulls its supply down, stops, and again. */
  readonly hiccups: boolean;
  /** How it is fed; undefined for one that is dead. */
  readonly path: { readonly from: string | undefined; readonly parts: readonly string[]; readonly words: readonly string[]; readonly strands: readonly string[] } | undefined;
}

/** What one situation makes of a machine. */
export interface SituationLook extends ConductorLook {
  /** False where no state of rest was found: then nothing else is said. */
  readonly solved: boolean;
  readonly loads: readonly LoadLook[];
}

/** A machine that is put into one situation after another and looked at each time. */
export class Situations {
  readonly changeables: Changeables;
  private readonly network: MachineNetwork;
  private readonly setting: Setting;
  private readonly every: EverySituation;
  private readonly intended: Intended;
  private readonly failures: ReturnType<typeof failuresOf>;
  private readonly up: Situation;

  constructor(machine: Machine) {
    this.network = buildNetwork(machine);
    this.setting = new Setting(this.network, this.network.inputs.nominal());
    this.every = new EverySituation(this.setting);
    this.intended = new Intended(this.network);
    this.failures = failuresOf(this.network);
    this.up = poweredUp(this.network);
    const { rows, sources } = this.network;
    this.changeables = {
      switches: rows.map(({ part, positions }) => ({ part, positions: positions.map(({ name }) => name) })),
      packs: sources.filter(({ kind }) => kind === 'pack' || kind === 'bench supply').map(({ part }) => part),
      motors: sources.filter(({ kind }) => kind === 'spinning motor').map(({ part }) => part),
      failures: this.failures.map(({ part, words }) => ({ part, words })),
      poweredUp: Object.fromEntries(rows.map(({ part, positions }, row) => [part, positions[this.up.positions[row]!]!.name])),
    };
  }

  /** Puts the machine into a situation and says what is live, fed, leaking or dead. Names that it does not know change nothing. */
  look(named: NamedSituation): SituationLook {
    const { network, setting } = this;
    const failures = this.failures.filter(({ words }) => named.failures.includes(words));
    const situation = reachedWith(setting, this.every, this.situation(named), failures);
    setting.set(situation, failures.map(({ change }) => change), situation.reached);
    if (!setting.settle()) return { solved: false, loads: [], conductors: {}, places: {} };
    const conductors = conductorStates(setting, situation, failures.flatMap(({ part, mode }) => (mode === 'open' ? [part] : [])));
    const classes = new Uint8Array(network.loads.length);
    const meant = this.intended.fed(situation);
    const volts = network.loads.map((load) => setting.across(load));
    const came = setting.came.slice();
    classify(setting, situation.reached, classes);
    // Classifying tries loads out: the state of rest has to be found anew before its currents are followed.
    setting.set(situation, failures.map(({ change }) => change), situation.reached);
    setting.settle();
    const loads = network.loads.map((load, k): LoadLook => ({
      part: load.part,
      state: CLASSES[classes[k]!]!,
      volts_V: volts[k]!,
      meant: meant[k] === 1,
      hiccups: came[k] === HICCUPS,
      path: classes[k] === 0 ? undefined : feedingPath(setting, k),
    }));
    return { solved: true, loads, ...conductors };
  }

  private situation({ positions, absent, turning }: NamedSituation): Situation {
    const { rows, sources } = this.network;
    return {
      positions: Uint8Array.from(rows, ({ part, positions: all }, row) => {
        const at = all.findIndex(({ name }) => name === positions[part]);
        return at >= 0 ? at : this.up.positions[row]!;
      }),
      present: Uint8Array.from(sources, ({ part, kind }) => (kind === 'spinning motor' ? (turning.includes(part) ? 1 : 0) : absent.includes(part) ? 0 : 1)),
    };
  }
}
