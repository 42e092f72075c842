/**
 * The x ≥ 0 with the least |A x − b|², by the active-set method; most entries come out as exactly 0.
 * @param rows  of A, all of one length
 * @throws RangeError when the sizes do not fit
 * @see C. L. Lawson and R. J. Hanson, Solving Least Squares Problems (1974), ch. 23
 */
export function nonNegativeLeastSquares(rows: readonly (readonly number[])[], b: readonly number[]): number[] {
  const n = rows[0]?.length ?? 0;
  if (rows.length !== b.length || n === 0 || rows.some((row) => row.length !== n)) {
    throw new RangeError(`rows: expected as many as right-hand sides, all of one length, got ${rows.length} and ${b.length}`);
  }
  const x = new Array<number>(n).fill(0);
  const free = new Set<number>();
  const gradient = (j: number): number => rows.reduce((sum, row, i) => sum + row[j]! * (b[i]! - dot(row, x)), 0);
  const size = Math.max(...Array.from({ length: n }, (_, j) => Math.abs(rows.reduce((sum, row, i) => sum + row[j]! * b[i]!, 0))));
  for (let round = 0; round < 3 * n; round++) {
    let best = -1;
    let steepest = 1e-10 * size;
    for (let j = 0; j < n; j++) {
      if (free.has(j)) continue;
      const slope = gradient(j);
      if (slope > steepest) [best, steepest] = [j, slope];
    }
    if (best < 0) break;
    free.add(best);
    for (let inner = 0; inner < 3 * n; inner++) {
      const columns = [...free];
      const z = unconstrained(rows, b, columns);
      if (z.every((value) => value > 0)) {
        columns.forEach((j, k) => (x[j] = z[k]!));
        break;
      }
      // Go as far towards it as stays positive, and let go of what reached zero.
      const share = Math.min(...columns.map((j, k) => (z[k]! > 0 ? 1 : x[j]! / (x[j]! - z[k]! || 1e-300))));
      columns.forEach((j, k) => {
        x[j] = x[j]! + share * (z[k]! - x[j]!);
        if (!(x[j] > 1e-14)) {
          x[j] = 0;
          free.delete(j);
        }
      });
    }
  }
  return x;
}

function dot(row: readonly number[], x: readonly number[]): number {
  return row.reduce((sum, value, k) => sum + value * x[k]!, 0);
}

/** Normal equations with a hair of damping: the columns of neighbouring time constants are nearly alike. */
function unconstrained(rows: readonly (readonly number[])[], b: readonly number[], columns: readonly number[]): number[] {
  const m = columns.length;
  const A = columns.map((p, i) => [
    ...columns.map((q, j) => rows.reduce((sum, row) => sum + row[p]! * row[q]!, 0) * (i === j ? 1 + 1e-12 : 1)),
    rows.reduce((sum, row, k) => sum + row[p]! * b[k]!, 0),
  ]);
  for (let k = 0; k < m; k++) {
    let pivot = k;
    for (let i = k + 1; i < m; i++) if (Math.abs(A[i]![k]!) > Math.abs(A[pivot]![k]!)) pivot = i;
    [A[k], A[pivot]] = [A[pivot]!, A[k]!];
    for (let i = k + 1; i < m; i++) {
      const factor = A[i]![k]! / A[k]![k]!;
      for (let j = k; j <= m; j++) A[i]![j] = A[i]![j]! - factor * A[k]![j]!;
    }
  }
  const z = new Array<number>(m).fill(0);
  for (let k = m - 1; k >= 0; k--) {
    let sum = A[k]![m]!;
    for (let j = k + 1; j < m; j++) sum -= A[k]![j]! * z[j]!;
    z[k] = sum / A[k]![k]!;
  }
  return z;
}
