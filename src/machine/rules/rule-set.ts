import type { Dimension } from '../../quantity/quantity.ts';

/** An event's rules on the power system, as dated data. */
export interface RuleSet {
  readonly name: string;
  readonly dated: string;
  readonly about: string | undefined;
  readonly lines: readonly RuleLine[];
}

export interface RuleLine {
  readonly rule: string;
  /** What the program computes for it; undefined for what only a crew can answer. */
  readonly check: CheckName | undefined;
  /** SI, in the dimension of its check. */
  readonly limit: number | undefined;
  /** Where the rule was read, with the source written out. */
  readonly source: string;
}

/** What can be computed, with the dimension of its limit where it takes one. */
export const CHECKS = {
  'nominal voltage': 'voltage',
  'battery type': undefined,
  'manual break': undefined,
  'time to switch off': 'time',
  'power light': undefined,
  'light from battery': undefined,
  'fuse below burst': undefined,
  'transmitter first': undefined,
  'transmitter last': undefined,
  isolation: undefined,
  discharged: 'time',
  spark: undefined,
} as const satisfies Readonly<Record<string, Dimension | undefined>>;

export type CheckName = keyof typeof CHECKS;

export const CHECK_NAMES = Object.keys(CHECKS) as readonly CheckName[];
