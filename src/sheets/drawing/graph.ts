import { isSource, NEGATIVES, pointOf } from '../../machine/circuit/nets.ts';
import type { Chain, Conductor, End, Machine } from '../../machine/machine.ts';
import type { Part } from '../../machine/parts.ts';
import { wireMarks, type WireMark } from './facts.ts';
import { designationsOf } from './designations.ts';
import type { Pin } from './symbols/glyph.ts';

/** What stands on the sheet: a part, a point where leads meet, or a hint to another sheet. */
export type DiagramNode =
  | { readonly id: string; readonly type: 'part'; readonly part: Part; readonly barred: boolean; readonly led: boolean; readonly lowerIn: boolean; readonly turned: boolean; readonly motor: Part | undefined }
  | { readonly id: string; readonly type: 'point'; readonly point: string; readonly name: string | undefined; readonly role: Chain['role']; readonly barred: boolean }
  | { readonly id: string; readonly type: 'sign'; readonly words: readonly string[]; readonly side: 'in' | 'out'; readonly role: Chain['role'] };

export interface DiagramPin {
  readonly node: string;
  readonly pin: Pin['name'];
}

export interface DiagramEdge {
  readonly id: string;
  readonly from: DiagramPin;
  readonly to: DiagramPin;
  readonly role: Chain['role'];
  /** Section and name of the chain, `wiring.drive`, and its plain name. */
  readonly chain: string;
  readonly name: string;
  readonly conductor: Conductor | undefined;
  /** What the wire list calls the conductor. */
  readonly wire: WireMark | undefined;
}

export interface Diagram {
  readonly machine: Machine;
  readonly nodes: ReadonlyMap<string, DiagramNode>;
  readonly edges: readonly DiagramEdge[];
  readonly designations: ReadonlyMap<string, string>;
  /** Resistors that are drawn inside a switch, with its id. */
  readonly within: ReadonlyMap<string, string>;
}

const SECTION = { supply: 'wiring', return: 'returns', 'signal ground': 'signal grounds' } as const;

/** How a chain is called in the drawing: two sections of a file may use one name. */
export function chainKey(chain: Pick<Chain, 'role' | 'name'>): string {
  return `${SECTION[chain.role]}.${chain.name}`;
}

/** Parts as nodes, leads as edges from the packs outwards. */
export function diagramOf(machine: Machine): Diagram {
  return new Grapher(machine).build();
}

class Grapher {
  private readonly nodes = new Map<string, DiagramNode>();
  private readonly edges: DiagramEdge[] = [];
  private readonly touching = new Map<string, Chain[]>();
  private readonly depths: ReadonlyMap<string, number>;
  private readonly within = new Map<string, string>();
  private readonly designations: ReadonlyMap<string, string>;
  private readonly wires: ReadonlyMap<Conductor, WireMark>;

  constructor(private readonly machine: Machine) {
    this.designations = designationsOf(machine);
    this.wires = wireMarks(machine);
    for (const chain of machine.wiring.chains) for (const end of [chain.from, chain.to]) push(this.touching, pointOf(end), chain);
    this.depths = depthsOf(machine);
  }

  build(): Diagram {
    this.addParts();
    for (const chain of this.machine.wiring.chains) this.addChain(chain);
    return { machine: this.machine, nodes: this.nodes, edges: this.edges, designations: this.designations, within: this.within };
  }

  private addParts(): void {
    const { parts, wiring } = this.machine;
    for (const part of parts.values()) {
      if (part.kind === 'isolator') for (const position of part.values.positions?.values() ?? []) if (position.path === 'through') this.within.set(position.part, part.id);
      if (part.kind === 'contactor' && part.values.softStart !== undefined) this.within.set(part.values.softStart, part.id);
    }
    const drives = new Map<string, string>();
    for (const part of parts.values()) if (part.kind === 'controller' && part.values.drives !== undefined && !drives.has(part.values.drives)) drives.set(part.values.drives, part.id);
    const ownReturn = new Set(wiring.chains.filter(({ role }) => role === 'return').map(({ from }) => pointOf(from)));
    for (const part of parts.values()) {
      if (this.within.has(part.id) || drives.has(part.id)) continue;
      const low = `${part.id}-`;
      const touching = this.touching.get(low) ?? [];
      const hasMinus = part.kind !== 'motor' && !this.inLine(part.id);
      const stacked = touching.some(({ role }) => role === 'supply');
      const led = touching.some(({ role }) => role !== 'supply');
      const barred = hasMinus && wiring.bar !== undefined && (isSource(part.kind) ? !stacked && !touching.some(({ role, to }) => role === 'return' && pointOf(to) === low) : !ownReturn.has(low));
      const motor = part.kind === 'controller' && part.values.drives !== undefined && drives.get(part.values.drives) === part.id ? parts.get(part.values.drives) : undefined;
      this.nodes.set(partNode(part.id), { id: partNode(part.id), type: 'part', part, barred, led, lowerIn: stacked, turned: false, motor });
    }
  }

