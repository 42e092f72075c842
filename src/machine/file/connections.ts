import { quoted } from '../../quantity/scan.ts';
import type { Chain, End } from '../machine.ts';
import type { ReadChain } from './chain.ts';
import type { Issues } from './issue.ts';
import { checkBenchLeads, checkInputs, inputSwitches, isBenchLeadChain } from './leads-and-inputs.ts';
import { isPositions, type KnownPart } from './part-list.ts';
import { isSource, NEGATIVES } from '../circuit/nets.ts';
import { didYouMean } from './values.ts';
import type { ReadWiring } from './wiring.ts';

type Known = ReadonlyMap<string, KnownPart>;

/** What only all chains together show: dead ends, parts out of the circuit, shorts, missing returns. */
export function checkConnections(wiring: ReadWiring, known: Known, issues: Issues): void {
  checkThroughParts(wiring.chains, known, issues);
  checkBenchLeads(wiring.chains, known, issues);
  if (!wiring.whole) return;
  const before = issues.errors;
  checkInputs(wiring.chains, known, issues);
  for (const chain of wiring.chains) checkSides(chain, known, issues);
  checkPlaces(wiring, known, issues);
  checkTwins(wiring.chains, issues);
  if (issues.errors > before) return;
  checkFed(wiring.chains, known, issues);
  checkReturned(wiring, known, issues);
}

/** One text for one electrical node; no id starts with the sign that marks a place. */
function nodeOf(end: End): string {
  return 'place' in end ? `@${end.place}` : `${end.part} ${end.terminal}`;
}

/** Supply chains join + sides, the others - sides. */
function checkSides(read: ReadChain, known: Known, issues: Issues): void {
  const { chain, about } = read;
  const [from, to] = [chain.from, chain.to];
  const same = nodeOf(from) === nodeOf(to);
  if (same) issues.error(read.at, about, 'two different ends', `${endName(from)} twice`);
  if (chain.role === 'supply') {
    if (shortsPack(chain)) {
      issues.error(read.toAt, about, 'a chain that ends at a load', `a wire from ${endName(from)} to ${endName(to)}`, 'this shorts the pack; how negatives run back belongs in "returns"');
      return;
    }
    if (stacksPacks(chain, known)) return;
    for (const [end, at] of [[from, read.fromAt], [to, read.toAt]] as const) {
      if ('part' in end && end.terminal === '-') {
        issues.error(at, about, 'a + side or a place', quoted(endName(end)), 'how negatives run back belongs in "returns"');
      }
    }
    return;
  }
  for (const [end, at] of [[from, read.fromAt], [to, read.toAt]] as const) {
    if ('part' in end && end.terminal !== '-') {
      issues.error(at, about, `a - side or a place, in a ${chain.role} chain`, quoted(endName(end)), `did you mean "${end.part}-"?`);
    }
  }
}

/** Both terminals of one pack on one supply chain: whatever stands between, no load does. */
function shortsPack({ from, to }: Chain): boolean {
  return 'part' in from && 'part' in to && from.part === to.part && from.terminal !== to.terminal && [from.terminal, to.terminal].every((terminal) => terminal !== 'out');
}

/** From the + of one pack to the - of another: they stand in series. */
function stacksPacks({ from, to }: Chain, known: Known): boolean {
  const isPack = (end: End): boolean => 'part' in end && known.get(end.part)?.kind?.kind === 'pack';
  return isPack(from) && isPack(to) && 'part' in from && from.terminal === '+' && 'part' in to && to.terminal === '-';
}

function endName(end: End): string {
  if ('place' in end) return end.place;
  return end.terminal === 'out' ? `${end.part} out` : end.part + end.terminal;
}

/** A place is where something branches: one chain alone ends in the air there; both sides at one place are a short. */
function checkPlaces({ chains, bar }: ReadWiring, known: Known, issues: Issues): void {
  const touching = new Map<string, ReadChain[]>();
  for (const read of chains) {
    for (const end of [read.chain.from, read.chain.to]) {
      if ('place' in end) touching.set(end.place, [...(touching.get(end.place) ?? []), read]);
    }
  }
  for (const [place, reads] of touching) {
    const [first] = reads;
    if (first === undefined) continue;
    const at = 'place' in first.chain.from && first.chain.from.place === place ? first.fromAt : first.toAt;
    // The bar of the one-line form has a name, and every return lead beside a supply chain ends there.
    if (reads.length === 1 && !(bar !== undefined && place === NEGATIVES) && !isBenchLeadChain(first.chain, known)) {
      const others = [...known.keys(), ...[...touching.keys()].filter((other) => other !== place)];
      issues.error(at, first.about, 'a terminal of a part, or a place that another chain touches too', quoted(place), didYouMean(place, others) ?? 'nothing else goes there');
    }
    const other = reads.find(({ chain }) => (chain.role === 'supply') !== (first.chain.role === 'supply'));
    if (other !== undefined) {
      issues.error(other.at, other.about, 'a place on one side only', `${quoted(place)} on the + side and on the - side`, 'give the negative place a name of its own');
    }
  }
}

function checkTwins(chains: readonly ReadChain[], issues: Issues): void {
  const seen = new Map<string, ReadChain>();
  for (const read of chains) {
    const { chain } = read;
    const parts = chain.items.filter((item) => 'part' in item);
    if (parts.length > 0) continue;
    const key = [chain.role, ...[nodeOf(chain.from), nodeOf(chain.to)].sort()].join('|');
    const twin = seen.get(key);
    if (twin === undefined) seen.set(key, read);
    else issues.question(read.at, read.about, 'one lead between two ends', `${quoted(chain.name)} beside ${quoted(twin.chain.name)}`, 'both are counted, as leads in parallel');
  }
}

