import { impliedReturns, isDownstream, pointOf, type ImpliedReturn } from '../machine/circuit/nets.ts';
import type { Chain, ChainItem, Conductor, Machine } from '../machine/machine.ts';

/** One wire to cut: a conductor with what stands at its two ends. */
export interface Wire {
  /** `W1`, counted through the file; numbers that a part has are left out. */
  readonly id: string;
  readonly from: string;
  readonly to: string;
  /** Parts at the ends, where there is one. */
  readonly fromPart: string | undefined;
  readonly toPart: string | undefined;
  /** Chain of the file that it belongs to, in words. */
  readonly branch: string;
  /** Name of that chain, and which of its conductors this is, from 0. */
  readonly chain: string;
  readonly piece: number;
  readonly role: 'supply' | 'rail' | 'return' | 'signal ground';
  readonly conductor: Conductor;
  /** A − lead of which the file says only that it runs beside this + lead. */
  readonly implied: boolean;
}

/** A lead that the file names without saying of what wire it is. */
export interface BareLead {
  readonly from: string;
  readonly to: string;
  readonly branch: string;
}

export interface WireTable {
  readonly wires: readonly Wire[];
  readonly bare: readonly BareLead[];
  /** Parts and places that follow each other in a chain without a wire between: `X1–LK1`. */
  readonly joined: readonly string[];
}

interface Stop {
  readonly name: string;
  readonly part: string | undefined;
}

/** Every wire of a machine: those of its chains, and the return beside each where the one-line form implies it. */
export function wiresOf(machine: Machine): WireTable {
  const wires: Wire[] = [];
  const bare: BareLead[] = [];
  const joined: string[] = [];
  let number = 0;
  const add = (wire: Omit<Wire, 'id'>): void => {
    // Parts may be called W too: a chassis tie, a lead of the bench.
    do number += 1;
    while (machine.parts.has(`W${number}`));
    wires.push({ id: `W${number}`, ...wire });
  };
  const returns = new Map<Chain, ImpliedReturn[]>();
  for (const one of impliedReturns(machine)) returns.set(one.chain, [...(returns.get(one.chain) ?? []), one]);
  for (const chain of machine.wiring.chains) {
    const role = chain.role === 'supply' && isDownstream(machine, chain) ? 'rail' : chain.role;
    const stops = stopsOf(machine, chain);
    const conductors = chain.items.flatMap((item) => ('conductor' in item ? [item.conductor] : []));
    let piece = 0;
    for (const { from, to, conductor } of hops(chain.items, stops)) {
      if (conductor !== undefined) add({ from: from.name, to: to.name, fromPart: from.part, toPart: to.part, branch: chain.name, chain: chain.name, piece: piece++, role, conductor, implied: false });
      else if (conductors.length > 0 || chain.items.length > 0) joined.push(`${from.name}\u2013${to.name}`);
    }
    if (conductors.length === 0 && chain.items.length === 0) bare.push({ from: pointOf(chain.from), to: pointOf(chain.to), branch: chain.name });
    for (const { low, high } of returns.get(chain) ?? []) {
      conductors.forEach((conductor, k) => {
        const section = conductors.length === 1 ? '' : ` (piece ${k + 1} of ${conductors.length})`;
        add({ from: `${low}${section}`, to: `${high}${section}`, fromPart: partAt(machine, low), toPart: partAt(machine, high), branch: `${chain.name}, return`, chain: chain.name, piece: k, role: 'return', conductor, implied: true });
      });
    }
  }
  return { wires, bare, joined };
}

/** Parts between a chain's ends, and the ends. */
function stopsOf(machine: Machine, chain: Chain): { readonly first: Stop; readonly last: Stop } {
  const stop = (name: string): Stop => ({ name, part: partAt(machine, name) });
  return { first: stop(pointOf(chain.from)), last: stop(pointOf(chain.to)) };
}

interface Hop {
  readonly from: Stop;
  readonly to: Stop;
  readonly conductor: Conductor | undefined;
}

function hops(items: readonly ChainItem[], { first, last }: { readonly first: Stop; readonly last: Stop }): Hop[] {
  const found: Hop[] = [];
  let from = first;
  let conductor: Conductor | undefined;
  items.forEach((item, k) => {
    if ('conductor' in item) {
      // Two wires on end meet in a splice that the file does not name.
      if (conductor !== undefined) {
        const splice: Stop = { name: `splice before piece ${k + 1}`, part: undefined };
        found.push({ from, to: splice, conductor });
        from = splice;
      }
      conductor = item.conductor;
      return;
    }
    const to: Stop = { name: item.part, part: item.part };
    found.push({ from, to, conductor });
    from = to;
    conductor = undefined;
  });
  found.push({ from, to: last, conductor });
  return found;
}

/** The part whose terminal a point is; undefined for a place. */
function partAt(machine: Machine, point: string): string | undefined {
  const id = point.replace(/(?:\+|-| out)$/, '');
  return machine.parts.has(id) ? id : undefined;
}
