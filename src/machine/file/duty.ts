import type { Quantity } from '../../quantity/quantity.ts';
import { quoted } from '../../quantity/scan.ts';
import { ACTS, DUTY_ACTS, ROLES, type Duty, type DutyAct, type DutyEvent, type DutyProperty } from '../duty/duty.ts';
import { DUTY_NAMES, readyMadeDuty, USUAL_DUTY } from '../duty/ready-made.ts';
import { DUTY_FIELDS } from '../duty/rules.ts';
import type { Issues } from './issue.ts';
import { LIMITS } from './limits.ts';
import type { KnownPart } from './part-list.ts';
import { describe, type MapNode, type Tree } from './tree.ts';
import { didYouMean, oneOf, readChoice, readQuantity, readText } from './values.ts';

type Known = ReadonlyMap<string, KnownPart>;

const EXAMPLE = 'a line like "{ do: push, every: 20 s (12 to 35), for: 3 s }"';

/** Reads the duty: the name of a ready-made one, or its lines. Where there is none the usual one is taken. */
export function readDuty(tree: Tree | undefined, known: Known, issues: Issues): Duty {
  if (tree === undefined) return readyMadeDuty(USUAL_DUTY)!;
  if (tree.type === 'text') {
    const name = readChoice(tree, DUTY_NAMES, { field: 'duty' }, issues);
    return readyMadeDuty(name ?? USUAL_DUTY)!;
  }
  if (tree.type !== 'list') {
    issues.error(tree.at, { field: 'duty' }, `${oneOf(DUTY_NAMES)}, or a list of lines that start with "- "`, describe(tree));
    return readyMadeDuty(USUAL_DUTY)!;
  }
  if (tree.items.length === 0 || tree.items.length > LIMITS.steps) {
    issues.error(tree.at, { field: 'duty' }, `1 to ${LIMITS.steps} lines`, `${tree.items.length}`);
    return readyMadeDuty(USUAL_DUTY)!;
  }
  const events = tree.items.map((item, k) => readEvent(item, `duty.${k + 1}`, known, issues)).filter((event) => event !== undefined);
  return { name: 'own', events };
}

function readEvent(tree: Tree, field: string, known: Known, issues: Issues): DutyEvent | undefined {
  if (tree.type !== 'map') {
    issues.error(tree.at, { field }, EXAMPLE, describe(tree));
    return undefined;
  }
  const before = issues.errors;
  const act = readAct(tree, field, issues);
  let parts: readonly string[] | undefined;
  const values: Partial<Record<DutyProperty, Quantity>> = {};
  for (const { key, keyAt, value } of tree.entries) {
    const about = { field: `${field}.${key}` };
    if (key === 'do') continue;
    if (key === 'with') {
      parts = readParts(value, about.field, known, issues);
      continue;
    }
    const rule = Object.hasOwn(DUTY_FIELDS, key) ? DUTY_FIELDS[key as DutyProperty] : undefined;
    const fitting = act === undefined ? Object.keys(DUTY_FIELDS) : wordsFor(act);
    if (rule === undefined || !fitting.includes(key)) {
      const words = ['do', 'with', ...fitting];
      issues.error(keyAt, about, act === undefined ? 'a field of a line of a duty' : `a field of "${act}"`, quoted(key), didYouMean(key, words) ?? `fields: ${words.join(', ')}`);
      continue;
    }
    const read = readQuantity(value, rule, about, issues);
    if (read !== undefined) values[key as DutyProperty] = read;
  }
  if (act !== undefined && issues.errors === before) checkTimes(tree, field, values, issues);
  if (act === undefined || issues.errors > before) return undefined;
  return { act, with: parts ?? [ACTS[act].role], values, line: tree.at.line };
}

function readAct(tree: MapNode, field: string, issues: Issues): DutyAct | undefined {
  const entry = tree.entries.find(({ key }) => key === 'do');
  if (entry === undefined) {
    const near = tree.entries.map(({ key }) => key).find((key) => (DUTY_ACTS as readonly string[]).includes(key));
    issues.error(tree.at, { field }, `"do:" with what happens: ${oneOf(DUTY_ACTS)}`, 'none', near === undefined ? undefined : `"do: ${near}"`);
    return undefined;
  }
  return readChoice(entry.value, DUTY_ACTS, { field: `${field}.do` }, issues) as DutyAct | undefined;
}

/** Fields that a line of this act may have. */
function wordsFor(act: DutyAct): string[] {
  const own = Object.keys(ACTS[act].usual);
  return ['at', 'every', 'from', 'until', ...own, ...(act === 'hit' || own.includes('for') ? [] : ['for'])];
}

function checkTimes(tree: MapNode, field: string, values: Readonly<Partial<Record<DutyProperty, Quantity>>>, issues: Issues): void {
  const { at, every, from, until } = values;
  if ((at === undefined) === (every === undefined)) {
    issues.error(tree.at, { field }, '"at" when it happens once, or "every" when it comes again', at === undefined ? 'neither' : 'both');
    return;
  }
  if (at !== undefined && (from !== undefined || until !== undefined)) issues.error(tree.at, { field }, '"from" and "until" beside "every"', 'them beside "at"');
  if (from !== undefined && until !== undefined && !(until.value > from.value)) issues.error(tree.at, { field: `${field}.until` }, `a time after "from" (${quoted(from.text)})`, quoted(until.text));
}

/** `M1`, `M1, M2`, or a role: `weapons`. */
function readParts(tree: Tree, field: string, known: Known, issues: Issues): readonly string[] | undefined {
  const node = readText(tree, { field }, issues);
  if (node === undefined) return undefined;
  const words = node.text.split(',').map((word) => word.trim());
  const movers = [...known.values()].filter(({ kind }) => kind?.kind === 'motor' || kind?.kind === 'servo').map(({ id }) => id);
  for (const word of words) {
    if ((ROLES as readonly string[]).includes(word) || movers.includes(word)) continue;
    const found = known.get(word);
    const shown = found?.kind === undefined ? quoted(word) : `${word}, which is ${found.kind.name}`;
    issues.error(node.textAt, { field }, `the id of a motor or servo, or ${oneOf(ROLES)}`, shown, didYouMean(word, [...movers, ...ROLES]) ?? (movers.length > 0 && movers.length < 8 ? `there ${movers.length === 1 ? 'is' : 'are'} ${movers.join(', ')}` : undefined));
    return undefined;
  }
  return [...new Set(words)];
}
