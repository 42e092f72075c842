/** A sparse LU factorisation worked out once: where the factors live and in which order they are made. */
export interface FactorPlan {
  /** Unknowns in the order of elimination; pivots stay on the diagonal. */
  readonly order: readonly number[];
  /** Position of (row, column) among the factors, fill included; key row·n + column. */
  readonly position: ReadonlyMap<number, number>;
  readonly size: number;
  /** For each pivot in order: the rows below and the columns to the right of it. */
  readonly pivots: readonly { readonly pivot: number; readonly rows: readonly number[]; readonly columns: readonly number[] }[];
}

/**
 * Chooses the pivots of a matrix by Markowitz' rule, (rows − 1)·(columns − 1) smallest, among diagonal entries that are
 * structurally there, ties by index.
 * @param pattern  for each row the columns with nonzeros
 * @param onDiagonal  rows whose diagonal entry is always there
 * @throws Error when no diagonal pivot is left (the system has an unknown that no equation determines)
 * @see H. M. Markowitz, Management Science 3 (1957) 255
 */
export function planFactors(pattern: readonly ReadonlySet<number>[], onDiagonal: readonly boolean[]): FactorPlan {
  const n = pattern.length;
  const rows = pattern.map((columns, r) => new Set(onDiagonal[r] ? [...columns, r] : columns));
  const columnRows: Set<number>[] = Array.from({ length: n }, () => new Set<number>());
  rows.forEach((columns, r) => columns.forEach((c) => columnRows[c]!.add(r)));
  const left = new Set(rows.keys());
  const pivots: { pivot: number; rows: number[]; columns: number[] }[] = [];

  while (left.size > 0) {
    const pivot = cheapestPivot(left, rows, columnRows);
    if (pivot === undefined) throw new Error(`no pivot left for unknowns ${[...left].join(', ')}`);
    left.delete(pivot);
    const below = [...columnRows[pivot]!].filter((r) => left.has(r)).sort((x, y) => x - y);
    const right = [...rows[pivot]!].filter((c) => left.has(c)).sort((x, y) => x - y);
    for (const r of below)
      for (const c of right) {
        rows[r]!.add(c);
        columnRows[c]!.add(r);
      }
    pivots.push({ pivot, rows: below, columns: right });
  }

  const position = new Map<number, number>();
  for (let r = 0; r < n; r++) for (const c of [...rows[r]!].sort((x, y) => x - y)) position.set(r * n + c, position.size);
  return { order: pivots.map((p) => p.pivot), position, size: position.size, pivots };
}

function cheapestPivot(
  left: ReadonlySet<number>,
  rows: readonly ReadonlySet<number>[],
  columnRows: readonly ReadonlySet<number>[],
): number | undefined {
  let best: number | undefined;
  let bestCost = Infinity;
  for (const k of left) {
    if (!rows[k]!.has(k)) continue;
    let across = 0;
    let down = 0;
    for (const c of rows[k]!) if (left.has(c)) across++;
    for (const r of columnRows[k]!) if (left.has(r)) down++;
    const cost = (across - 1) * (down - 1);
    if (cost < bestCost) {
      bestCost = cost;
      best = k;
    }
  }
  return best;
}