  private inLine(id: string): boolean {
    return this.machine.wiring.chains.some(({ items }) => items.some((item) => 'part' in item && item.part === id));
  }

  private addChain(chain: Chain): void {
    const key = chainKey(chain);
    const forward = this.outward(chain);
    const items = forward ? chain.items.map((item, k) => ({ item, k })) : chain.items.map((item, k) => ({ item, k })).reverse();
    const [first, last] = forward ? [chain.from, chain.to] : [chain.to, chain.from];
    let at = this.leaving(first, chain);
    let conductor: { readonly value: Conductor; readonly k: number } | undefined;
    let gap = 0;
    const connect = (to: DiagramPin): void => {
      gap += 1;
      const id = conductor === undefined ? `${key}#${String.fromCharCode(96 + Math.min(gap, 26))}${gap > 26 ? gap : ''}` : `${key}#${conductor.k}`;
      this.edges.push({ id, from: at, to, role: chain.role, chain: key, name: chain.name, conductor: conductor?.value, wire: conductor && this.wires.get(conductor.value) });
      conductor = undefined;
    };
    for (const { item, k } of items) {
      if ('part' in item) {
        const node = this.nodes.get(partNode(item.part));
        if (node?.type === 'part' && !forward) this.nodes.set(node.id, { ...node, turned: true });
        connect({ node: partNode(item.part), pin: 'in' });
        at = { node: partNode(item.part), pin: 'through' };
      } else {
        if (conductor !== undefined) {
          const splice = this.point(`${key} splice ${k}`, undefined, chain.role);
          connect({ node: splice, pin: 'in' });
          at = { node: splice, pin: 'through' };
        }
        conductor = { value: item.conductor, k };
      }
    }
    connect(this.arriving(last, chain));
  }

  /** Whether a chain is drawn in the direction in which it is written: away from the packs, without running in a circle. */
  private outward(chain: Chain): boolean {
    const [from, to] = [this.depthOf(chain.from, chain), this.depthOf(chain.to, chain)];
    return from <= to;
  }

  private depthOf(end: End, chain: Chain): number {
    return this.depths.get(nodeKey(end, chain.role)) ?? 0;
  }

  private leaving(end: End, chain: Chain): DiagramPin {
    return this.pinOf(end, chain, 'through');
  }

  private arriving(end: End, chain: Chain): DiagramPin {
    return this.pinOf(end, chain, 'in');
  }

  private pinOf(end: End, chain: Chain, way: 'in' | 'through'): DiagramPin {
    if ('place' in end) {
      const barred = this.machine.wiring.bar !== undefined && chain.role === 'return' && end.place === NEGATIVES;
      return { node: this.point(end.place, end.place, chain.role, barred), pin: way };
    }
    const node = partNode(end.part);
    const source = isSource(this.machine.parts.get(end.part)?.kind);
    if (end.terminal === '-') return { node, pin: source && way === 'in' && chain.role === 'supply' ? '- in' : '-' };
    const leads = end.terminal === 'out' || source;
    const pin = end.terminal;
    const alone = (this.touching.get(pointOf(end)) ?? []).length === 1;
    if (alone && leads === (way === 'through')) return { node, pin };
    const junction = pointId(pointOf(end), 'supply');
    if (!this.nodes.has(junction)) {
      this.point(pointOf(end), undefined, 'supply');
      const [from, to] = leads ? [{ node, pin }, { node: junction, pin: 'in' } as const] : [{ node: junction, pin: 'through' } as const, { node, pin }];
      this.edges.push({ id: `${pointOf(end)}#joint`, from, to, role: 'supply', chain: chainKey(chain), name: chain.name, conductor: undefined, wire: undefined });
    }
    return { node: junction, pin: way };
  }

