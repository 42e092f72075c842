import { positionsBefore } from '../circuit/positions.ts';
import { positionsOf } from '../circuit/chains.ts';
import { impliedReturns, isDownstream, isSource, pointOf } from '../circuit/nets.ts';
import type { Chain, Conductor, Machine } from '../machine.ts';
import type { Part } from '../parts.ts';

/** A piece of a strand. */
export type Piece =
  | { readonly sort: 'cable'; readonly where: string; readonly name: string; readonly conductor: Conductor; readonly key: string; /** 2 when the return lead beside it is counted with it. */ readonly leads: 1 | 2 }
  | { readonly sort: 'part'; readonly part: Part }
  /** The joint at the end of a return lead. */
  | { readonly sort: 'return joint' };

/** Parts and conductors in a row: one current through all of them. */
export interface Strand {
  readonly name: string;
  readonly from: string;
  readonly to: string;
  readonly pieces: readonly Piece[];
}

export interface Feeding {
  readonly strands: readonly Strand[];
  /** Leads to small loads, whose own drop moves nothing: their loads hang on the point where they begin. */
  readonly quiet: readonly (Strand & { readonly load: string })[];
  /** The node of every point. */
  readonly nodeOf: (point: string) => string;
}

const QUIET_LOADS: ReadonlySet<string> = new Set(['converter', 'regulator', 'lamp', 'bleed', 'receiver', 'servo', 'load']);

/**
 * The supply side of a machine as it stands when its power-up is done, returns folded into it: every lead carries the
 * resistance of the return beside it, so that one side is enough. A return chain counts in the strand of the load or the
 * pack at its end; what all packs share stands behind the place where they meet. What two loads share on the return side
 * alone (a daisy chain) counts for each on its own.
 */
export function feedingOf(machine: Machine): Feeding {
  const closed = closedChains(machine);
  const supply = closed.filter(({ chain }) => chain.role === 'supply' && !isDownstream(machine, chain));
  const nodes = new Nodes();
  const beside = new Set(impliedReturns(machine).map(({ chain }) => chain));
  let strands: Strand[] = [];
  const quiet: (Strand & { readonly load: string })[] = [];
  for (const { chain, pieces } of supply) {
    const returned = beside.has(chain);
    const all: Piece[] = [...pieces(returned ? 2 : 1), ...(returned ? [{ sort: 'return joint' } as const] : [])];
    const strand = { name: chain.name, from: pointOf(chain.from), to: pointOf(chain.to), pieces: all };
    const load = 'place' in chain.to ? undefined : machine.parts.get(chain.to.part);
    const plain = all.every((piece) => piece.sort !== 'part' || !['fuse', 'protection', 'diode', 'ideal diode'].includes(piece.part.kind));
    if (chain.items.length === 0 || (load !== undefined && QUIET_LOADS.has(load.kind) && plain)) {
      nodes.merge(strand.to, strand.from);
      if (chain.items.length > 0 && load !== undefined) quiet.push({ ...strand, load: load.id });
    } else strands.push(strand);
  }
  for (const { chain, pieces } of closed) if (chain.role === 'return' && chain.items.length > 0) strands = withReturn(machine, strands, chain, pieces(1), nodes);
  return { strands: inRow(machine, strands, nodes), quiet, nodeOf: (point) => nodes.rootOf(point) };
}

interface ClosedChain {
  readonly chain: Chain;
  readonly pieces: (leads: 1 | 2) => Piece[];
}

/** Chains that conduct once the power-up is done; a switch that leads through a resistor counts as that. */
function closedChains(machine: Machine): ClosedChain[] {
  const positions = positionsBefore(machine, machine.powerUp, machine.powerUp.length);
  return machine.wiring.chains.flatMap((chain): ClosedChain[] => {
    const standing = chain.items.map((item) => ('part' in item ? standingAs(machine, item.part, positions) : undefined));
    if (standing.includes('open')) return [];
    const pieces = (leads: 1 | 2): Piece[] =>
      chain.items.map((item, k): Piece => {
        if ('conductor' in item) return { sort: 'cable', where: `${chain.name}#${k}`, name: `${chain.name} lead`, conductor: item.conductor, key: `${chain.name}#${k}`, leads };
        const through = standing[k];
        return { sort: 'part', part: machine.parts.get(typeof through === 'object' ? through.through : item.part)! };
      });
    return [{ chain, pieces }];
  });
}

