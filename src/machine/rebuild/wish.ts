import type { MachineEdit } from '../file/edit.ts';
import type { Chain, End } from '../machine.ts';

/** A chain by its section of the file and its name. */
export interface ChainRef {
  readonly role: Chain['role'];
  readonly name: string;
}

/** A place inside a chain: before the item that has this number, behind all of them when none has. */
export interface InChain extends ChainRef {
  readonly at: number;
}

/** Where a new lead goes: a terminal, a named place, or somewhere inside a chain, which is parted there. */
export type Point = { readonly end: End } | { readonly tap: InChain };

/** A part that is not there yet, with its values by property as the file writes them. */
export interface Fresh {
  readonly kind: string;
  readonly values: Readonly<Record<string, string>>;
}

/** A change of what hangs on what. */
export type Rebuild =
  | { readonly rebuild: 'put in'; readonly into: InChain; readonly part: Fresh }
  /** A resistor through which what follows a switch charges before it closes. */
  | { readonly rebuild: 'soft start'; readonly part: string; readonly resistor: Fresh }
  /** A new lead, of the side that the role names; `lead` is its conductor as the file writes it, or empty. */
  | { readonly rebuild: 'connect'; readonly role: Chain['role']; readonly from: Point; readonly to: Point | Fresh; readonly lead: string }
  | { readonly rebuild: 'drive'; readonly controller: string; readonly motor: string | Fresh }
  | { readonly rebuild: 'take out'; readonly part: string }
  | { readonly rebuild: 'disconnect'; readonly chain: ChainRef }
  /** The chain of a switch or load with everything that it alone feeds, once more. */
  | { readonly rebuild: 'duplicate'; readonly chain: string }
  /** What a piece of a chain is made of: the conductor that is this item, or none yet; empty takes it out. */
  | { readonly rebuild: 'lead'; readonly lead: InChain; readonly text: string };

/** What a change does to the file, before it is made. */
export type Plan =
  | {
      readonly ok: true;
      readonly edits: readonly MachineEdit[];
      /** The change in few words: `F2 put into "arm"`. */
      readonly what: string;
      /** What goes or comes with it, a sentence each. */
      readonly also: readonly string[];
      /** The new part. */
      readonly part?: string;
    }
  | { readonly ok: false; readonly why: string };
