/**
 * Order and pattern of elimination for a sparse matrix of symmetric pattern: worked out once for a network, used for
 * every state of it.
 */
export interface Elimination {
  readonly size: number;
  /** Values held: the diagonal, then the upper, then the lower triangle. */
  readonly values: number;
  /** Where the entry (row, column) of the matrix is held; rows and columns as the caller numbers them. */
  readonly slot: (row: number, column: number) => number;
  /** Unknown that is eliminated as k-th. */
  readonly order: Int32Array;
  /** Later unknowns that the k-th one touches: `later[start[k]] … later[start[k + 1] − 1]`, as places in the order. */
  readonly start: Int32Array;
  readonly later: Int32Array;
  /** Slots that each elimination changes, in the order in which it changes them. */
  readonly targets: Int32Array;
}

/**
 * Least degree first: the circuits here are nearly trees, so that eliminating leaves before bars fills in almost nothing.
 * @param pairs  off-diagonal entries of the pattern, in one direction
 */
export function planElimination(size: number, pairs: Iterable<readonly [number, number]>): Elimination {
  const neighbours = Array.from({ length: size }, () => new Set<number>());
  for (const [a, b] of pairs) {
    if (a === b) continue;
    neighbours[a]!.add(b);
    neighbours[b]!.add(a);
  }
  const place = new Int32Array(size).fill(-1);
  const order = new Int32Array(size);
  const rows: number[][] = [];
  for (let k = 0; k < size; k++) {
    let next = -1;
    for (let node = 0; node < size; node++)
      if (place[node] === -1 && (next === -1 || neighbours[node]!.size < neighbours[next]!.size)) next = node;
    place[next] = k;
    order[k] = next;
    const touched = [...neighbours[next]!];
    rows.push(touched);
    for (const one of touched) {
      neighbours[one]!.delete(next);
      for (const other of touched) if (other !== one) neighbours[one]!.add(other);
    }
  }

  const start = new Int32Array(size + 1);
  rows.forEach((row, k) => (start[k + 1] = start[k]! + row.length));
  const entries = start[size]!;
  const later = new Int32Array(entries);
  rows.forEach((row, k) => {
    later.set(row.map((node) => place[node]!).sort((x, y) => x - y), start[k]);
  });
  const at = (row: number, column: number): number => {
    if (row === column) return row;
    const low = Math.min(row, column);
    for (let e = start[low]!; e < start[low + 1]!; e++) if (later[e] === Math.max(row, column)) return size + e + (row < column ? 0 : entries);
    throw new Error(`no entry (${row}, ${column}) in the pattern`);
  };
  const targets: number[] = [];
  for (let k = 0; k < size; k++)
    for (let e = start[k]!; e < start[k + 1]!; e++)
      for (let f = start[k]!; f < start[k + 1]!; f++) targets.push(at(later[e]!, later[f]!));
  return { size, values: size + 2 * entries, slot: (row, column) => at(place[row]!, place[column]!), order, start, later, targets: Int32Array.from(targets) };
}

/** Turns a matrix into its factors, in place. A pivot that vanishes leaves values that are not finite. */
export function factorise({ size, start, targets }: Elimination, a: Float64Array): void {
  const upper = size;
  const lower = size + start[size]!;
  let t = 0;
  for (let k = 0; k < size; k++) {
    const from = start[k]!;
    const to = start[k + 1]!;
    const pivot = 1 / a[k]!;
    a[k] = pivot;
    for (let e = from; e < to; e++) {
      const factor = a[lower + e]! * pivot;
      a[lower + e] = factor;
      for (let f = from; f < to; f++) a[targets[t++]!]! -= factor * a[upper + f]!;
    }
  }
}

/** Solves with the factors; `b` holds the right-hand side, numbered as the caller does, and then the solution. */
export function backSolve({ size, start, later, order }: Elimination, a: Float64Array, b: Float64Array, scratch: Float64Array): void {
  const upper = size;
  const lower = size + start[size]!;
  for (let k = 0; k < size; k++) scratch[k] = b[order[k]!]!;
  for (let k = 0; k < size; k++) {
    const x = scratch[k]!;
    if (x === 0) continue;
    for (let e = start[k]!; e < start[k + 1]!; e++) scratch[later[e]!]! -= a[lower + e]! * x;
  }
  for (let k = size - 1; k >= 0; k--) {
    let x = scratch[k]!;
    for (let e = start[k]!; e < start[k + 1]!; e++) x -= a[upper + e]! * scratch[later[e]!]!;
    x *= a[k]!;
    scratch[k] = x;
    b[order[k]!] = x;
  }
}
