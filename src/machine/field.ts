import type { Dimension, Quantity } from '../quantity/quantity.ts';

/** What a field of a part holds, how a person writes it, and what is used when it is missing. */
export type Field = QuantityField | ChoiceField | FlagField | TextField | PartField | PositionsField;

interface Described {
  /** One plain sentence for people and for the editors that complete the file. */
  readonly meaning: string;
  readonly required?: true;
}

export interface QuantityField extends Described {
  readonly type: 'quantity';
  readonly dimension: Dimension;
  /** The value must lie above this, SI. */
  readonly above?: number;
  readonly atLeast?: number;
  readonly atMost?: number;
  /** Outside these the file is taken, and a question asked back. */
  readonly likely?: readonly [low: number, high: number];
  /** May be written per cell; the value then counts for one cell. */
  readonly perCell?: true;
  /** Counts in a match only: a power-up draws no sample of it. */
  readonly match?: true;
  /** An example as people write it. */
  readonly example: string;
}

export interface ChoiceField extends Described {
  readonly type: 'choice';
  readonly options: readonly string[];
}

export interface FlagField extends Described {
  readonly type: 'flag';
}

export interface TextField extends Described {
  readonly type: 'text';
}

/** The id of another part. */
export interface PartField extends Described {
  readonly type: 'part';
  readonly kinds: readonly string[];
}

/** Positions of an isolator by name: `open`, `direct`, or `through` a resistor. */
export interface PositionsField extends Described {
  readonly type: 'positions';
}

export type Position = { readonly path: 'open' } | { readonly path: 'direct' } | { readonly path: 'through'; readonly part: string };

export type ValueOf<F extends Field> = F extends { type: 'quantity' }
  ? Quantity
  : F extends { type: 'choice'; options: readonly (infer Option)[] }
    ? Option
    : F extends { type: 'flag' }
      ? boolean
      : F extends { type: 'positions' }
        ? ReadonlyMap<string, Position>
        : string;

export type Fields = Readonly<Record<string, Field>>;

export type FieldValue = Quantity | boolean | string | ReadonlyMap<string, Position>;

type RequiredNames<F extends Fields> = { [K in keyof F]: F[K] extends { required: true } ? K : never }[keyof F];

/** Values of a part as the file gives them. */
export type Given<F extends Fields> = { readonly [K in RequiredNames<F>]: ValueOf<F[K]> } & {
  readonly [K in Exclude<keyof F, RequiredNames<F>>]?: ValueOf<F[K]> | undefined;
};

/** The words of the file for a property: `cellResistance` is written `cell resistance`. */
export function wordsOf(property: string): string {
  return property.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);
}