  private point(point: string, name: string | undefined, role: Chain['role'], barred = false): string {
    const id = pointId(point, role);
    const known = this.nodes.get(id);
    if (known === undefined || (barred && known.type === 'point' && !known.barred)) this.nodes.set(id, { id, type: 'point', point, name, role, barred });
    return id;
  }
}

export function partNode(id: string): string {
  return `part ${id}`;
}

/** Returns and signal grounds meet at the same places; the + side has its own. */
function pointId(point: string, role: Chain['role']): string {
  return `${role === 'supply' ? 'point' : 'ground'} ${point}`;
}

function nodeKey(end: End, role: Chain['role']): string {
  return 'place' in end ? pointId(end.place, role) : `terminal ${pointOf(end)}`;
}

/**
 * How far from the packs every point stands, so that leads can be drawn outwards. On the + side the longest way counts
 * and chains that would close a circle are not followed; − sides follow their loads, and before them come the places
 * that only packs' negatives reach.
 */
function depthsOf(machine: Machine): ReadonlyMap<string, number> {
  const next = new Map<string, string[]>();
  const chains = machine.wiring.chains;
  for (const chain of chains) {
    if (chain.role !== 'supply') continue;
    // Each part on the way counts, so that of two ends the one with more before it stands further out.
    let at = nodeKey(chain.from, 'supply');
    for (const item of chain.items) {
      if (!('part' in item)) continue;
      push(next, at, partNode(item.part));
      at = partNode(item.part);
    }
    push(next, at, nodeKey(chain.to, 'supply'));
  }
  for (const part of machine.parts.values()) {
    if (isSource(part.kind)) push(next, `terminal ${part.id}-`, `terminal ${part.id}+`);
    else push(next, `terminal ${part.id}+`, `terminal ${part.id} out`);
  }
  const order: string[] = [];
  const state = new Map<string, 'open' | 'done'>();
  const kept = new Map<string, string[]>();
  const visit = (node: string): void => {
    state.set(node, 'open');
    for (const to of next.get(node) ?? []) {
      if (state.get(to) === 'open') continue;
      push(kept, node, to);
      if (!state.has(to)) visit(to);
    }
    state.set(node, 'done');
    order.unshift(node);
  };
  const sources = [...machine.parts.values()].filter(({ kind }) => isSource(kind)).map(({ id }) => `terminal ${id}-`);
  for (const node of [...sources, ...next.keys()]) if (!state.has(node)) visit(node);
  const depths = new Map<string, number>();
  for (const node of order) {
    const depth = depths.get(node) ?? 0;
    depths.set(node, depth);
    for (const to of kept.get(node) ?? []) depths.set(to, Math.max(depths.get(to) ?? 0, depth + 1));
  }
  addReturnDepths(machine, depths);
  return depths;
}

function addReturnDepths(machine: Machine, depths: Map<string, number>): void {
  const ends = new Map<string, string[]>();
  for (const chain of machine.wiring.chains) {
    if (chain.role === 'supply') continue;
    const [from, to] = [nodeKey(chain.from, chain.role), nodeKey(chain.to, chain.role)];
    push(ends, from, to);
    push(ends, to, from);
  }
  // A load's − stands well behind every place that packs' negatives reach by themselves.
  for (const part of machine.parts.values()) {
    const plus = depths.get(`terminal ${part.id}+`) ?? 0;
    if (!isSource(part.kind)) depths.set(`terminal ${part.id}-`, 1000 + plus);
  }
  const reached = [...machine.parts.values()].filter(({ kind }) => isSource(kind)).map(({ id }) => `terminal ${id}-`);
  for (let at = 0; at < reached.length; at += 1) {
    for (const to of ends.get(reached[at]!) ?? []) {
      if (depths.has(to)) continue;
      depths.set(to, depths.get(reached[at]!)! + 1);
      reached.push(to);
    }
  }
  for (const [node, others] of ends) {
    if (depths.has(node)) continue;
    const known = others.flatMap((other) => (depths.has(other) ? [depths.get(other)!] : []));
    depths.set(node, known.length === 0 ? 2000 : Math.min(...known) + 0.5);
  }
}

function push<T>(map: Map<string, T[]>, key: string, value: T): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}
