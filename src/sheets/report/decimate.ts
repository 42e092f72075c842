/** Points of a line, x and y at equal indices. */
export interface Points {
  readonly x: readonly number[];
  readonly y: readonly number[];
}

/**
 * Fewer points that draw the same line. Each bucket keeps its first, lowest, highest and last point, so that no
 * spike is lost and the line enters and leaves a bucket where it did: at one bucket a pixel nothing can be seen to
 * differ. Buckets are equal in x when x never falls, otherwise equal in count.
 * @param most  points to keep, about; at least 8
 * @throws RangeError when `most` is below 8 or x and y differ in length
 */
export function decimate(points: Points, most: number): Points {
  const { x, y } = points;
  if (!(most >= 8)) throw new RangeError(`most: expected at least 8, got ${most}`);
  if (x.length !== y.length) throw new RangeError(`points: expected as many y as x, got ${y.length} and ${x.length}`);
  if (x.length <= most) return points;
  const buckets = Math.floor(most / 4);
  const bucketOf = bucketing(x, buckets);
  const kept: number[] = [];
  let start = 0;
  while (start < x.length) {
    const bucket = bucketOf(start);
    let end = start + 1;
    while (end < x.length && bucketOf(end) === bucket) end += 1;
    kept.push(...cornersOf(y, start, end));
    start = end;
  }
  return { x: kept.map((index) => x[index] ?? NaN), y: kept.map((index) => y[index] ?? NaN) };
}

/** Runs of finite points: a line breaks where there is no number. */
export function finiteRuns({ x, y }: Points): Points[] {
  const runs: { x: number[]; y: number[] }[] = [];
  let open = false;
  x.forEach((across, index) => {
    const up = y[index] ?? NaN;
    if (!Number.isFinite(across) || !Number.isFinite(up)) {
      open = false;
      return;
    }
    if (!open) runs.push({ x: [], y: [] });
    open = true;
    runs.at(-1)?.x.push(across);
    runs.at(-1)?.y.push(up);
  });
  return runs;
}

function bucketing(x: readonly number[], buckets: number): (index: number) => number {
  const first = x[0] ?? 0;
  const span = (x.at(-1) ?? 0) - first;
  const rises = span > 0 && x.every((value, index) => index === 0 || value >= (x[index - 1] ?? Infinity));
  if (!rises) return (index) => Math.floor((index / x.length) * buckets);
  return (index) => Math.min(buckets - 1, Math.floor((((x[index] ?? first) - first) / span) * buckets));
}

function cornersOf(y: readonly number[], start: number, end: number): number[] {
  let lowest = start;
  let highest = start;
  for (let index = start + 1; index < end; index += 1) {
    const value = y[index] ?? NaN;
    if (value < (y[lowest] ?? NaN)) lowest = index;
    if (value > (y[highest] ?? NaN)) highest = index;
  }
  return [...new Set([start, lowest, highest, end - 1])].sort((a, b) => a - b);
}
