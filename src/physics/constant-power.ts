import { requireNotNegative, requirePositive } from './domain.ts';

/** A constant-power load, with some standby current beside it, fed through a resistance. */
export interface PowerFeed {
  readonly source_V: number;
  readonly resistance_ohm: number;
  readonly power_W: number;
  readonly standby_A: number;
}

/** The two voltages at which feed and load balance; the upper one is stable, the lower one throws the bus off itself. */
export interface Equilibria {
  readonly upper_V: number;
  readonly lower_V: number;
}

/**
 * Roots of (V − v)/R = P/v + I₀. With U = V − I₀·R: v = (U/2) · (1 ± √(1 − 4PR/U²)).
 * @returns undefined when the feed cannot carry the load at any voltage
 * @throws RangeError when source or resistance is not above zero, or a demand is negative (NaN included)
 */
export function equilibria({ source_V, resistance_ohm, power_W, standby_A }: PowerFeed): Equilibria | undefined {
  requirePositive(source_V, 'source_V', 'V');
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  requireNotNegative(power_W, 'power_W', 'W');
  requireNotNegative(standby_A, 'standby_A', 'A');
  const U = source_V - standby_A * resistance_ohm;
  const discriminant = U * U - 4 * power_W * resistance_ohm;
  if (!(U > 0 && discriminant >= 0)) return undefined;
  const upper_V = (U + Math.sqrt(discriminant)) / 2;
  // From the product of the roots: the difference would cancel for a light load.
  return { upper_V, lower_V: (power_W * resistance_ohm) / upper_V };
}

/** Largest power a resistance passes from a source, W: U²/4R, with the bus at U/2. */
export function largestPower_W(source_V: number, resistance_ohm: number, standby_A = 0): number {
  requirePositive(source_V, 'source_V', 'V');
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  requireNotNegative(standby_A, 'standby_A', 'A');
  const U = Math.max(0, source_V - standby_A * resistance_ohm);
  return (U * U) / (4 * resistance_ohm);
}

/**
 * Whether a source behind R and L, feeding C and a constant-power load, stays at a bus voltage after a small push:
 * it needs R < v²/P and P < (R·C/L)·v², the signs of determinant and trace of the linearised system.
 */
export function isStable(feed: PowerFeed, inductance_H: number, capacitance_F: number, bus_V: number): boolean {
  requirePositive(inductance_H, 'inductance_H', 'H');
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  requirePositive(bus_V, 'bus_V', 'V');
  const { resistance_ohm: R, power_W: P } = feed;
  const square = bus_V * bus_V;
  return P * R < square && P < ((R * capacitance_F) / inductance_H) * square;
}

/** A load that starts by itself as a soft start lifts its bus. */
export interface StartingLoad {
  readonly source_V: number;
  readonly power_W: number;
  /** Drawn at every voltage, before and after the start. */
  readonly standby_A: number;
  readonly start_V: number;
  /** Below the start; here the load lets go again. */
  readonly stop_V: number;
}

/** The largest resistor that passes a start, and the condition that sets it. */
export interface StartLimit {
  /** Ω; any smaller resistor passes. Infinity when nothing limits it. */
  readonly resistance_ohm: number;
  /**
   * `start`: at the start voltage the resistor passes less than the load takes. `fold`: no balance exists at any
   * voltage. `stop`: the bus sinks to the stop voltage after the start. `reach`: the bus never gets to the start.
   */
  readonly limitedBy: 'start' | 'fold' | 'stop' | 'reach';
}

/**
 * Largest soft-start resistor with which one constant-power load starts and stays on.
 *
 * Derivation. With the load on, the bus rises while g(v) = (V − v)/R − P/v − I₀ > 0, that is between the roots of
 * `equilibria`, and sinks above the upper one. A start at Vs ends well when Vs lies above the lower root and the
 * upper root above the stop voltage. As R grows the roots move towards each other and meet in the fold,
 *     R_f = V² / ( V·I₀ + 2P + 2√(P² + V·I₀·P) ),  v_f = (V − I₀·R_f)/2.
 * A voltage x below v_f is met by the lower root, one above it by the upper root, each at
 *     R(x) = (V − x)/(P/x + I₀).
 * So for Vs below the fold the start fails from R(Vs) on; above the fold the bus sinks from Vs to the upper root and
 * the limit is R_f, or R(stop) when the stop voltage lies above v_f. Before the start the bus must reach Vs against
 * the standby current alone: R < (V − Vs)/I₀.
 * @throws RangeError when a voltage is not above zero, the stop is above the start, or a demand is negative
 */
