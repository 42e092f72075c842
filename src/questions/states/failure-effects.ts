import { WIDTH } from '../../engine/network/network.ts';
import { DRIFTED_RESISTOR, failuresOf, type Failure } from '../../machine/network/failures.ts';
import { Intended } from '../../machine/network/intended.ts';
import { buildNetwork } from '../../machine/network/network.ts';
import type { MachineNetwork } from '../../machine/network/machine-network.ts';
import { Setting } from '../../machine/network/situation.ts';
import type { Machine } from '../../machine/machine.ts';
import type { ResistorLimits } from '../../physics/resistor-limits.ts';
import { reachedWith, touches } from './every-failure.ts';
import { EverySituation, type MergedSituation } from './every-state.ts';
import { classify, CLASSES } from './load-class.ts';
import { procedureStates, poweredUp, type ReachedState } from './procedure-states.ts';
import { StrandLimits, type Strain } from './strand-limits.ts';

/** What a failure comes to, from harmless to worst; the order in which they are ranked. */
export const CONSEQUENCES = ['nothing seen', 'goes dark', 'a guard opens', 'wakes', 'burns', 'reversed', 'can move'] as const;
export type Consequence = (typeof CONSEQUENCES)[number];

/** How a crew would notice. */
export type Noticed = 'not at all' | 'by its mirror contact' | 'by a lamp' | 'nothing starts' | 'by smoke';

/** A load that stands the wrong way round. */
export interface ReversedLoad {
  readonly part: string;
  /** How far its + lies under its −, V. */
  readonly volts_V: number;
  /** What its transistors' body diodes carry, A; undefined for a part that has none here. */
  readonly diodes_A: number | undefined;
}

/** What one failure does in one situation. */
export interface Effect {
  readonly failures: readonly Failure[];
  readonly state: ReachedState;
  readonly consequence: Consequence;
  readonly noticed: Noticed;
  /** Loads that wake or can move though they are not meant to be fed. */
  readonly wakes: readonly string[];
  /** Of those, the ones that can move. */
  readonly moves: readonly string[];
  /** Loads that are meant to be fed and are not awake any more. */
  readonly dark: readonly string[];
  /** Loads that it puts a voltage across the wrong way round, the one with the largest current first. */
  readonly reversed: readonly ReversedLoad[];
  /** What it strains beyond the healthy machine, the fastest first. */
  readonly strains: readonly Strain[];
  /** True when it happens at full drive and not at rest. */
  readonly driving: boolean;
}

interface Healthy {
  readonly merged: MergedSituation;
  readonly classes: Uint8Array;
  /** 1 for each load that is meant to be awake: fed, and not held off by its key or by what it waits for. */
  readonly fed: Uint8Array;
  readonly strained: readonly Strain[];
}

const AWAKE = CLASSES.indexOf('awake');
const CAN_MOVE = CLASSES.indexOf('can move');

/** Kinds of loads that something is lost by when they wake. */
const LIVE: ReadonlySet<string> = new Set(['controller', 'converter', 'receiver', 'servo', 'load']);

/** Loads with semiconductors or electrolytic capacitors at their terminals. */
const HURT_BY_REVERSAL: ReadonlySet<string> = new Set(['controller', 'converter', 'regulator', 'receiver', 'servo', 'load', 'capacitors']);
/** A reverse voltage that counts: over that of one junction, V. */
const REVERSED_V = 0.3;

/** Current through a body diode, and voltage across a part that has none in the model, from which on it counts as harm. Common practice, no source. */
const HURTS_A = 1;
const HURTS_V = 1;

