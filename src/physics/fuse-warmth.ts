import { requirePositive } from './domain.ts';
import type { FuseElement } from './fuse-element.ts';

/**
 * How near to melting a current takes a fuse's element, as a share of the way: 1 melts it. Between two points the current
 * is taken as their root mean square, for which each part's balance is exact: θ' = (share·(i/rating)² − θ)/τ.
 * @param time_s  rising
 * @throws RangeError when times do not rise or lists differ in length
 */
export function highestWarmth(element: FuseElement, time_s: readonly number[], current_A: readonly number[]): number {
  if (time_s.length !== current_A.length) throw new RangeError(`current_A: expected ${time_s.length} values, got ${current_A.length}`);
  const warmth = element.parts.map(() => 0);
  let highest = 0;
  for (let k = 1; k < time_s.length; k++) {
    const step_s = time_s[k]! - time_s[k - 1]!;
    if (step_s === 0) continue;
    requirePositive(step_s, 'time_s step', 's');
    const [a, b] = [current_A[k - 1]! / element.rating_A, current_A[k]! / element.rating_A];
    const load = (a * a + a * b + b * b) / 3;
    element.parts.forEach((part, n) => (warmth[n] = warmth[n]! + (part.share * load - warmth[n]!) * -Math.expm1(-step_s / part.time_s)));
    highest = Math.max(highest, warmth.reduce((sum, one) => sum + one, 0));
  }
  return highest;
}
