import { quoted } from '../../quantity/scan.ts';
import { wordsOf } from '../field.ts';
import type { Chain, End } from '../machine.ts';
import type { ReadChain } from './chain.ts';
import type { Issues } from './issue.ts';
import type { KnownPart } from './part-list.ts';
import { didYouMean } from './values.ts';

type Known = ReadonlyMap<string, KnownPart>;

/** Whether a chain is a lead to the chassis or to the bench: its far place may be touched by nothing else. */
export function isBenchLeadChain(chain: Chain, known: Known): boolean {
  return chain.items.some((item) => 'part' in item && known.get(item.part)?.kind?.kind === 'bench lead');
}

/** A bench lead stands on the signal-ground side, with nothing beside it but conductors. */
export function checkBenchLeads(chains: readonly ReadChain[], known: Known, issues: Issues): void {
  for (const { chain, about, at, itemsAt } of chains) {
    const k = chain.items.findIndex((item) => 'part' in item && known.get(item.part)?.kind?.kind === 'bench lead');
    if (k < 0) continue;
    if (chain.role !== 'signal ground') issues.error(itemsAt[k] ?? at, about, 'a bench lead in a chain of "signal grounds"', `one in a ${chain.role} chain`, 'it joins a ground to something outside: write it there, like "usb: from T1-, W1, to chassis"');
    const other = chain.items.findIndex((item, j) => j !== k && 'part' in item);
    if (other >= 0) issues.error(itemsAt[other] ?? at, about, 'a bench lead with nothing beside it but conductors', 'another part', 'end the chain at a place and start another there');
  }
}

/** Fields that name the point which feeds a coil or a key input. */
const FED_FROM = ['coilFrom', 'keyFrom'] as const;
/** Fields that name the switch of a coil or a key input. */
const SWITCHES = ['coilSwitch', 'keySwitch'] as const;

/** What feeds coils and key inputs is a point on the packs' side, and a coil that is fed has a voltage. */
export function checkInputs(chains: readonly ReadChain[], known: Known, issues: Issues): void {
  const points = liveNames(chains.filter(({ chain }) => chain.role === 'supply').map(({ chain }) => chain));
  for (const { id, kind, values, at } of known.values()) {
    for (const property of FED_FROM) {
      const written = values.get(property);
      if (written === undefined || typeof written.value !== 'string') continue;
      const name = written.value.replace('\u2212', '-').replace(/\s+(?=[+-]$)/, '');
      if (points.has(name) || points.has(`${name}+`)) continue;
      const near = didYouMean(name, [...points]) ?? 'a converter\'s output is none: leave the field out where such an output feeds it';
      issues.error(written.at, { part: id, field: wordsOf(property) }, 'a place or terminal that a pack feeds through the chains of "wiring"', quoted(written.value), near);
    }
    if (kind?.kind === 'contactor' && values.has('coilFrom') && !values.has('coilVoltage')) {
      issues.error(values.get('coilFrom')?.at ?? at, { part: id, field: 'coil voltage' }, 'a coil voltage, like "48 V"', 'none', 'with "coil from" the coil is followed as a load');
    }
  }
}

/** Switches that only a coil or a key input has: they stand in no chain. */
export function inputSwitches(known: Known): ReadonlySet<string> {
  const switches = new Set<string>();
  for (const { values } of known.values())
    for (const property of SWITCHES) {
      const value = values.get(property)?.value;
      if (typeof value === 'string') switches.add(value);
    }
  return switches;
}

/** Names of the points that supply chains touch before any converter's or regulator's output. */
function liveNames(chains: readonly Chain[]): ReadonlySet<string> {
  const name = (end: End): string => ('place' in end ? end.place : end.terminal === 'out' ? `${end.part} out` : `${end.part}${end.terminal}`);
  const behind = new Set(chains.flatMap((chain) => ('part' in chain.from && chain.from.terminal === 'out' ? [name(chain.from)] : [])));
  for (let before = -1; before !== behind.size; ) {
    before = behind.size;
    for (const chain of chains) if (behind.has(name(chain.from))) behind.add(name(chain.to));
  }
  return new Set(chains.flatMap((chain) => [name(chain.from), name(chain.to)]).filter((point) => !behind.has(point)));
}
