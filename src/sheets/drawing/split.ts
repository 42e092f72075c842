import { fittedLayout, scaleIn, type Room } from './fold.ts';
import type { Diagram, DiagramEdge, DiagramNode, DiagramPin } from './graph.ts';
import type { Block } from './block.ts';

/** Type is never printed smaller than this share of its size while another sheet helps. */
const SMALLEST_SCALE = 0.62;

export interface LaidSheet {
  readonly name: string;
  readonly diagram: Diagram;
  readonly block: Block;
}

type Nodes = ReadonlySet<string>;

/** The whole machine on one sheet where it can be read there; otherwise an overview and sheets by branch. */
export async function sheetsOf(diagram: Diagram, room: Room): Promise<LaidSheet[]> {
  const whole = await fittedLayout(diagram, room);
  if (scaleIn(room, whole) >= SMALLEST_SCALE) return [{ name: 'Power diagram', diagram, block: whole }];
  const groups = await divided(diagram, new Set(diagram.nodes.keys()), room);
  if (groups.length === 1) return [{ name: 'Power diagram', diagram, block: whole }];
  return drawnApart(diagram, await merged(diagram, groups, room), room);
}

/** Neighbouring groups on one sheet where they can be read there. */
async function merged(diagram: Diagram, groups: readonly Nodes[], room: Room): Promise<Nodes[]> {
  const sheets: Nodes[] = [];
  for (const group of groups) {
    const last = sheets.at(-1);
    const both = new Set([...(last ?? []), ...group]);
    // The overview stays one: what it shows is where the branches begin.
    if (sheets.length > 1 && last !== undefined && (await scaleOf(diagram, both, room)) >= SMALLEST_SCALE) sheets[sheets.length - 1] = both;
    else sheets.push(group);
  }
  return sheets;
}

function scaleOf(diagram: Diagram, nodes: Nodes, room: Room): Promise<number> {
  const elsewhere = new Map([...diagram.nodes.keys()].map((id) => [id, nodes.has(id) ? 0 : 1]));
  return fittedLayout(withSigns(diagram, nodes, elsewhere, 0), room).then((block) => scaleIn(room, block));
}

function drawnApart(diagram: Diagram, groups: readonly Nodes[], room: Room): Promise<LaidSheet[]> {
  const sheetAt = new Map(groups.flatMap((nodes, k) => [...nodes].map((id) => [id, k] as const)));
  return Promise.all(groups.map(async (nodes, k) => {
    const own = withSigns(diagram, nodes, sheetAt, k);
    return { name: k === 0 ? 'Overview' : branchNames(diagram, nodes, sheetAt, k), diagram: own, block: await fittedLayout(own, room) };
  }));
}

/** Groups of nodes, a sheet each, in the order of the branches. */
async function divided(diagram: Diagram, nodes: Nodes, room: Room): Promise<Nodes[]> {
  const scale = await scaleOf(diagram, nodes, room);
  if (scale >= SMALLEST_SCALE) return [nodes];
  const cut = branchesOf(diagram, nodes);
  if (cut === undefined) return [nodes];
  // As many bundles as it takes for each to have its share of the room.
  const wanted = Math.max(2, Math.ceil((SMALLEST_SCALE / scale) ** 1.5));
  const groups: Nodes[] = [];
  for (const bundle of bundled(cut.branches, wanted)) groups.push(...(await divided(diagram, bundle, room)));
  return [...(await divided(diagram, cut.base, room)), ...groups];
}

