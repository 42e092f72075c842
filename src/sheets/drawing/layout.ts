import Engine, { type ELK as Elk, type ElkExtendedEdge, type ElkNode, type ElkPort } from 'elkjs/lib/elk.bundled.js';
import type { Block, PlacedEdge, PlacedNode } from './block.ts';
import type { Diagram, DiagramEdge, DiagramNode } from './graph.ts';
import { clearLabels, labelWidth } from './labels.ts';
import type { Point } from './shapes.ts';
import type { Pin } from './symbols/glyph.ts';
import { boxOf, type NodeBox } from './words.ts';

/** Half the height of a conductor's words over and under its line. */
export const LABEL_HALF = 7.2;

/** The library places on whole numbers: tenths of a millimetre keep leads straight. */
const UNIT = 10;

function units(length_mm: number): number {
  return Math.ceil(length_mm * UNIT - 1e-6);
}

let engine: Elk | undefined;

/**
 * The layout library, made when first needed. In a browser's worker it would take that for a worker of its own and
 * answer its messages; where a `document` seems to be, it does not.
 */
function elk(): Elk {
  if (engine !== undefined) return engine;
  // eslint-disable-next-line no-restricted-globals -- the library reads its surroundings when it is made
  const scope = globalThis as Record<string, unknown>;
  const pretend = scope['self'] !== undefined && scope['document'] === undefined;
  if (pretend) scope['document'] = {};
  try {
    engine = new Engine();
    return engine;
  } finally {
    if (pretend) delete scope['document'];
  }
}

const OPTIONS: Readonly<Record<string, string>> = {
  'elk.algorithm': 'layered',
  'elk.direction': 'RIGHT',
  'elk.edgeRouting': 'ORTHOGONAL',
  'elk.randomSeed': '1',
  'elk.padding': '[top=10,left=10,bottom=10,right=10]',
  'elk.spacing.nodeNode': '30',
  'elk.spacing.edgeNode': '20',
  'elk.spacing.edgeEdge': '20',
  'elk.spacing.edgeLabel': '0',
  'elk.spacing.componentComponent': '60',
  'elk.layered.spacing.nodeNodeBetweenLayers': '30',
  'elk.layered.spacing.edgeNodeBetweenLayers': '20',
  'elk.layered.spacing.edgeEdgeBetweenLayers': '20',
  'elk.layered.nodePlacement.strategy': 'BRANDES_KOEPF',
  'elk.layered.considerModelOrder.strategy': 'NODES_AND_EDGES',
  'elk.layered.considerModelOrder.crossingCounterNodeInfluence': '0.001',
  'elk.layered.layering.strategy': 'LONGEST_PATH_SOURCE',
  'elk.layered.thoroughness': '7',
};

/** Places a diagram's nodes in layers from left to right and leads its edges around them; the same for the same diagram. */
export async function layoutOf(diagram: Diagram): Promise<Block> {
  const joined = new Set(diagram.edges.flatMap(({ from, to }) => [from.node, to.node]));
  const block = await layered(diagram, [...diagram.nodes.values()].filter(({ id }) => joined.has(id)));
  return withLoose(diagram, block, [...diagram.nodes.values()].filter(({ id }) => !joined.has(id)));
}

/** Parts on no lead, in a row under the rest. */
function withLoose(diagram: Diagram, block: Block, loose: readonly DiagramNode[]): Block {
  const nodes = [...block.nodes];
  let [x, top, bottom, right] = [1, block.height + (block.height > 0 ? 3 : 1), block.height, block.width];
  for (const node of loose) {
    const box = boxOf(diagram, node);
    if (x > 1 && x + box.width > Math.max(block.width, 200)) [x, top] = [1, bottom + 3];
    nodes.push({ node, box, x, axis: top + box.above });
    x += box.width + 5;
    right = Math.max(right, x);
    bottom = Math.max(bottom, top + box.above + box.below + 1);
  }
  return { ...block, nodes, width: right, height: bottom };
}

