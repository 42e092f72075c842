import type { DiagramEdge, DiagramNode } from './graph.ts';
import type { Point } from './shapes.ts';
import type { NodeBox } from './words.ts';

export interface PlacedNode {
  readonly node: DiagramNode;
  readonly box: NodeBox;
  /** Left edge, and the axis of its lead. */
  readonly x: number;
  readonly axis: number;
}

export interface PlacedEdge {
  readonly edge: DiagramEdge;
  readonly points: readonly Point[];
  readonly dots: readonly Point[];
  /** Middle of the conductor's words on the line. */
  readonly label: Point | undefined;
}

/** Nodes and edges with their places: one piece of a sheet. */
export interface Block {
  readonly width: number;
  readonly height: number;
  readonly nodes: readonly PlacedNode[];
  readonly edges: readonly PlacedEdge[];
}
