import { conductorWords } from './facts.ts';
import type { DiagramEdge } from './graph.ts';
import type { Block, PlacedEdge } from './block.ts';
import type { Point } from './shapes.ts';
import { textWidth_mm, TYPE, type Box } from './type.ts';

/** Width of what is written at a conductor. */
export function labelWidth({ conductor, wire }: DiagramEdge): number {
  if (conductor === undefined) return 0;
  const { wires, ...plain } = conductorWords(conductor, wire);
  return Math.max(textWidth_mm(wires, TYPE.fact, 700), ...Object.values(plain).map((words: string) => textWidth_mm(words, TYPE.fact, 400)));
}

/** Room above and below a line that the words at it take, mm. */
const [UP, DOWN] = [7, 7.2];
const STEP = 1;

/**
 * Slides the words of a conductor along it where another lead runs through them: leads to terminals at the bottom of a
 * symbol may pass between the layers that the library keeps free for words.
 */
export function clearLabels(block: Block): Block {
  const edges = [...block.edges];
  edges.forEach((placed, k) => {
    if (placed.label === undefined || free(block, edges, placed, placed.label)) return;
    const better = places(placed).find((label) => free(block, edges, placed, label));
    if (better !== undefined) edges[k] = { ...placed, label: better };
  });
  return { ...block, edges };
}

/** Points on the level pieces of a lead, those near the present place of its words first. */
function places({ points, label, edge }: PlacedEdge): Point[] {
  const half = labelWidth(edge) / 2 + 1;
  const found = points.slice(1).flatMap(([bx, by], k): Point[] => {
    const [ax, ay] = points[k]!;
    const [low, high] = [Math.min(ax, bx) + half, Math.max(ax, bx) - half];
    if (ay !== by || !(low <= high)) return [];
    return Array.from({ length: Math.floor((high - low) / STEP) + 1 }, (_, step): Point => [low + step * STEP, ay]);
  });
  const far = ([x, y]: Point): number => Math.abs(x - label![0]) + Math.abs(y - label![1]);
  return found.sort((a, b) => far(a) - far(b));
}

function boxAt(edge: DiagramEdge, [x, y]: Point): Box {
  const half = labelWidth(edge) / 2 + 0.3;
  return { left: x - half, right: x + half, top: y - UP, bottom: y + DOWN };
}

function free(block: Block, edges: readonly PlacedEdge[], own: PlacedEdge, at: Point): boolean {
  const box = boxAt(own.edge, at);
  const meets = (other: Box): boolean => other.left < box.right && box.left < other.right && other.top < box.bottom && box.top < other.bottom;
  return !block.nodes.some(({ x, axis, box: node }) => meets({ left: x, right: x + node.width, top: axis - node.above, bottom: axis + node.below })) &&
    !edges.some((other) =>
      (other.edge !== own.edge && other.label !== undefined && meets(boxAt(other.edge, other.label))) ||
      other.points.slice(1).some(([bx, by], k) => {
        const [ax, ay] = other.points[k]!;
        // Its own line runs between its words.
        const onOwn = ay === by && Math.abs(ay - at[1]) < 0.05;
        return !onOwn && meets({ left: Math.min(ax, bx), right: Math.max(ax, bx), top: Math.min(ay, by), bottom: Math.max(ay, by) });
      }));
}
