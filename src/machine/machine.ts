import type { Quantity } from '../quantity/quantity.ts';
import type { Duty } from './duty/duty.ts';
import type { Part } from './parts.ts';

/** What a conductor is covered with, which decides the temperature that it bears. */
export type Insulation = 'silicone' | 'pvc' | 'xlpe' | 'ptfe';

/** A conductor pair on the way of a chain: length one way; the return lead beside it has the same. */
export interface Conductor {
  readonly section: Quantity;
  readonly length: Quantity;
  /** How the pair lies: decides its loop inductance. */
  readonly lay: 'tied' | 'loose' | 'coaxial';
  readonly insulation: Insulation;
  /** Lies among others or against something warm, and cools worse than alone. */
  readonly bundled: boolean;
  /** Colour as written, for the papers. */
  readonly colour: string | undefined;
}

/** An end of a chain: a named place where something branches, or a terminal of a part. */
export type End = { readonly place: string } | { readonly part: string; readonly terminal: '+' | '-' | 'out' };

export type ChainItem = { readonly part: string } | { readonly conductor: Conductor };

/** One traced wire: `drive: from bar, Q1, 8 AWG 0.50 m, to T1`. */
export interface Chain {
  readonly name: string;
  readonly role: 'supply' | 'return' | 'signal ground';
  readonly from: End;
  readonly items: readonly ChainItem[];
  readonly to: End;
  readonly line: number;
  /** Its line as the file has it, cut at the commas; what is put in is written between. */
  readonly written?: readonly string[];
}

export interface Wiring {
  readonly chains: readonly Chain[];
  /**
   * Set by the line `all negatives on one bar, 0.2 mΩ a joint`: every supply chain has a return lead beside it with the
   * same conductors, joined at its far end with this resistance, unless an own return chain starts at that load.
   */
  readonly bar: { readonly joint: Quantity } | undefined;
}

/** A step of the crew's procedure. */
export type Step =
  | { readonly act: 'turn'; readonly part: string; readonly position: string; readonly text: string; readonly line: number }
  | { readonly act: 'press' | 'release' | 'insert' | 'remove' | 'connect' | 'disconnect' | 'close' | 'open'; readonly part: string; readonly text: string; readonly line: number }
  | { readonly act: 'hold'; readonly part: string; readonly time: Quantity; readonly text: string; readonly line: number }
  | { readonly act: 'wait'; readonly time: Quantity; readonly text: string; readonly line: number }
  | { readonly act: 'crew'; readonly text: string; readonly line: number };

export interface Surroundings {
  readonly ambient: Quantity;
  readonly inside: Quantity;
}

export interface Machine {
  readonly name: string;
  readonly about: string | undefined;
  readonly mass: Quantity | undefined;
  readonly parts: ReadonlyMap<string, Part>;
  readonly wiring: Wiring;
  /** Steps to power up, in order. */
  readonly powerUp: readonly Step[];
  readonly powerDown: readonly Step[];
  readonly surroundings: Surroundings;
  /** Length of a match. */
  readonly match: Quantity;
  /** What happens during it. */
  readonly duty: Duty;
  /** Named notes for the drawing, papers and event: kept, not interpreted here. */
  readonly notes: ReadonlyMap<string, string>;
}
