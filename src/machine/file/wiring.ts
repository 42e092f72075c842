import type { Quantity } from '../../quantity/quantity.ts';
import { quoted } from '../../quantity/scan.ts';
import { classDefaultTimes } from '../classes.ts';
import type { Chain, Wiring } from '../machine.ts';
import { readChain, type ReadChain } from './chain.ts';
import type { Issues, Place } from './issue.ts';
import { LIMITS } from './limits.ts';
import type { KnownPart } from './part-list.ts';
import { describe, type MapNode, type Tree } from './tree.ts';
import { quantityIn, readText } from './values.ts';

/** All chains of a file; `whole` is false when one of them could not be read, so that what hangs on it is unknown. */
export interface ReadWiring {
  readonly chains: readonly ReadChain[];
  readonly bar: Wiring['bar'];
  readonly whole: boolean;
}

const RETURNS_LINE = 'all negatives on one bar, 0.2 mΩ a joint';

export function readWiring(
  sections: { readonly wiring: Tree | undefined; readonly returns: Tree | undefined; readonly grounds: Tree | undefined },
  top: Place, known: ReadonlyMap<string, KnownPart>, issues: Issues,
): ReadWiring {
  const before = issues.errors;
  const supply = sections.wiring;
  if (supply === undefined || (supply.type === 'map' && supply.entries.length === 0)) {
    issues.error(supply?.at ?? top, { field: 'wiring' }, 'chains like "drive: from bar, Q1, 8 AWG 0.50 m, to T1"', 'none');
  }
  const chains = supply === undefined ? [] : readChains(supply, 'supply', 'wiring', known, issues);
  const returns = readReturns(sections.returns, top, known, issues);
  const grounds = sections.grounds === undefined ? [] : readChains(sections.grounds, 'signal ground', 'signal grounds', known, issues);
  return { chains: [...chains, ...returns.chains, ...grounds], bar: returns.bar, whole: issues.errors === before };
}

function readChains(
  tree: Tree, role: Chain['role'], section: string, known: ReadonlyMap<string, KnownPart>, issues: Issues,
): ReadChain[] {
  if (tree.type !== 'map') {
    issues.error(tree.at, { field: section }, 'chains by their name, like "drive: from bar, Q1, 8 AWG 0.50 m, to T1"', describe(tree));
    return [];
  }
  if (tree.entries.length > LIMITS.chains) {
    issues.error(tree.at, { field: section }, `at most ${LIMITS.chains} chains`, `${tree.entries.length}`);
    return [];
  }
  return tree.entries.map((entry) => readChain(entry, role, section, known, issues)).filter((chain) => chain !== undefined);
}

function readReturns(
  tree: Tree | undefined, top: Place, known: ReadonlyMap<string, KnownPart>, issues: Issues,
): { readonly chains: readonly ReadChain[]; readonly bar: Wiring['bar'] } {
  const about = { field: 'returns' };
  if (tree === undefined) {
    issues.error(top, about, 'how the negatives run back to the pack', 'nothing', `most machines need one line: "returns: ${RETURNS_LINE}"`);
    return { chains: [], bar: undefined };
  }
  if (tree.type !== 'map') {
    const node = readText(tree, about, issues);
    return { chains: [], bar: node === undefined ? undefined : readBar(node.text, node.textAt, issues) };
  }
  const general = tree.entries.find(({ key }) => key === 'general');
  const node = general === undefined ? undefined : readText(general.value, { field: 'returns.general' }, issues);
  const others: MapNode = { ...tree, entries: tree.entries.filter(({ key }) => key !== 'general') };
  return {
    chains: readChains(others, 'return', 'returns', known, issues),
    bar: node === undefined ? undefined : readBar(node.text, node.textAt, issues),
  };
}

/** `all negatives on one bar`, and if known `, 0.2 mΩ a joint`. */
function readBar(text: string, at: Place, issues: Issues): Wiring['bar'] {
  const about = { field: 'returns' };
  const [, rest] = /^all negatives on one bar(?:\s*,\s*(.+))?$/s.exec(text.trim()) ?? [undefined, undefined];
  if (!text.trim().startsWith('all negatives on one bar') || (rest === undefined && text.trim() !== 'all negatives on one bar')) {
    issues.error(at, about, `"${RETURNS_LINE}", or a mapping of return chains`, quoted(text));
    return undefined;
  }
  if (rest === undefined) return { joint: usualJoint() };
  const written = rest.replace(/\s*\b(?:a|per|each)\s+joint\b/, '').replace(/\s+each$/, '');
  const joint = quantityIn(written, at, { dimension: 'resistance', above: 0, likely: [1e-5, 0.01], example: '0.2 mΩ' }, about, issues);
  return joint === undefined ? undefined : { joint };
}

/** Common practice, no source: a screwed or crimped lug on a bar, 0.1 mΩ, with a factor of three for a poor one. */
function usualJoint(): Quantity {
  return classDefaultTimes('resistance', 1e-4, 0.5, 3);
}
