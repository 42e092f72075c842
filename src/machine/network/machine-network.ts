import type { Network } from '../../engine/network/network.ts';
import type { FromValues } from '../circuit/binder.ts';
import type { Inputs } from '../inputs.ts';
import type { Machine } from '../machine.ts';
import type { Part } from '../parts.ts';
import type { MotorBehind } from './motors.ts';
import type { Strand, SwitchRow } from './strands.ts';

/** A strand in the network: its conductance, and its diode with the way round it that a short makes. */
export interface StrandElements {
  readonly strand: Strand;
  readonly a: number;
  readonly b: number;
  /** Conductance of the whole strand; with a diode, of the way round it. */
  readonly wire: number;
  readonly diode: number | undefined;
  /** What the diode leaks backwards, as a resistance round it, Ω. */
  readonly leakage: FromValues | undefined;
  /** The same diode fitted the wrong way round; off. */
  readonly turned: number | undefined;
  /** Where the strand leads when the two wires of its load are swapped: from the + to its −, or from its + to the −; off. */
  readonly cross: { readonly element: number; readonly a: number; readonly b: number } | undefined;
}

/** Something fed: what wakes or moves. */
export interface NetworkLoad {
  readonly part: string;
  readonly kind: Part['kind'];
  readonly plus: number;
  readonly minus: number;
  /** Voltage at which it wakes, starts or lights, V. */
  readonly start: FromValues;
  /** Voltage below which it stops again, V. */
  readonly stop: FromValues;
  /** Element that starts, for loads of constant power. */
  readonly starting: number | undefined;
  /** Elements that draw. */
  readonly draws: readonly number[];
  /** Output that comes up with it. */
  readonly output: number | undefined;
  /** Body diode from that output to its input, which has nothing to say while it runs. */
  readonly backwards: number | undefined;
  /** Conductance across its terminals: what it leaks asleep, or its short. */
  readonly shunt: number;
  /** Load that tries out whether it could move: constant power, off. */
  readonly trial: number | undefined;
  /** Body diodes of its transistors from its − to its +: they conduct when it is fed the wrong way round, and are off until then. */
  readonly legs: number | undefined;
  /** Current that it draws at full drive, off until asked for. */
  readonly drive: number | undefined;
  readonly motor: MotorBehind | undefined;
  /** Capacitance across its terminals, F. */
  readonly bank: FromValues | undefined;
  /** Switches, and the position in which each no longer holds it off. */
  readonly waits: readonly { readonly row: number; readonly position: number }[];
  /** Row of the switch that the file says isolates it. */
  readonly isolatedBy: number | undefined;
  /** Node at which its logic is fed, where that is not its +. */
  readonly logic: number | undefined;
  /** Switch row of a bench lead that feeds its logic when plugged in. */
  readonly bench: number | undefined;
}

/** What can feed: a pack, a bench supply, a motor that still turns. */
export interface NetworkSource {
  readonly part: string;
  readonly element: number;
  readonly plus: number;
  readonly minus: number;
  /** Conductance when present, S. */
  readonly present: FromValues;
  readonly kind: 'pack' | 'bench supply' | 'spinning motor' | 'bench lead';
  /** Row of a bench lead: it feeds only while plugged in. */
  readonly row?: number;
  /** Open-circuit voltage, V. */
  readonly voltage: FromValues;
  /** A current-limited supply in a pack's place, off. */
  readonly inItsPlace?: number;
}

/** A machine at rest as a network, with what the questions need to find their way in it. */
export interface MachineNetwork {
  readonly machine: Machine;
  readonly inputs: Inputs;
  readonly network: Network;
  readonly rows: readonly SwitchRow[];
  readonly strands: readonly StrandElements[];
  readonly loads: readonly NetworkLoad[];
  readonly sources: readonly NetworkSource[];
  /** Brake resistors, each as what its switch lets through when it stays closed: off. */
  readonly brakes: readonly BrakeElement[];
  /** Body diodes and passes: elements that join nodes beside the strands. */
  readonly passes: readonly PassElement[];
  readonly node: (point: string) => number | undefined;
  /** Sets every number of the network from a set of values; switches and failures aside. */
  bind(numbers: Float64Array, values: Float64Array): void;
}

/** A brake resistor that its switch holds on. */
export interface BrakeElement {
  readonly part: string;
  readonly plus: number;
  readonly minus: number;
  readonly element: number;
  /** Its conductance, S. */
  readonly closed_S: FromValues;
}

/** A part with an output: its pass element, and its body diode backwards. */
export interface PassElement {
  readonly part: string;
  readonly words: string;
  readonly element: number;
  readonly a: number;
  readonly b: number;
  /** A body diode, which conducts against the way that the part is made for. */
  readonly backwards: boolean;
}
