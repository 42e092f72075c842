import type { Chain, End, Machine } from '../machine.ts';
import { kindOf } from '../parts.ts';

/** Names the electrical points of a machine: `bar`, `T1+`; the return point beside each is `bar-`, `T1-`. */
export function pointOf(end: End): string {
  if ('place' in end) return end.place;
  return end.terminal === 'out' ? `${end.part} out` : `${end.part}${end.terminal}`;
}

/** What power comes from: a pack, or a bench supply in its place. */
export function isSource(kind: string | undefined): boolean {
  return kind === 'pack' || kind === 'bench supply';
}

/** The return point that belongs to a supply point. */
export function companionOf(end: End): string {
  if ('place' in end) return `${end.place}-`;
  return `${end.part}-`;
}

/** Supply chains that stand behind the output of a converter or regulator: their power is drawn at its input. */
export function isDownstream(machine: Machine, chain: Chain): boolean {
  const starts = new Set<string>();
  const feeders = (c: Chain): boolean => {
    if (!('place' in c.from)) return c.from.terminal === 'out' || (c.from.terminal === '+' && isOutputFed(machine, c.from.part, starts));
    if (starts.has(c.from.place)) return false;
    starts.add(c.from.place);
    const point = pointOf(c.from);
    return machine.wiring.chains.some((other) => other.role === 'supply' && pointOf(other.to) === point && feeders(other));
  };
  return chain.role === 'supply' && feeders(chain);
}

function isOutputFed(machine: Machine, part: string, starts: Set<string>): boolean {
  if (isSource(machine.parts.get(part)?.kind)) return false;
  const key = `${part}+`;
  if (starts.has(key)) return false;
  starts.add(key);
  return machine.wiring.chains.some((other) => other.role === 'supply' && pointOf(other.to) === key && isDownstream(machine, other));
}

/** Loads that hang on the output of a part, through chains and places and linear regulators. */
export function loadsBehind(machine: Machine, part: string): string[] {
  const found: string[] = [];
  const seen = new Set<string>([`${part} out`]);
  const open = [`${part} out`];
  while (open.length > 0) {
    const point = open.pop()!;
    for (const chain of machine.wiring.chains) {
      if (chain.role !== 'supply' || pointOf(chain.from) !== point) continue;
      const to = pointOf(chain.to);
      if (seen.has(to)) continue;
      seen.add(to);
      open.push(to);
      if (!('place' in chain.to)) {
        found.push(chain.to.part);
        if (hasOutput(machine, chain.to.part)) open.push(`${chain.to.part} out`);
      }
    }
  }
  return found;
}

function hasOutput(machine: Machine, part: string): boolean {
  const kind = machine.parts.get(part)?.kind;
  const terminals = kind === undefined ? undefined : kindOf(kind)?.terminals;
  return Array.isArray(terminals) && terminals.includes('out');
}

/** The place that stands for the bar of the one-line return form, so that own return chains can end there. */
export const NEGATIVES = 'negatives';

/** A lead from point to point, with the parts in it. */
export interface Lead {
  readonly from: string;
  readonly to: string;
  readonly parts: readonly string[];
  readonly side: 'supply' | 'return';
}

/** Every lead of the power circuit: supply chains, the return leads that the one-line form implies, own return chains. */
export function leadsOf(machine: Machine): Lead[] {
  const leads: Lead[] = [];
  for (const chain of machine.wiring.chains) {
    if (chain.role === 'signal ground' || isDownstream(machine, chain)) continue;
    const parts = chain.items.flatMap((item) => ('part' in item ? [item.part] : []));
    leads.push({ from: pointOf(chain.from), to: pointOf(chain.to), parts, side: chain.role === 'return' ? 'return' : 'supply' });
  }
  const bars = new Set(barPoints(machine));
  const named = (point: string): string => (bars.has(point) ? NEGATIVES : point);
  for (const { low, high } of impliedReturns(machine)) leads.push({ from: named(low), to: named(high), parts: [], side: 'return' });
  return leads;
}

/** A return lead beside a supply chain, from the far end's return point to the near end's. */
export interface ImpliedReturn {
  readonly chain: Chain;
  readonly low: string;
  readonly high: string;
}

/**
 * Return leads that `all negatives on one bar` stands for: one beside the first supply chain that leads to a place or a
 * load, unless an own return chain carries that negative; a second + lead to the same load, as of a soft start, brings no
 * negative of its own. Every pack has one. A chain from one pack's + to the next one's − has none: the packs stand in series.
 */
export function impliedReturns(machine: Machine): ImpliedReturn[] {
  if (machine.wiring.bar === undefined) return [];
  const own = machine.wiring.chains.filter((chain) => chain.role === 'return');
  const traced = new Set(own.map((chain) => pointOf(chain.from)));
  const ended = new Set(own.map((chain) => pointOf(chain.to)));
  const returns: ImpliedReturn[] = [];
  const done = new Set<string>();
  const returned = new Set<string>();
  for (const chain of machine.wiring.chains) {
    if (chain.role !== 'supply') continue;
    if (!('place' in chain.to) && chain.to.terminal === '-') continue;
    const low = companionOf(chain.to);
    const high = lowestOf(machine, companionOf(chain.from));
    const fromPack = !('place' in chain.from) && isSource(machine.parts.get(chain.from.part)?.kind);
    if (low === high || done.has(`${low}>${high}`)) continue;
    if (!('place' in chain.to) && traced.has(low)) continue;
    if (fromPack && ended.has(high)) continue;
    if (!fromPack && returned.has(low)) continue;
    returned.add(low);
    done.add(`${low}>${high}`);
    returns.push({ chain, low, high });
  }
  return returns;
}

/** The negative at the bottom of a stack of packs, for that of one which stands in it. */
function lowestOf(machine: Machine, point: string): string {
  const stack = seriesStack(machine);
  return stack.slice(1).some((id) => `${id}-` === point) ? `${stack[0]!}-` : point;
}

/** Return points of the places that packs feed: what the one-line form calls the bar. */
export function barPoints(machine: Machine): string[] {
  return machine.wiring.chains
    .filter((chain) => chain.role === 'supply' && !('place' in chain.from) && isSource(machine.parts.get(chain.from.part)?.kind) && 'place' in chain.to)
    .map((chain) => companionOf(chain.to));
}

/** Packs in series from the lowest up; the first one's negative is the circuit's. Packs beside them are not listed. */
export function seriesStack(machine: Machine): string[] {
  const packs = [...machine.parts.values()].filter((part) => isSource(part.kind)).map((part) => part.id);
  const onto = new Map<string, string>();
  for (const chain of machine.wiring.chains)
    if (chain.role === 'supply' && !('place' in chain.from) && !('place' in chain.to) && chain.to.terminal === '-') onto.set(chain.from.part, chain.to.part);
  const above = new Set(onto.values());
  const stack: string[] = [];
  for (let pack = packs.find((id) => !above.has(id)); pack !== undefined && !stack.includes(pack); pack = onto.get(pack)) stack.push(pack);
  return stack;
}