async function layered(diagram: Diagram, joined: readonly DiagramNode[]): Promise<Block> {
  if (joined.length === 0) return { width: 0, height: 0, nodes: [], edges: [] };
  const nodes = joined.map((node) => ({ node, box: boxOf(diagram, node) }));
  const pins = new Map<string, string>();
  const children = nodes.map(({ node, box }, k) => elkNode(node, box, k, pins));
  const ref = (pin: DiagramEdge['from']): string => pins.get(`${pin.node}\n${pin.pin}`) ?? '';
  const edges = diagram.edges.map((edge, k) => elkEdge(edge, `e${k}`, ref(edge.from), ref(edge.to)));
  const root: ElkNode = { id: 'root', layoutOptions: OPTIONS, children, edges };
  const placed: ElkNode = await elk().layout(root);
  const nodeAt = new Map((placed.children ?? []).map((child) => [child.id, child]));
  const edgeAt = new Map((placed.edges ?? []).map((edge) => [edge.id, edge]));
  return clearLabels({
    width: (placed.width ?? 0) / UNIT,
    height: (placed.height ?? 0) / UNIT,
    nodes: nodes.map(({ node, box }, k) => {
      const at = nodeAt.get(`n${k}`);
      return { node, box, x: (at?.x ?? 0) / UNIT, axis: ((at?.y ?? 0) + units(box.above)) / UNIT };
    }),
    edges: diagram.edges.map((edge, k) => placedEdge(edge, edgeAt.get(`e${k}`))),
  });
}

const POINT_PINS: readonly Pin[] = [{ name: 'in', side: 'west', at: 0 }, { name: 'through', side: 'east', at: 0 }];

export function pinsOf(box: NodeBox): readonly Pin[] {
  return box.glyph?.pins ?? POINT_PINS;
}

/** Where a pin of a placed node is. */
export function pinPoint({ box, x, axis }: PlacedNode, name: Pin['name']): Point {
  const pin = pinsOf(box).find((one) => one.name === name);
  if (pin === undefined) return [x, axis];
  if (pin.side === 'south') return [x + box.symbolX + pin.at, axis + box.below];
  return [pin.side === 'west' ? x : x + box.width, axis + pin.at];
}

function elkNode(node: DiagramNode, box: NodeBox, k: number, known: Map<string, string>): ElkNode {
  const ports = pinsOf(box).map((pin, j): ElkPort => {
    const id = `n${k}p${j}`;
    known.set(`${node.id}\n${pin.name}`, id);
    const x = pin.side === 'west' ? 0 : pin.side === 'east' ? units(box.width) : Math.round((box.symbolX + pin.at) * UNIT);
    const y = units(box.above) + (pin.side === 'south' ? units(box.below) : Math.round(pin.at * UNIT));
    return { id, x, y, width: 0, height: 0, layoutOptions: { 'elk.port.side': pin.side.toUpperCase() } };
  });
  return { id: `n${k}`, width: units(box.width), height: units(box.above) + units(box.below), ports, layoutOptions: { 'elk.portConstraints': 'FIXED_POS' } };
}

function elkEdge(edge: DiagramEdge, id: string, from: string, to: string): ElkExtendedEdge {
  // Signal grounds may be long; they must not pull controllers away from their leads.
  const plain = { id, sources: [from], targets: [to], layoutOptions: { 'elk.layered.priority.shortness': edge.role === 'supply' ? '20' : '0', 'elk.layered.priority.straightness': edge.role === 'supply' ? '10' : '0' } };
  if (edge.conductor === undefined) return plain;
  const label = { id: `${id}l`, text: ' ', width: units(labelWidth(edge) + 2), height: units(LABEL_HALF) * 2 };
  return { ...plain, labels: [{ ...label, layoutOptions: { 'elk.edgeLabels.inline': 'true', 'elk.edgeLabels.placement': 'CENTER' } }] };
}

function placedEdge(edge: DiagramEdge, at: ElkExtendedEdge | undefined): PlacedEdge {
  const points = (at?.sections ?? []).flatMap((section): Point[] => [section.startPoint, ...(section.bendPoints ?? []), section.endPoint].map(({ x, y }) => [x / UNIT, y / UNIT]));
  const label = at?.labels?.[0];
  return {
    edge,
    points,
    dots: (at?.junctionPoints ?? []).map(({ x, y }) => [x / UNIT, y / UNIT]),
    label: label === undefined ? undefined : onLine(points, ((label.x ?? 0) + (label.width ?? 0) / 2) / UNIT, ((label.y ?? 0) + (label.height ?? 0) / 2) / UNIT),
  };
}

/** The point of a lead's level piece nearest to where its words go. */
function onLine(points: readonly Point[], x: number, y: number): Point {
  const levels = points.slice(1).flatMap(([bx, by], k) => {
    const [ax, ay] = points[k]!;
    return ay === by && x >= Math.min(ax, bx) && x <= Math.max(ax, bx) ? [ay] : [];
  });
  return [x, levels.reduce((best, level) => (Math.abs(level - y) < Math.abs(best - y) ? level : best), levels[0] ?? y)];
}
