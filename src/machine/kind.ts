import type { Quantity } from '../quantity/quantity.ts';
import type { Fields, Given } from './field.ts';

/** Where a part's leads go. `through` parts stand in a chain; the others stand at its ends. */
export type TerminalName = '+' | '-' | 'out';

/** @template D  names of the fields that have a class default */
export interface PartKind<K extends string = string, F extends Fields = Fields, D extends string = string> {
  readonly kind: K;
  /** Letter of the reference designation. Source: IEC 81346-2 (from memory). */
  readonly letter: string;
  /** Trade name, with its article, for sentences: `a motor controller`. */
  readonly name: string;
  readonly meaning: string;
  /** `through`: two terminals, in a chain; otherwise the terminals that chains start from and end at. */
  readonly terminals: 'through' | readonly TerminalName[];
  readonly fields: F;
  /** Name of its symbol in the drawing. */
  readonly symbol: string;
  readonly failureModes: readonly FailureMode[];
  /**
   * What builders usually do not know, from what they do: values with origin `class default` and a spread, for the
   * fields that the file leaves out.
   */
  readonly defaults: (given: Given<F>) => DefaultsOf<F, NoInfer<D>>;
  /** Where each class default comes from: title, edition and table, or `COMMON_PRACTICE`. */
  readonly sources: Readonly<Record<D, string>>;
}

/** A value for every field that has a source, and for no other. */
type DefaultsOf<F extends Fields, D extends string> = Readonly<Record<D, Quantity>> & { readonly [Property in Exclude<keyof F, D>]?: never };

/** What builders hold to be usual, for which there is nothing to cite. */
export const COMMON_PRACTICE = 'common practice, no source';

export type FailureMode = 'open' | 'short' | 'welded' | 'stuck' | 'leaky' | 'drifted' | 'reversed' | 'lost return';

/** A part of a kind: its fields by property name, class defaults filled in. */
export interface PartOf<K extends string, F extends Fields> {
  readonly kind: K;
  readonly id: string;
  readonly about: string | undefined;
  readonly values: Given<F>;
  readonly line: number;
}

/** Keeps the literal types of a kind's declaration, and holds its sources to the fields that have a class default. */
export function defineKind<const K extends string, const F extends Fields, D extends keyof F & string>(kind: PartKind<K, F, D>): PartKind<K, F, D> {
  return kind;
}
