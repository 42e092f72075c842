/** A graph of numbered edges between numbered nodes. */
export interface Graph {
  readonly nodes: number;
  readonly from: Int32Array;
  readonly to: Int32Array;
  /** Edges at each node: `list[start[n]] … list[start[n + 1] − 1]`. */
  readonly start: Int32Array;
  readonly list: Int32Array;
}

export function graphOf(nodes: number, edges: readonly (readonly [number, number])[]): Graph {
  const start = new Int32Array(nodes + 1);
  for (const [a, b] of edges) {
    start[a + 1]!++;
    if (a !== b) start[b + 1]!++;
  }
  for (let n = 0; n < nodes; n++) start[n + 1]! += start[n]!;
  const fill = start.slice(0, nodes);
  const list = new Int32Array(start[nodes]!);
  edges.forEach(([a, b], e) => {
    list[fill[a]!++] = e;
    if (a !== b) list[fill[b]!++] = e;
  });
  return { nodes, from: Int32Array.from(edges, ([a]) => a), to: Int32Array.from(edges, ([, b]) => b), start, list };
}

/**
 * Finds the edges that a source can drive a current through: those that lie on a closed way with it, which is its
 * biconnected component. Everything else is at rest however it hangs on.
 * @see R. Tarjan, Depth-first search and linear graph algorithms, SIAM J. Comput. 1 (1972) 146
 */
export class SourceBlocks {
  private readonly found: Int32Array;
  private readonly low: Int32Array;
  private readonly edgeStack: Int32Array;
  private readonly seenEdge: Uint8Array;
  private clock = 0;
  private height = 0;

  constructor(private readonly graph: Graph) {
    this.found = new Int32Array(graph.nodes);
    this.low = new Int32Array(graph.nodes);
    this.edgeStack = new Int32Array(graph.from.length);
    this.seenEdge = new Uint8Array(graph.from.length);
  }

  /**
   * @param open  1 for each edge that is not there
   * @param sources  edges that drive
   * @param driven  1 for each edge in a block with a source; written
   */
  find(open: Uint8Array, sources: readonly number[], driven: Uint8Array): void {
    this.found.fill(0);
    this.seenEdge.fill(0);
    this.clock = 0;
    this.height = 0;
    driven.fill(0);
    for (const source of sources) {
      const root = this.graph.from[source]!;
      if (this.found[root] === 0) this.explore(root, -1, open, driven, sources);
    }
  }

  private explore(node: number, by: number, open: Uint8Array, driven: Uint8Array, sources: readonly number[]): void {
    const { graph, found, low, edgeStack, seenEdge } = this;
    found[node] = low[node] = ++this.clock;
    for (let k = graph.start[node]!; k < graph.start[node + 1]!; k++) {
      const edge = graph.list[k]!;
      if (edge === by || open[edge] === 1 || seenEdge[edge] === 1) continue;
      const other = graph.from[edge] === node ? graph.to[edge]! : graph.from[edge]!;
      if (other === node) continue;
      seenEdge[edge] = 1;
      edgeStack[this.height++] = edge;
      if (found[other] !== 0) {
        if (found[other]! < low[node]) low[node] = found[other]!;
        continue;
      }
      this.explore(other, edge, open, driven, sources);
      if (low[other]! < low[node]) low[node] = low[other]!;
      if (low[other]! < found[node]) continue;
      // The edges since this one are a block of their own.
      let bottom = this.height;
      let drives = false;
      do {
        bottom--;
        if (sources.includes(edgeStack[bottom]!)) drives = true;
      } while (edgeStack[bottom] !== edge);
      if (drives && this.height - bottom > 1) for (let e = bottom; e < this.height; e++) driven[edgeStack[e]!] = 1;
      this.height = bottom;
    }
  }
}