function standingAs(machine: Machine, id: string, positions: ReadonlyMap<string, string>): 'open' | 'closed' | { readonly through: string } {
  const part = machine.parts.get(id);
  const at = positions.get(id);
  switch (part?.kind) {
    case 'button':
      return at === 'closed' ? 'closed' : 'open';
    case 'isolator': {
      if (at === undefined) return 'closed';
      const path = positionsOf(part).find(([name]) => name === at)?.[1];
      return path === undefined || path.path === 'open' ? 'open' : path.path === 'through' ? { through: path.part } : 'closed';
    }
    case 'link':
    case 'connector':
    case 'solid-state switch':
    case 'contactor':
      return at === 'open' ? 'open' : 'closed';
    default:
      return 'closed';
  }
}

/** Adds a return chain of its own to the strand whose current it carries. */
function withReturn(machine: Machine, strands: readonly Strand[], chain: Chain, pieces: readonly Piece[], nodes: Nodes): Strand[] {
  const from = 'place' in chain.from ? undefined : chain.from.part;
  const to = 'place' in chain.to ? undefined : chain.to.part;
  const ofLoad = from === undefined ? -1 : strands.findIndex((strand) => nodes.rootOf(strand.to) === nodes.rootOf(`${from}+`));
  const ofPack = to === undefined || !isSource(machine.parts.get(to)?.kind) ? -1 : strands.findIndex((strand) => strand.from === `${to}+`);
  const at = ofLoad >= 0 ? ofLoad : ofPack;
  if (at >= 0) return strands.map((strand, k) => (k === at ? { ...strand, pieces: [...strand.pieces, ...pieces] } : strand));
  const packs = strands.filter((strand) => isPackPoint(machine, strand.from));
  const [meeting] = packs.map((strand) => nodes.rootOf(strand.to));
  if (meeting === undefined || from !== undefined) return [...strands];
  if (packs.length === 1) return strands.map((strand) => (strand === packs[0] ? { ...strand, pieces: [...strand.pieces, ...pieces] } : strand));
  const before = `${meeting} before ${chain.name}`;
  const moved = strands.map((strand) => (packs.includes(strand) && nodes.rootOf(strand.to) === meeting ? { ...strand, to: before } : strand));
  return [...moved, { name: chain.name, from: before, to: meeting, pieces }];
}

function isPackPoint(machine: Machine, point: string): boolean {
  return point.endsWith('+') && isSource(machine.parts.get(point.slice(0, -1))?.kind);
}

/** Joins strands that follow each other with nothing between: a place where only two of them meet and nothing hangs. */
function inRow(machine: Machine, strands: readonly Strand[], nodes: Nodes): Strand[] {
  const list = strands.map((strand) => ({ ...strand, from: nodes.rootOf(strand.from), to: nodes.rootOf(strand.to) }));
  for (;;) {
    const pair = list.flatMap((first) => list.flatMap((second) => (first !== second && first.to === second.from && meets(list, first.to) === 2 && isPlainPlace(machine, first.to, nodes) ? [{ first, second }] : [])))[0];
    if (pair === undefined) return list;
    const { first, second } = pair;
    list.splice(list.indexOf(second), 1);
    list[list.indexOf(first)] = { name: second.name === first.name ? first.name : `${first.name}, ${second.name}`, from: first.from, to: second.to, pieces: [...first.pieces, ...second.pieces] };
  }
}

function meets(list: readonly Strand[], node: string): number {
  return list.filter((strand) => strand.from === node).length + list.filter((strand) => strand.to === node).length;
}

function isPlainPlace(machine: Machine, node: string, nodes: Nodes): boolean {
  return [...machine.parts.values()].every((part) => nodes.rootOf(`${part.id}+`) !== node && nodes.rootOf(`${part.id}-`) !== node);
}

class Nodes {
  private readonly into = new Map<string, string>();

  merge(point: string, with_: string): void {
    const [x, y] = [this.rootOf(point), this.rootOf(with_)];
    if (x !== y) this.into.set(x, y);
  }

  rootOf(point: string): string {
    let root = point;
    for (let next = this.into.get(root); next !== undefined; next = this.into.get(root)) root = next;
    return root;
  }
}
