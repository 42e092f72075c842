import type { Diagram, DiagramEdge } from './graph.ts';
import type { Block, PlacedEdge } from './block.ts';
import { LABEL_HALF, layoutOf, pinPoint } from './layout.ts';
import type { Point } from './shapes.ts';

/** Room for what is drawn, mm. */
export interface Room {
  readonly width: number;
  readonly height: number;
}

/** No larger than this, so that small machines do not shout. */
const LARGEST_SCALE = 1.25;

export function scaleIn(room: Room, block: Pick<Block, 'width' | 'height'>): number {
  return Math.min(LARGEST_SCALE, room.width / Math.max(block.width, 1), room.height / Math.max(block.height, 1));
}

/** A diagram laid out for a room: in one row, or in two with one lead led back, where that makes it larger. */
export async function fittedLayout(diagram: Diagram, room: Room): Promise<Block> {
  const row = await layoutOf(diagram);
  const plain = scaleIn(room, row);
  if (plain >= 0.95 || room.width / row.width > room.height / row.height) return row;
  for (const cut of cutsOf(diagram, row, room).slice(0, TRIES)) {
    if (cut.scale < 1.08 * plain) break;
    const folded = await foldedAt(diagram, cut);
    if (folded !== undefined && scaleIn(room, folded) > 1.03 * plain) return folded;
  }
  return row;
}

const TRIES = 3;

interface Cut {
  readonly edge: DiagramEdge;
  readonly behind: ReadonlySet<string>;
  readonly scale: number;
}

const GAP = 8;

/** The leads that alone join two halves; first those at which two rows would be largest. */
function cutsOf(diagram: Diagram, row: Block, room: Room): Cut[] {
  const cuts: Cut[] = [];
  for (const edge of diagram.edges) {
    if (edge.role !== 'supply' || edge.to.pin === '- in') continue;
    const behind = reached(diagram.edges.filter((other) => other !== edge), edge.to.node);
    if (behind.has(edge.from.node)) continue;
    const first = extent(row, (id) => !behind.has(id));
    const second = extent(row, (id) => behind.has(id));
    const gap = edge.conductor === undefined ? GAP : GAP + 2 * LABEL_HALF;
    const scale = scaleIn(room, { width: Math.max(first.width, second.width) + 14, height: first.height + second.height + gap });
    cuts.push({ edge, behind, scale });
  }
  return cuts.sort((a, b) => b.scale - a.scale);
}

/** Nodes joined to one by these edges, whichever way they run. */
function reached(edges: readonly DiagramEdge[], start: string): ReadonlySet<string> {
  const beside = new Map<string, string[]>();
  for (const { from, to } of edges) {
    beside.set(from.node, [...(beside.get(from.node) ?? []), to.node]);
    beside.set(to.node, [...(beside.get(to.node) ?? []), from.node]);
  }
  const found = new Set([start]);
  for (const node of found) for (const other of beside.get(node) ?? []) found.add(other);
  return found;
}

function extent(block: Block, has: (id: string) => boolean): Room {
  const nodes = block.nodes.filter(({ node }) => has(node.id));
  if (nodes.length === 0) return { width: 0, height: 0 };
  return {
    width: Math.max(...nodes.map(({ x, box }) => x + box.width)) - Math.min(...nodes.map(({ x }) => x)),
    height: Math.max(...nodes.map(({ axis, box }) => axis + box.below)) - Math.min(...nodes.map(({ axis, box }) => axis - box.above)),
  };
}

function part(diagram: Diagram, has: (id: string) => boolean): Diagram {
  return { ...diagram, nodes: new Map([...diagram.nodes].filter(([id]) => has(id))), edges: diagram.edges.filter(({ from, to }) => has(from.node) && has(to.node)) };
}

async function foldedAt(diagram: Diagram, { edge, behind }: Cut): Promise<Block | undefined> {
  const joined = new Set(diagram.edges.flatMap(({ from, to }) => [from.node, to.node]));
  const upper = await layoutOf(part(diagram, (id) => joined.has(id) && !behind.has(id)));
  const lower = await layoutOf(part(diagram, (id) => behind.has(id) || !joined.has(id)));
  const inset = 6;
  const half = edge.conductor === undefined ? GAP / 2 : GAP / 2 + LABEL_HALF;
  const level = upper.height + half;
  const down = upper.height + 2 * half;
  const under = moved(lower, inset, down);
  const start = upper.nodes.find(({ node }) => node.id === edge.from.node);
  const end = under.nodes.find(({ node }) => node.id === edge.to.node);
  if (start === undefined || end === undefined) throw new Error(`${edge.id} joins nothing`);
  const [x1, y1] = pinPoint(start, edge.from.pin);
  const [x2, y2] = pinPoint(end, edge.to.pin);
  const right = upper.width + 2.5;
  // Where something stands between the lead's end and the margin, it would run through that.
  if (!clear(upper, y1, x1, right, edge.from.node) || !clear(under, y2, 2, x2, edge.to.node)) return undefined;
  const points: Point[] = [[x1, y1], [right, y1], [right, level], [2, level], [2, y2], [x2, y2]];
  const wrap: PlacedEdge = { edge, points, dots: [], label: edge.conductor === undefined ? undefined : [(right + 2) / 2, level] };
  return { width: Math.max(right + 1, under.width + inset), height: down + lower.height, nodes: [...upper.nodes, ...under.nodes], edges: [...upper.edges, ...under.edges, wrap] };
}

/** Whether nothing but one node's own leads meets a level line. */
function clear(block: Block, y: number, left: number, right: number, own: string): boolean {
  const inside = (x1: number, x2: number, y1: number, y2: number): boolean => x2 > left && x1 < right && y1 < y && y2 > y;
  return !block.nodes.some(({ node, x, axis, box }) => node.id !== own && inside(x, x + box.width, axis - box.above - 1, axis + box.below + 1)) &&
    !block.edges.some(({ points, label }) =>
      (label !== undefined && inside(label[0] - LABEL_HALF, label[0] + LABEL_HALF, label[1] - LABEL_HALF, label[1] + LABEL_HALF)) ||
      points.slice(1).some(([bx, by], k) => {
        const [ax, ay] = points[k]!;
        return inside(Math.min(ax, bx) - 0.5, Math.max(ax, bx) + 0.5, Math.min(ay, by) - 0.5, Math.max(ay, by) + 0.5) && Math.max(ax, bx) > left + 0.1;
      }));
}

export function moved(block: Block, dx: number, dy: number): Block {
  const move = ([x, y]: Point): Point => [x + dx, y + dy];
  return {
    ...block,
    nodes: block.nodes.map((node) => ({ ...node, x: node.x + dx, axis: node.axis + dy })),
    edges: block.edges.map((edge) => ({ ...edge, points: edge.points.map(move), dots: edge.dots.map(move), label: edge.label === undefined ? undefined : move(edge.label) })),
  };
}
