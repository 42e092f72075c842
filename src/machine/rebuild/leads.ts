import { isSource } from '../circuit/nets.ts';
import type { Chain, ChainItem, Conductor, End, Machine } from '../machine.ts';
import { SECTION_OF } from './names.ts';
import type { ChainRef } from './wish.ts';

/** A piece of a chain: one conductor, or what joins two things without one being written. */
export interface Lead {
  readonly chain: Chain;
  /** The conductor's number among the items of the chain, or that of the item before which nothing is written. */
  readonly at: number;
  readonly conductor: Conductor | undefined;
  /** What stands next to it on either side: ids of parts, names of places and terminals. */
  readonly from: string;
  readonly to: string;
}

/** All pieces of all chains, in the order of the file. */
export function leadsIn(machine: Machine): Lead[] {
  return machine.wiring.chains.flatMap((chain) => leadsOfChain(machine, chain));
}

export function leadsOfChain(machine: Machine, chain: Chain): Lead[] {
  const found: Lead[] = [];
  const stopBefore = (at: number): string => nearestPart(chain.items.slice(0, at).reverse()) ?? endWords(machine, chain.from);
  const stopBehind = (at: number): string => nearestPart(chain.items.slice(at)) ?? endWords(machine, chain.to);
  for (let at = 0; at <= chain.items.length; at += 1) {
    const [item, before] = [chain.items[at], chain.items[at - 1]];
    const isConductor = item !== undefined && 'conductor' in item;
    const behindConductor = before !== undefined && 'conductor' in before;
    if (isConductor) found.push({ chain, at, conductor: item.conductor, from: stopBefore(at), to: stopBehind(at) });
    else if (!behindConductor) found.push({ chain, at, conductor: undefined, from: stopBefore(at), to: stopBehind(at) });
  }
  return found;
}

function nearestPart(items: readonly ChainItem[]): string | undefined {
  const item = items.find((one) => 'part' in one);
  return item !== undefined && 'part' in item ? item.part : undefined;
}

/** `wiring.drive#1` for a conductor, `wiring.drive@1` where none is written; no id of a part looks like it. */
export function leadName({ chain, at, conductor }: { readonly chain: ChainRef; readonly at: number; readonly conductor: unknown }): string {
  return `${SECTION_OF[chain.role]}.${chain.name}${conductor === undefined ? '@' : '#'}${at}`;
}

export function leadNamed(machine: Machine, name: string): Lead | undefined {
  return leadsIn(machine).find((lead) => leadName(lead) === name);
}

export function chainOf(machine: Machine, { role, name }: ChainRef): Chain | undefined {
  return machine.wiring.chains.find((chain) => chain.role === role && chain.name === name);
}

/** The chain in which a part stands. */
export function chainWith(machine: Machine, part: string): Chain | undefined {
  return machine.wiring.chains.find(({ items }) => items.some((item) => 'part' in item && item.part === part));
}

/** An end as the file writes it: `bar`, `G1+`, `T1`, `T1-`, `T3 out`. */
export function endWords(machine: Machine, end: End): string {
  if ('place' in end) return end.place;
  if (end.terminal === 'out') return `${end.part} out`;
  if (end.terminal === '-') return `${end.part}-`;
  return isSource(machine.parts.get(end.part)?.kind) ? `${end.part}+` : end.part;
}

/** The pieces of a chain as the file has them, from end to end. */
export function piecesOf(chain: Chain): readonly string[] {
  if (chain.written === undefined) throw new Error(`chain ${chain.name} was not read from a file`);
  return chain.written;
}

/** `"drive"`, or `"lifter" of the negatives` where the section has to be said. */
export function chainWords({ role, name }: ChainRef): string {
  const words = `"${name}"`;
  if (role === 'supply') return words;
  return role === 'return' ? `${words} of the negatives` : `${words} of the signal grounds`;
}

/** `T1`, `T1 and T2`, `T1, T2 and T3`. */
export function listed(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1) ?? ''}`;
}
