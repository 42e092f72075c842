import type { System } from './system.ts';

/** Energy balance of a run, J. Every term is integrated or evaluated on its own; none is found as the remainder. */
export interface Balance {
  readonly delivered_J: number;
  readonly lost_J: number;
  readonly toLoads_J: number;
  readonly storedBefore_J: number;
  readonly storedAfter_J: number;
  /** |delivered − lost − to loads − change of stored| over the largest energy in it. */
  readonly imbalance: number;
}

/**
 * @param unknowns  state at the end, with the quadratures that started from `atStart`
 */
export function balanceOf(system: System, atStart: Float64Array, unknowns: Float64Array, storedBefore_J: number, storedAfter_J: number): Balance {
  const { source, loss, load } = system.balance;
  const gathered = (index: number): number => unknowns[index]! - atStart[index]!;
  const delivered = gathered(source);
  const lost = loss.reduce((sum, index) => sum + gathered(index), 0);
  const toLoads = gathered(load);
  const remainder = delivered - lost - toLoads - (storedAfter_J - storedBefore_J);
  const size = Math.max(Math.abs(delivered), Math.abs(lost), Math.abs(toLoads), storedBefore_J, storedAfter_J, SMALLEST_ENERGY_J);
  return { delivered_J: delivered, lost_J: lost, toLoads_J: toLoads, storedBefore_J, storedAfter_J, imbalance: Math.abs(remainder) / size };
}

/** Below this no machine here spends anything: a run that moves less is balanced against it. */
const SMALLEST_ENERGY_J = 1e-3;