export function largestStartResistor(load: StartingLoad): StartLimit {
  const { source_V: V, power_W: P, standby_A: I0, start_V, stop_V } = checkedLoad(load);
  if (!(start_V < V)) return { resistance_ohm: 0, limitedBy: 'reach' };
  const meets = (x: number): number => (V - x) / (P / x + I0);
  const fold_ohm = (V * V) / (V * I0 + 2 * P + 2 * Math.sqrt(P * (P + V * I0)));
  const fold_V = P > 0 ? (V - I0 * fold_ohm) / 2 : 0;
  if (start_V < fold_V) return { resistance_ohm: meets(start_V), limitedBy: 'start' };
  const held: StartLimit =
    stop_V > fold_V ? { resistance_ohm: meets(stop_V), limitedBy: 'stop' } : { resistance_ohm: fold_ohm, limitedBy: 'fold' };
  const reach_ohm = (V - start_V) / I0;
  return reach_ohm < held.resistance_ohm ? { resistance_ohm: reach_ohm, limitedBy: 'reach' } : held;
}

/**
 * How a soft start with a given resistor ends for one load: `settles` at the upper root, `hangs` (sticks or hiccups
 * about the stop voltage), or `never starts`. The criterion derived at `largestStartResistor`.
 */
export function startOutcome(load: StartingLoad, resistance_ohm: number): 'settles' | 'hangs' | 'never starts' {
  const { source_V, power_W, standby_A, start_V, stop_V } = checkedLoad(load);
  requirePositive(resistance_ohm, 'resistance_ohm', 'Ω');
  if (!(source_V - standby_A * resistance_ohm > start_V)) return 'never starts';
  const roots = equilibria({ source_V, resistance_ohm, power_W, standby_A });
  return roots && start_V > roots.lower_V && roots.upper_V > stop_V ? 'settles' : 'hangs';
}

/**
 * Time for a capacitor alone to feed a constant power and a constant current from one voltage down to another, s:
 * ∫ C·v/(P + I·v) dv; with no current C·(V₀² − V₁²)/2P, with no power C·(V₀ − V₁)/I. Infinity when nothing draws.
 */
export function holdUp_s(capacitance_F: number, from_V: number, to_V: number, power_W: number, current_A = 0): number {
  requirePositive(capacitance_F, 'capacitance_F', 'F');
  requireNotNegative(to_V, 'to_V', 'V');
  requireNotNegative(power_W, 'power_W', 'W');
  requireNotNegative(current_A, 'current_A', 'A');
  if (!(from_V >= to_V && from_V < Infinity)) throw new RangeError(`from_V: expected at least ${to_V} V, got ${from_V}`);
  const fall_V = from_V - to_V;
  if (fall_V === 0) return 0;
  if (power_W === 0) return current_A === 0 ? Infinity : (capacitance_F * fall_V) / current_A;
  const share = (current_A * from_V) / power_W;
  // A slight current cancels in the logarithm; its power series does not.
  if (share < 1e-3) return (capacitance_F / power_W) * slightCurrentSeries(from_V, to_V, current_A / power_W);
  const logarithm = Math.log1p((current_A * fall_V) / (power_W + current_A * to_V));
  return capacitance_F * (fall_V / current_A - (power_W / (current_A * current_A)) * logarithm);
}

// ∫ v/(1 + kv) dv = Σ (−k)^n · v^(n+2)/(n + 2); with k·v below 10⁻³ six terms leave 10⁻¹⁸.
function slightCurrentSeries(from_V: number, to_V: number, k: number): number {
  let sum = 0;
  for (let n = 0; n < 6; n++) sum += ((-k) ** n * (from_V ** (n + 2) - to_V ** (n + 2))) / (n + 2);
  return sum;
}

function checkedLoad(load: StartingLoad): StartingLoad {
  requirePositive(load.source_V, 'source_V', 'V');
  requirePositive(load.start_V, 'start_V', 'V');
  requireNotNegative(load.power_W, 'power_W', 'W');
  requireNotNegative(load.standby_A, 'standby_A', 'A');
  requireNotNegative(load.stop_V, 'stop_V', 'V');
  if (!(load.stop_V <= load.start_V)) {
    throw new RangeError(`stop_V: expected at most the start, ${load.start_V} V, got ${load.stop_V}`);
  }
  return load;
}
