/** A converter as the balance sees it. */
export interface Starter {
  readonly power_W: number;
  readonly start_V: number;
  readonly stop_V: number;
}

/**
 * The rule of a slow charge, written without any code of the project: the bus follows (V − v)/R against the sum of all
 * that is on. It climbs while more is given than asked; a load starts as the bus passes its start voltage; where less is
 * given than asked the bus falls to the next balance below, and a load whose stop voltage it passes lets go: it hangs.
 * Walked in steps of a ten-thousandth of the source.
 */
export function finishes(source_V: number, resistance_ohm: number, standby: (v: number) => number, starters: readonly Starter[]): boolean {
  const step = source_V / 10_000;
  const surplus = (v: number, on: readonly Starter[]): number =>
    (source_V - v) / resistance_ohm - standby(v) - on.reduce((sum, load) => sum + load.power_W / v, 0);
  let on: Starter[] = [];
  for (let v = step; v < source_V; v += step) {
    on = starters.filter((load) => load.start_V <= v);
    if (surplus(v, on) > 0) continue;
    for (let w = v; w > 0; w -= step) {
      if (on.some((load) => load.stop_V >= w)) return false;
      if (surplus(w, on) >= 0) return on.length === starters.length;
    }
    return false;
  }
  return on.length === starters.length;
}

/** Largest resistance that finishes, Ω, by halving between one that does and one that does not. */
export function largestByRule(source_V: number, standby: (v: number) => number, starters: readonly Starter[]): number {
  let low = 0.01;
  let high = 1e5;
  if (!finishes(source_V, low, standby, starters) || finishes(source_V, high, standby, starters)) throw new Error('no limit to halve for');
  while (high / low > 1.0001) {
    const middle = Math.sqrt(low * high);
    if (finishes(source_V, middle, standby, starters)) low = middle;
    else high = middle;
  }
  return Math.sqrt(low * high);
}