/** Looks at what failures do, in the situations that a procedure reaches. */
export class FailureStudy {
  readonly network: MachineNetwork;
  readonly states: readonly ReachedState[];
  readonly failures: readonly Failure[];
  /** Situations in which no state of rest was found. */
  unsolved = 0;
  /** Situations times failures that were looked at. */
  covered = 0;
  /** Of those, the ones that had to be solved: in the others the failure lies where nothing flows. */
  solved = 0;
  /** Every switch as the power up leaves it, and every controller that is awake at its battery-current limit. */
  readonly full: ReachedState;
  private readonly setting: Setting;
  private readonly every: EverySituation;
  private readonly intended: Intended;
  private readonly healthy: Readonly<Record<'rest' | 'drive', Map<ReachedState, Healthy>>> = { rest: new Map(), drive: new Map() };
  /** What sources reach with one failure alone. */
  private readonly alone = new Map<Failure, Map<ReachedState, MergedSituation>>();
  private readonly classes: Uint8Array;
  /** Loads that stood reversed in the state of rest that was found last. */
  private reversed: readonly ReversedLoad[] = [];

  private readonly limits: StrandLimits;

  constructor(machine: Machine, limitsOf: (resistor: string) => ResistorLimits | undefined) {
    this.network = buildNetwork(machine);
    this.setting = new Setting(this.network, this.network.inputs.nominal());
    this.limits = new StrandLimits(this.network, this.setting.values, limitsOf);
    this.every = new EverySituation(this.setting);
    this.intended = new Intended(this.network);
    this.states = procedureStates(this.network);
    this.failures = failuresOf(this.network);
    this.full = { situation: poweredUp(this.network), words: 'at full drive', slip: false };
    this.classes = new Uint8Array(this.network.loads.length);
  }

  /** The worst that some failures together do, over states that the procedure reaches (all, unless given) and at full drive. */
  worstOf(failures: readonly Failure[], states: readonly ReachedState[] = this.states, full: ReachedState = this.full): Effect {
    let found: Effect | undefined;
    const consider = (effect: Effect | undefined): void => {
      if (effect === undefined) return;
      if (found === undefined || rank(effect) > rank(found) || (rank(effect) === rank(found) && backwards_A(effect) > backwards_A(found))) found = effect;
    };
    for (const state of states) consider(this.effect(failures, state, false));
    consider(this.effect(failures, full, true));
    return found ?? { failures, state: full, consequence: 'nothing seen', noticed: 'not at all', wakes: [], moves: [], dark: [], reversed: [], strains: [], driving: false };
  }

  /**
   * Whether one of two failures changes nothing in a state beside what the other does there alone: nothing flows where it
   * lies, neither with the other alone nor with both.
   */
  independent(a: Failure, b: Failure, state: ReachedState): boolean {
    const besideA = !touches(b, this.reachedAlone(a, state), this.setting);
    const besideB = !touches(a, this.reachedAlone(b, state), this.setting);
    if (!besideA && !besideB) return false;
    // One that only opens or shifts makes no new way, so with both there is none that is not there with the other.
    if ((besideA && !b.closes) || (besideB && !a.closes)) return true;
    const both = reachedWith(this.setting, this.every, state.situation, [a, b]);
    return (besideA && !touches(b, both, this.setting)) || (besideB && !touches(a, both, this.setting));
  }

  /** Voltages across the loads in a state with failures, V; undefined without a state of rest. */
  voltagesIn(failures: readonly Failure[], state: ReachedState): Float64Array | undefined {
    const merged = reachedWith(this.setting, this.every, state.situation, failures);
    this.setting.set(merged, failures.map((failure) => failure.change), merged.reached);
    return this.setting.settle() ? Float64Array.from(this.network.loads, (load) => this.setting.across(load)) : undefined;
  }

  /** Forgets the voltages of the state that was solved last: what follows does not depend on it. */
  restart(): void {
    this.setting.rest.voltages.fill(0);
  }

  private reachedAlone(failure: Failure, state: ReachedState): MergedSituation {
    let states = this.alone.get(failure);
    if (states === undefined) this.alone.set(failure, (states = new Map<ReachedState, MergedSituation>()));
    let found = states.get(state);
    if (found === undefined) states.set(state, (found = reachedWith(this.setting, this.every, state.situation, [failure])));
    return found;
  }

