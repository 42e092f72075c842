/** How far a straight line may pass from a curve's own points: a share of the value, and never less than a floor. */
export interface Corridor {
  readonly share: number;
  readonly floor: number;
}

/**
 * Points that are enough for straight lines between them to pass every other point of every curve within its corridor:
 * many where something happens within microseconds, few where nothing does. The extremes of each curve are kept as they
 * are, and so is both of what stands at one moment.
 * @param time_s     never falls
 * @param corridors  one for each curve
 * @throws RangeError when curves and times differ in length
 */
export function keptPoints(time_s: ArrayLike<number>, curves: readonly ArrayLike<number>[], corridors: readonly Corridor[]): number[] {
  const count = time_s.length;
  for (const curve of curves) if (curve.length !== count) throw new RangeError(`curves: expected ${count} points, got ${curve.length}`);
  if (count === 0) return [];
  const forced = extremes(curves);
  // Slopes from the anchor that pass all points since within their corridors.
  const lowest = new Float64Array(curves.length).fill(-Infinity);
  const highest = new Float64Array(curves.length).fill(Infinity);
  const kept = [0];
  let anchor = 0;
  const anchorAt = (k: number): void => {
    kept.push(k);
    anchor = k;
    lowest.fill(-Infinity);
    highest.fill(Infinity);
  };
  for (let k = 1; k < count; k++) {
    if (anchor < k - 1 && (time_s[k]! <= time_s[k - 1]! || !passes(k))) anchorAt(k - 1);
    if (time_s[k]! <= time_s[anchor]! || forced.has(k)) anchorAt(k);
    else narrow(k);
  }
  if (anchor < count - 1) kept.push(count - 1);
  return kept;

  function passes(k: number): boolean {
    const span = time_s[k]! - time_s[anchor]!;
    return curves.every((curve, c) => {
      const slope = (curve[k]! - curve[anchor]!) / span;
      return slope >= lowest[c]! && slope <= highest[c]!;
    });
  }

  function narrow(k: number): void {
    const span = time_s[k]! - time_s[anchor]!;
    curves.forEach((curve, c) => {
      const { share, floor } = corridors[c]!;
      const room = Math.max(floor, share * Math.abs(curve[k]!));
      const rise = curve[k]! - curve[anchor]!;
      lowest[c] = Math.max(lowest[c]!, (rise - room) / span);
      highest[c] = Math.min(highest[c]!, (rise + room) / span);
    });
  }
}

function extremes(curves: readonly ArrayLike<number>[]): ReadonlySet<number> {
  const found = new Set<number>();
  for (const curve of curves) {
    let [least, most] = [0, 0];
    for (let k = 1; k < curve.length; k++) {
      if (curve[k]! < curve[least]!) least = k;
      if (curve[k]! > curve[most]!) most = k;
    }
    found.add(least).add(most);
  }
  return found;
}
