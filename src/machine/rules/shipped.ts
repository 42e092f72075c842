import { GENERIC_RULES } from './generic.ts';
import { readRules } from './read.ts';
import type { RuleSet } from './rule-set.ts';

let read: RuleSet | undefined;

/** The generic set of rules that comes with the program. */
export function shippedRules(): RuleSet {
  read ??= readShipped();
  return read;
}

function readShipped(): RuleSet {
  const result = readRules(GENERIC_RULES);
  if (!result.ok) throw new Error('the generic rules cannot be read');
  return result.rules;
}