  /** What failures do in one state, at rest or at full drive; undefined where they touch nothing, or without a state of rest. */
  effect(failures: readonly Failure[], state: ReachedState, driving: boolean): Effect | undefined {
    const { setting, network, classes } = this;
    const before = this.healthyIn(state, driving);
    this.covered++;
    const [only] = failures;
    const merged = failures.length === 1 ? this.reachedAlone(only!, state) : reachedWith(setting, this.every, state.situation, failures);
    if (!failures.some((failure) => touches(failure, merged, setting) || touches(failure, before.merged, setting))) return undefined;
    this.solved++;
    const strained = this.rest(merged, failures, driving);
    if (strained === undefined) {
      this.unsolved++;
      return undefined;
    }
    const wakes: string[] = [];
    const dark: string[] = [];
    const moves: string[] = [];
    let lampTells = false;
    let staysDead = false;
    network.loads.forEach((load, k) => {
      if (load.kind === 'lamp' && (classes[k]! >= AWAKE) !== (before.classes[k]! >= AWAKE)) lampTells = true;
      if (!LIVE.has(load.kind)) return;
      if (before.fed[k] === 0 && classes[k]! >= AWAKE && classes[k]! > before.classes[k]!) {
        wakes.push(load.part);
        if (classes[k] === CAN_MOVE) moves.push(load.part);
      }
      if (before.fed[k] === 0 || before.classes[k]! < AWAKE) return;
      if (classes[k]! >= AWAKE) {
        // A motor that does not turn is seen at the first touch of the stick.
        if (before.classes[k] === CAN_MOVE && failures.some((failure) => failure.part === load.motor?.part)) staysDead = true;
        return;
      }
      staysDead = true;
      // That a load which has failed open is dead is the failure, not what it does.
      if (!failures.some((failure) => failure.part === load.part && failure.mode === 'open')) dark.push(load.part);
    });
    const fresh = strained.filter((one) => !before.strained.some((old) => old.part === one.part && old.within_s <= 1.2 * one.within_s));
    const guard = fresh.find((one) => one.guard);
    const burns = fresh.filter((one) => !one.guard && (guard === undefined || one.within_s < guard.within_s));
    const { reversed } = this;
    const consequence: Consequence = moves.length > 0 ? 'can move' : reversed.some(hurts) ? 'reversed' : burns.length > 0 ? 'burns' : wakes.length > 0 ? 'wakes' : guard !== undefined ? 'a guard opens' : dark.length > 0 ? 'goes dark' : 'nothing seen';
    const noticed: Noticed = staysDead || guard !== undefined ? 'nothing starts' : lampTells ? 'by a lamp' : failures.some((failure) => this.hasMirror(failure)) ? 'by its mirror contact' : burns.length > 0 || reversed.some(hurts) ? 'by smoke' : 'not at all';
    return { failures, state, consequence, noticed, wakes, moves, dark, reversed, strains: fresh, driving };
  }

  /** A contactor with a mirror contact tells its logic that it has welded, at the next start at the latest. */
  private hasMirror({ part, mode }: Failure): boolean {
    const found = this.network.machine.parts.get(part);
    return (mode === 'welded' || mode === 'stuck') && found?.kind === 'contactor' && found.values.mirrorContact === true;
  }

  private healthyIn(state: ReachedState, driving: boolean): Healthy {
    const known = this.healthy[driving ? 'drive' : 'rest'].get(state);
    if (known !== undefined) return known;
    const merged = reachedWith(this.setting, this.every, state.situation, []);
    const strained = this.rest(merged, [], driving) ?? [];
    const made: Healthy = {
      merged,
      classes: this.classes.slice(),
      fed: this.intended.fed(state.situation).map((fed, k) => (fed === 1 && !this.setting.meantOff(k, state.situation.positions) ? 1 : 0)),
      strained,
    };
    this.healthy[driving ? 'drive' : 'rest'].set(state, made);
    return made;
  }