/** A place where a set of nodes branches, what lies before it, and what hangs on each of its leads: where the largest piece is smallest. */
function branchesOf(diagram: Diagram, nodes: Nodes): { readonly base: Nodes; readonly branches: readonly Nodes[] } | undefined {
  const leads = diagram.edges.filter(({ role, from, to }) => role === 'supply' && nodes.has(from.node) && nodes.has(to.node));
  const next = new Map<string, string[]>();
  for (const { from, to } of leads) next.set(from.node, [...(next.get(from.node) ?? []), to.node]);
  const fed = new Set(leads.map(({ to }) => to.node));
  const order = new Set([...nodes].filter((id) => !fed.has(id)));
  for (const node of order) for (const other of next.get(node) ?? []) order.add(other);
  let best: { readonly base: Nodes; readonly branches: readonly Nodes[]; readonly largest: number } | undefined;
  for (const node of order) {
    const starts = next.get(node) ?? [];
    if (starts.length < 2) continue;
    const taken = new Set<string>([node]);
    const branches = starts.flatMap((start) => {
      const branch = new Set<string>(taken.has(start) ? [] : [start]);
      for (const at of branch) for (const other of next.get(at) ?? []) if (!taken.has(other)) branch.add(other);
      for (const at of branch) taken.add(at);
      return branch.size === 0 ? [] : [branch];
    });
    const base = new Set([...nodes].filter((id) => id === node || !taken.has(id)));
    const largest = Math.max(base.size, ...branches.map(({ size }) => size));
    if (branches.length > 1 && largest < (best?.largest ?? nodes.size)) best = { base, branches, largest };
  }
  return best;
}

/** Neighbouring branches together, in about so many bundles of like size. */
function bundled(branches: readonly Nodes[], wanted: number): Nodes[] {
  const total = branches.reduce((sum, branch) => sum + branch.size, 0);
  const share = total / wanted;
  const bundles: Set<string>[] = [];
  let room = 0;
  for (const branch of branches) {
    if (bundles.length === 0 || room < branch.size / 2) {
      bundles.push(new Set());
      room = share;
    }
    for (const id of branch) bundles.at(-1)!.add(id);
    room -= branch.size;
  }
  return bundles;
}

/** The nodes of one sheet, with a sign wherever a lead goes to another. */
function withSigns(diagram: Diagram, nodes: Nodes, sheetAt: ReadonlyMap<string, number>, sheet: number): Diagram {
  const kept = new Map<string, DiagramNode>([...diagram.nodes].filter(([id]) => nodes.has(id)));
  const edges: DiagramEdge[] = [];
  const leaving = new Map<string, { readonly edge: DiagramEdge; readonly names: string[]; readonly to: number }>();
  for (const edge of diagram.edges) {
    const [here, there] = [nodes.has(edge.from.node), nodes.has(edge.to.node)];
    if (here && there) edges.push(edge);
    else if (here) {
      const to = sheetAt.get(edge.to.node) ?? sheet;
      const key = `${edge.from.node}\n${edge.from.pin}\n${to}\n${edge.role}`;
      const sign = leaving.get(key);
      if (sign === undefined) leaving.set(key, { edge, names: [edge.name], to });
      else sign.names.push(edge.name);
    } else if (there) {
      const from = sheetAt.get(edge.from.node) ?? sheet;
      const id = `sign from ${edge.from.node} ${edge.from.pin} ${edge.role}`;
      kept.set(id, { id, type: 'sign', side: 'in', role: edge.role, words: [`sheet ${from + 1}`, `from ${pinWords(diagram, edge.from)}`] });
      edges.push({ ...edge, from: { node: id, pin: 'through' } });
    }
  }
  for (const [key, { edge, names, to }] of leaving) {
    const id = `sign to ${key}`;
    kept.set(id, { id, type: 'sign', side: 'out', role: edge.role, words: [`sheet ${to + 1}`, listed(names)] });
    edges.push({ ...edge, id: `${edge.id} to sheet ${to + 1}`, to: { node: id, pin: 'in' }, conductor: undefined, wire: undefined });
  }
  return { ...diagram, nodes: kept, edges };
}

function listed(names: readonly string[]): string {
  const unique = [...new Set(names)];
  return unique.length <= 3 ? unique.join(', ') : `${unique.slice(0, 2).join(', ')} and ${unique.length - 2} more`;
}

function pinWords(diagram: Diagram, { node, pin }: DiagramPin): string {
  const found = diagram.nodes.get(node);
  if (found?.type === 'point') return found.point;
  if (found?.type !== 'part') return '';
  return pin === 'in' || pin === 'through' ? found.part.id : `${found.part.id}${pin === 'out' ? ' out' : pin.charAt(0)}`;
}

function branchNames(diagram: Diagram, nodes: Nodes, sheetAt: ReadonlyMap<string, number>, sheet: number): string {
  const entering = diagram.edges.filter(({ role, from, to }) => role === 'supply' && nodes.has(to.node) && sheetAt.get(from.node) !== sheet);
  return listed(entering.map(({ name }) => name));
}
