import type { PlacedEdge } from './block.ts';
import type { Point } from './shapes.ts';

/** A lead and the pieces of it that no lead before it has drawn: dashes of two leads on one line would run together. */
export interface Strand {
  readonly placed: PlacedEdge;
  readonly pieces: readonly (readonly Point[])[];
}

const ROLES = ['supply', 'return', 'signal ground'];

type Segment = readonly [Point, Point];

export function strands(edges: readonly PlacedEdge[]): Strand[] {
  const drawn = new Map<string, Segment[]>();
  // What leads on one line share is drawn as the heavier of them.
  const order = [...edges].sort((a, b) => ROLES.indexOf(a.edge.role) - ROLES.indexOf(b.edge.role));
  return order.map((placed) => {
    const keys = [placed.edge.from, placed.edge.to].map(({ node, pin }) => `${node}\n${pin}`);
    const before = keys.flatMap((key) => drawn.get(key) ?? []);
    const segments = placed.points.slice(1).map((point, k): Segment => [placed.points[k]!, point]);
    for (const key of keys) drawn.set(key, [...(drawn.get(key) ?? []), ...segments]);
    return { placed, pieces: joined(segments.flatMap((segment) => without(segment, before))) };
  });
}

/** What is left of a level or upright segment beside others on the same line. */
function without(segment: Segment, others: readonly Segment[]): Segment[] {
  const along = segment[0][1] === segment[1][1] ? 0 : 1;
  const across = 1 - along;
  const at = segment[0][across]!;
  let left: (readonly [number, number])[] = [[segment[0][along], segment[1][along]]];
  for (const [p, q] of others) {
    if (p[across] !== at || q[across] !== at) continue;
    const [low, high] = [Math.min(p[along], q[along]), Math.max(p[along], q[along])];
    left = left.flatMap(([a, b]) => {
      const forward = a <= b;
      const pieces: (readonly [number, number])[] = forward ? [[a, Math.min(b, low)], [Math.max(a, high), b]] : [[a, Math.max(b, high)], [Math.min(a, low), b]];
      return pieces.filter(([from, to]) => (forward ? to > from : to < from));
    });
  }
  return left.map(([a, b]) => (along === 0 ? [[a, at], [b, at]] : [[at, a], [at, b]]));
}

function joined(segments: readonly Segment[]): Point[][] {
  const pieces: Point[][] = [];
  for (const [from, to] of segments) {
    const last = pieces.at(-1);
    const end = last?.at(-1);
    if (last !== undefined && end !== undefined && end[0] === from[0] && end[1] === from[1]) last.push(to);
    else pieces.push([from, to]);
  }
  return pieces;
}