  /** Brings the machine to rest; classes are left in `classes`. */
  private rest(merged: MergedSituation, failures: readonly Failure[], driving: boolean): Strain[] | undefined {
    const { setting } = this;
    setting.driving = driving;
    setting.set(merged, failures.map((failure) => failure.change), merged.reached);
    setting.driving = false;
    if (!setting.settle()) return undefined;
    const current = (s: number): number => setting.strandCurrent(s);
    // Currents before classes: what only tries a load disturbs the rest.
    const found = this.limits.strains(current, (resistor) => resistanceLeft(resistor, failures) * this.powerIn(resistor, merged, current), (brake) => this.brakePower(brake));
    this.reversed = failures.some((failure) => failure.mode === 'reversed') ? this.reversedLoads() : [];
    classify(setting, merged.reached, this.classes);
    return found;
  }

  /** Loads across which a voltage stands the wrong way round. */
  private reversedLoads(): ReversedLoad[] {
    const { setting, network } = this;
    return network.loads.flatMap((load): ReversedLoad[] => {
      const volts_V = -setting.across(load);
      if (!HURT_BY_REVERSAL.has(load.kind) || !(volts_V > REVERSED_V)) return [];
      return [{ part: load.part, volts_V, diodes_A: load.legs === undefined ? undefined : setting.rest.current(load.legs) }];
    }).sort((a, b) => (b.diodes_A ?? 0) - (a.diodes_A ?? 0));
  }

  /** Heat in a brake resistor whose switch stays closed, W. */
  private brakePower(part: string): number {
    const { setting, network } = this;
    const { plus, minus, element } = network.brakes.find((one) => one.part === part)!;
    return setting.numbers[element * WIDTH]! * (setting.rest.voltages[plus]! - setting.rest.voltages[minus]!) ** 2;
  }

  /** Heat in a resistor that stands in a chain or that a switch leads through, W. */
  private powerIn(resistor: string, { positions }: MergedSituation, current: (s: number) => number): number {
    const { network, setting } = this;
    let power = 0;
    network.strands.forEach(({ strand }, s) => {
      const own = strand.items.find((item) => item.part === resistor);
      const led = strand.switches.some((row) => network.rows[row]!.positions[positions[row]!]!.through === resistor);
      if (own === undefined && !led) return;
      const ohm = own?.ohm(setting.values) ?? setting.values[network.inputs.at(`${resistor}.resistance`)]!;
      power += ohm * current(s) ** 2;
    });
    return power;
  }
}

/** Whether a part that stands the wrong way round is harmed by it: by what its body diodes carry, or by more than a junction blocks. */
export function hurts({ diodes_A, volts_V }: ReversedLoad): boolean {
  return diodes_A === undefined ? volts_V > HURTS_V : diodes_A >= HURTS_A;
}

/** Largest current that flows because something is connected the wrong way round, A; 0 for other failures. */
function backwards_A({ failures, reversed, strains }: Effect): number {
  if (!failures.some(({ mode }) => mode === 'reversed')) return 0;
  return Math.max(0, ...reversed.map(({ diodes_A }) => diodes_A ?? 0), ...strains.map(({ current_A }) => current_A));
}

/** Share of its resistance that a resistor still has after what failed. */
function resistanceLeft(resistor: string, failures: readonly Failure[]): number {
  const mode = failures.find((failure) => failure.part === resistor)?.mode;
  return mode === 'short' ? 0 : mode === 'drifted' ? DRIFTED_RESISTOR : 1;
}

/** How bad an effect is: its consequence, doubled in weight when nobody would notice; slips count a little less. */
export function rank(effect: Effect): number {
  const consequence = CONSEQUENCES.indexOf(effect.consequence);
  return 10 * consequence + (effect.noticed === 'not at all' ? 5 : 0) - (effect.state.slip ? 3 : 0);
}
