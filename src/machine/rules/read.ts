import { quoted } from '../../quantity/scan.ts';
import { Issues, type Issue } from '../file/issue.ts';
import { readTree, describe, type MapNode, type Tree } from '../file/tree.ts';
import { didYouMean, quantityIn, readText } from '../file/values.ts';
import { CHECK_NAMES, CHECKS, type CheckName, type RuleLine, type RuleSet } from './rule-set.ts';

export type RuleResult = { readonly ok: true; readonly rules: RuleSet } | { readonly ok: false; readonly issues: readonly Issue[] };

const SECTIONS = ['ampwright rules', 'name', 'dated', 'about', 'sources', 'lines'];
const FIELDS = ['rule', 'check', 'limit', 'source'];
const FORMAT = '1';
const MOST_LINES = 200;

/** Reads a rule set from its file's text, or says all that is wrong with it. */
export function readRules(text: string): RuleResult {
  const issues = new Issues();
  const tree = readTree(text, issues);
  const rules = tree === undefined ? undefined : ruleSet(tree, issues);
  if (rules === undefined || issues.errors > 0) {
    if (issues.errors === 0) issues.error({ line: 1, column: 1 }, {}, 'a rule set', 'nothing');
    return { ok: false, issues: issues.all() };
  }
  return { ok: true, rules };
}

function ruleSet(tree: Tree, issues: Issues): RuleSet | undefined {
  if (tree.type !== 'map') {
    issues.error(tree.at, {}, 'a rule set: names with a colon', describe(tree));
    return undefined;
  }
  checkNames(tree, SECTIONS, '', issues);
  const format = valueOf(tree, 'ampwright rules');
  if (format?.type !== 'text' || format.text.trim() !== FORMAT) issues.error(format?.at ?? tree.at, { field: 'ampwright rules' }, `the format version, "ampwright rules: ${FORMAT}"`, format === undefined ? 'none' : describe(format));
  const name = textAt(tree, 'name', issues);
  const dated = textAt(tree, 'dated', issues);
  const about = valueOf(tree, 'about') === undefined ? undefined : textAt(tree, 'about', issues);
  const sources = sourcesOf(valueOf(tree, 'sources'), issues);
  const lines = valueOf(tree, 'lines');
  if (lines?.type !== 'list' || lines.items.length > MOST_LINES) {
    issues.error(lines?.at ?? tree.at, { field: 'lines' }, `a list of at most ${MOST_LINES} rules, each on lines that start with "- rule:"`, lines === undefined ? 'none' : describe(lines));
    return undefined;
  }
  const read = lines.items.flatMap((line, k) => lineOf(line, `lines.${k + 1}`, sources, issues) ?? []);
  return name === undefined || dated === undefined ? undefined : { name, dated, about, lines: read };
}

function lineOf(tree: Tree, field: string, sources: ReadonlyMap<string, string>, issues: Issues): RuleLine | undefined {
  if (tree.type !== 'map') {
    issues.error(tree.at, { field }, 'a rule: "rule: …", and where it is computed "check: …"', describe(tree));
    return undefined;
  }
  checkNames(tree, FIELDS, `${field}.`, issues);
  const rule = textAt(tree, 'rule', issues, field);
  const source = textAt(tree, 'source', issues, field);
  const written = valueOf(tree, 'check');
  const check = written === undefined ? undefined : checkName(written, field, issues);
  const limit = valueOf(tree, 'limit');
  const dimension = check === undefined ? undefined : CHECKS[check];
  if (limit !== undefined && dimension === undefined) issues.error(limit.at, { field: `${field}.limit` }, 'no limit: only some checks take one', describe(limit));
  if (limit === undefined && dimension !== undefined) issues.error(tree.at, { field: `${field}.limit` }, `a limit for the check "${check}"`, 'none');
  const value = limit?.type === 'text' && dimension !== undefined ? quantityIn(limit.text, limit.textAt, { dimension, above: 0, example: dimension === 'time' ? '15 s' : '48 V' }, { field: `${field}.limit` }, issues)?.value : undefined;
  return rule === undefined || source === undefined ? undefined : { rule, check, limit: value, source: sourceWords(source, sources) };
}

/** `CROW 8.2, FRA` with the names of the sources written out; words that name none stay as they are. */
function sourceWords(text: string, sources: ReadonlyMap<string, string>): string {
  if (![...sources.keys()].some((key) => text.startsWith(key))) return text;
  return text.split(/,\s*/).map((one) => {
    const [key = ''] = one.split(' ');
    const whole = sources.get(key);
    return whole === undefined ? one : `${whole}${one.slice(key.length) === '' ? '' : `, ${one.slice(key.length).trim()}`}`;
  }).join('; ');
}

function checkName(tree: Tree, field: string, issues: Issues): CheckName | undefined {
  const text = tree.type === 'text' ? tree.text.trim() : '';
  const found = CHECK_NAMES.find((name) => name === text);
  if (found === undefined) issues.error(tree.at, { field: `${field}.check` }, 'a check that the program has', describe(tree), didYouMean(text, CHECK_NAMES) ?? `checks: ${CHECK_NAMES.join(', ')}`);
  return found;
}

function sourcesOf(tree: Tree | undefined, issues: Issues): ReadonlyMap<string, string> {
  const sources = new Map<string, string>();
  if (tree === undefined) return sources;
  if (tree.type !== 'map') {
    issues.error(tree.at, { field: 'sources' }, 'sources by a short name', describe(tree));
    return sources;
  }
  for (const { key, value } of tree.entries) {
    const text = readText(value, { field: `sources.${key}` }, issues)?.text.trim();
    if (text !== undefined) sources.set(key, text);
  }
  return sources;
}

function textAt(tree: MapNode, key: string, issues: Issues, inside?: string): string | undefined {
  const field = inside === undefined ? key : `${inside}.${key}`;
  const value = valueOf(tree, key);
  if (value !== undefined) return readText(value, { field }, issues)?.text.trim();
  issues.error(tree.at, { field }, `"${key}:" with a text`, 'none');
  return undefined;
}

function valueOf(tree: MapNode, key: string): Tree | undefined {
  return tree.entries.find((entry) => entry.key === key)?.value;
}

function checkNames(tree: MapNode, names: readonly string[], before: string, issues: Issues): void {
  for (const { key, keyAt } of tree.entries) {
    if (!names.includes(key)) issues.error(keyAt, { field: `${before}${key}` }, names.map((name) => `"${name}"`).join(', '), quoted(key), didYouMean(key, names));
  }
}
