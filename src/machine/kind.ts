import type { Quantity } from '../quantity/quantity.ts';
import type { Fields, Given } from './field.ts';

/** Where a part's leads go. `through` parts stand in a chain; the others stand at its ends. */
export type TerminalName = '+' | '-' | 'out';

export interface PartKind<K extends string = string, F extends Fields = Fields> {
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
  readonly defaults: (given: Given<F>) => Partial<Record<keyof F & string, Quantity>>;
}

export type FailureMode = 'open' | 'short' | 'welded' | 'stuck' | 'leaky' | 'drifted' | 'reversed' | 'lost return';

/** A part of a kind: its fields by property name, class defaults filled in. */
export interface PartOf<K extends string, F extends Fields> {
  readonly kind: K;
  readonly id: string;
  readonly about: string | undefined;
  readonly values: Given<F>;
  readonly line: number;
}

/** Keeps the literal types of a kind's declaration. */
export function defineKind<const K extends string, const F extends Fields>(kind: PartKind<K, F>): PartKind<K, F> {
  return kind;
}
