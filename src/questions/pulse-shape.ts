/** A current over time, points joined by straight lines. */
export interface CurrentCurve {
  readonly time_s: readonly number[];
  readonly current_A: readonly number[];
}

/** A comparator is set back only when the current has fallen to this share of its threshold. Common practice, no source. */
const RESET_SHARE = 0.98;

/** Longest time without a break that a current stands above a level, s: until it has fallen to 98 % of the level. */
export function longestAbove({ time_s, current_A }: CurrentCurve, level_A: number): number {
  let longest = 0;
  let since: number | undefined;
  for (let k = 1; k < time_s.length; k++) {
    const [t0, t1, i0, i1] = [time_s[k - 1]!, time_s[k]!, current_A[k - 1]!, current_A[k]!];
    const at = (level: number): number => (i1 === i0 ? t0 : t0 + ((level - i0) / (i1 - i0)) * (t1 - t0));
    if (since === undefined && i1 >= level_A) since = i0 >= level_A ? t0 : at(level_A);
    else if (since !== undefined && i1 < RESET_SHARE * level_A) {
      longest = Math.max(longest, at(RESET_SHARE * level_A) - since);
      since = undefined;
    }
  }
  const last = time_s.at(-1);
  return since === undefined || last === undefined ? longest : Math.max(longest, last - since);
}