function checkThroughParts(chains: readonly ReadChain[], known: Known, issues: Issues): void {
  const users = new Map<string, string>();
  for (const { id, values } of known.values()) {
    for (const { value, at } of values.values()) {
      if (!isPositions(value)) continue;
      const through = new Set([...value.values()].map((position) => (position.path === 'through' ? position.part : undefined)));
      for (const part of through) {
        if (part === undefined) continue;
        const user = users.get(part);
        if (user !== undefined) issues.error(at, { part: id, field: 'positions' }, 'a resistor that stands nowhere else', `${part}, which is already in ${user}`);
        users.set(part, `a position of ${id}`);
      }
    }
  }
  for (const { id, kind, values } of known.values()) {
    const own = kind?.kind === 'contactor' ? values.get('softStart') : undefined;
    if (typeof own?.value !== 'string') continue;
    const user = users.get(own.value);
    if (user !== undefined) issues.error(own.at, { part: id, field: 'soft start' }, 'a resistor that stands nowhere else', `${own.value}, which is already in ${user}`);
    users.set(own.value, `the soft start of ${id}`);
  }
  const broken = issues.errors > 0;
  for (const { chain, about, itemsAt, at } of chains) {
    chain.items.forEach((item, k) => {
      if (!('part' in item)) return;
      const user = users.get(item.part);
      if (user !== undefined) issues.error(itemsAt[k] ?? at, about, 'a part that stands nowhere else', `${item.part}, which is already in ${user}`);
      users.set(item.part, `chain ${quoted(chain.name)}`);
    });
  }
  // While a chain is unreadable, what it holds is unknown.
  if (broken) return;
  const ofInputs = inputSwitches(known);
  for (const { id, kind, at } of known.values()) {
    if (kind?.terminals === 'through' && !users.has(id) && !ofInputs.has(id)) {
      issues.error(at, { part: id }, `${kind.name} in a chain`, 'no chain that it stands in', `write it between commas of a line in "wiring": "..., ${id}, ..."`);
    }
  }
}

/** Every load hangs, through whatever, on a pack's + side. */
function checkFed(chains: readonly ReadChain[], known: Known, issues: Issues): void {
  const packs = [...known.values()].filter(({ kind }) => isSource(kind?.kind));
  if (packs.length === 0) {
    issues.error({ line: 1, column: 1 }, { field: 'parts' }, 'a pack', 'none');
    return;
  }
  const reached = reachable(packs.map(({ id }) => `${id} +`), chains.filter(({ chain }) => chain.role === 'supply'), known);
  for (const { id, kind, at } of known.values()) {
    if (kind === undefined || isSource(kind.kind) || kind.terminals === 'through' || !kind.terminals.includes('+')) continue;
    if (reached.has(`${id} +`)) continue;
    const ends = chains.some(({ chain }) => [chain.from, chain.to].some((end) => 'part' in end && end.part === id && end.terminal === '+'));
    issues.error(at, { part: id }, `a chain that feeds ${kind.name}`, ends ? 'no way from a pack to it' : `no chain that ends at ${id}`);
  }
}

/** Nodes that chains connect to the first ones; a converter or regulator feeds its output. */
function reachable(starts: readonly string[], chains: readonly ReadChain[], known: Known): ReadonlySet<string> {
  const beside = new Map<string, string[]>();
  for (const { chain } of chains) {
    const [a, b] = [nodeOf(chain.from), nodeOf(chain.to)];
    beside.set(a, [...(beside.get(a) ?? []), b]);
    beside.set(b, [...(beside.get(b) ?? []), a]);
  }
  const reached = new Set<string>();
  const pending = [...starts];
  for (let node = pending.pop(); node !== undefined; node = pending.pop()) {
    if (reached.has(node)) continue;
    reached.add(node);
    pending.push(...(beside.get(node) ?? []));
    const [id = '', terminal] = node.split(' ');
    const terminals = known.get(id)?.kind?.terminals;
    if (terminal === '+' && terminals !== undefined && terminals !== 'through' && terminals.includes('out')) pending.push(`${id} out`);
  }
  return reached;
}

/** Every load's - side comes back to a pack: by the bar, or by return chains. */
function checkReturned({ chains, bar }: ReadWiring, known: Known, issues: Issues): void {
  const returns = chains.filter(({ chain }) => chain.role === 'return');
  const ownReturn = new Set(returns.map(({ chain }) => nodeOf(chain.from)));
  const parts = [...known.values()].filter(({ kind }) => kind !== undefined && kind.terminals !== 'through' && kind.terminals.includes('-'));
  const home = parts.filter(({ id, kind }) => isSource(kind?.kind) || (bar !== undefined && !ownReturn.has(`${id} -`)));
  const reached = reachable(home.map(({ id }) => `${id} -`), returns, known);
  for (const { id, kind, at } of parts) {
    if (kind === undefined || reached.has(`${id} -`)) continue;
    issues.error(at, { part: id }, `a way back from ${id}- to a pack`, 'none in "returns"', bar === undefined ? 'add a return chain, or the line "general: all negatives on one bar"' : undefined);
  }
}
