/**
 * Where a number comes from. `stated` was written in the file without saying where it came from;
 * `class default` is what parts of this class usually have; `derived` was computed from other values.
 */
export type Origin = 'stated' | 'datasheet' | 'measured' | 'class default' | 'assumed' | 'derived';

/**
 * What a number measures. Differences of temperature are a dimension of their own, because
 * 60 °C and 60 K are the same number only as a rise.
 */
export type Dimension =
  | 'voltage' | 'current' | 'resistance' | 'capacitance' | 'inductance' | 'power' | 'energy' | 'time'
  | 'length' | 'area' | 'mass' | 'temperature' | 'temperature rise' | 'charge' | 'frequency' | 'torque'
  | 'torque per current' | 'angular speed' | 'inertia' | 'let-through' | 'ratio' | 'thermal resistance'
  | 'heat capacity' | 'turns per volt' | 'money' | 'count' | 'conductance' | 'force' | 'speed';

/**
 * A number with its spread and its origin.
 *
 * Units are SI: V, A, Ω, F, H, W, J, s, m, m², kg, C (A·s), Hz, N·m, N·m/A, rad/s, kg·m², A²s, K/W,
 * J/K, rad/s per V (turns per volt), S, N, m/s, and 1 for ratio and count. Absolute temperatures are
 * kept in °C, temperature rises in K. Money is a plain amount: all amounts of one file share a
 * currency, and nothing here converts between currencies.
 */
export interface Quantity {
  readonly dimension: Dimension;
  readonly value: number;
  /** `low` ≤ `value` ≤ `high`; all equal when there is no spread. */
  readonly low: number;
  readonly high: number;
  readonly origin: Origin;
  /** The number holds for one cell of a pack, not for the pack. */
  readonly perCell: boolean;
  /** As written in the file, or formatted to six digits when computed. */
  readonly text: string;
  readonly law: 'exact' | 'uniform' | 'lognormal';
}
