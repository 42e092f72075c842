import { LuDecomposition, Matrix } from 'ml-matrix';

/** How a branch's current depends on the voltage across it, in the units of the machine network's numbers. */
export type Curve =
  | { readonly kind: 'resistor'; readonly ohm: number }
  | { readonly kind: 'source'; readonly volts: number; readonly ohm: number }
  | { readonly kind: 'diode'; readonly saturation: number; readonly slope: number; readonly ohm: number }
  | { readonly kind: 'standby'; readonly amps: number; readonly threshold: number }
  | { readonly kind: 'lamp'; readonly forward: number; readonly ohm: number }
  | { readonly kind: 'power'; readonly watts: number }
  | { readonly kind: 'supply'; readonly volts: number; readonly limit: number }
  | { readonly kind: 'regulator'; readonly volts: number; readonly dropOut: number; readonly ohm: number };

/** Between two nodes, 0 being the reference; a regulator looks at its third, its negative. */
export interface Branch {
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly curve: Curve;
}

/** Current from a to b as a straight line: i = offset + slope · v(a,b) + output · v(b,c). */
interface Line {
  readonly slope: number;
  readonly output: number;
  readonly offset: number;
}

/** A gigaohm to the reference at every node, so that what nothing feeds stands at 0 V. */
const INSULATION_S = 1e-9;
/** Voltage under which a constant power takes no more current. */
const FLOOR_V = 1;
const RAMP_V = 0.25;
const LAMP_KNEE_V = 0.2;
const SUPPLY_OHM = 0.02;
const SUPPLY_KNEE_A = 0.02;
const REGULATOR_KNEE_V = 0.02;
/** Current at which a diode counts as on while its state is looked for, A. */
const DIODE_ON_A = 1e-3;
const SETTLED_V = 1e-7;

/**
 * Voltages of the nodes of a circuit, by a dense conductance matrix: first every branch is on or off, guessed and
 * corrected until the guesses agree with the voltages; then the straight lines are those that touch the true curves,
 * until nothing moves. Plain on purpose: it is what the machine's solver is held against.
 * @param from  voltages to begin with
 * @param near  true when they are those of a circuit much like this one, so that no guess is needed
 * @returns undefined where it does not settle
 */
export function plainSolution(nodes: number, branches: readonly Branch[], from: Float64Array, near: boolean): Float64Array | undefined {
  const begin = near ? from : (iterate(nodes, branches, from, straight, 60) ?? from);
  return iterate(nodes, branches, begin, touching, 400) ?? (near ? plainSolution(nodes, branches, from, false) : stepped(nodes, branches, begin));
}

/** The same by conductance stepping: every node tied to the reference, and let go a little at a time. */
function stepped(nodes: number, branches: readonly Branch[], from: Float64Array): Float64Array | undefined {
  let at: Float64Array | undefined = from;
  for (let tie_S = 1; tie_S > INSULATION_S && at !== undefined; tie_S /= 3) {
    const ties = Array.from({ length: nodes - 1 }, (_, n): Branch => ({ a: n + 1, b: 0, c: 0, curve: { kind: 'resistor', ohm: 1 / tie_S } }));
    at = iterate(nodes, [...branches, ...ties], at, touching, 400) ?? at;
  }
  return iterate(nodes, branches, at ?? from, touching, 400);
}

function iterate(nodes: number, branches: readonly Branch[], from: Float64Array, line: typeof touching, passes: number): Float64Array | undefined {
  // At rest no node lies further from the reference than all sources on top of each other.
  const furthest = branches.reduce((sum, { curve }) => sum + ('volts' in curve ? Math.abs(curve.volts) : 0), 1);
  let voltages = from;
  let before = Infinity;
  for (let pass = 0; pass < passes; pass++) {
    const next = solveOnce(nodes, branches, voltages, line).map((volts) => Math.min(Math.max(volts, -furthest), furthest));
    // Across the branches: where a circuit floats as a whole against the reference is decided by rounding.
    const moved = branches.reduce((most, { a, b }) => Math.max(most, Math.abs(next[a]! - next[b]! - voltages[a]! + voltages[b]!)), 0);
    if (!Number.isFinite(moved)) return undefined;
    if (moved <= SETTLED_V) return next;
    // Guesses that chase each other are met half way.
    if (pass > 6 && moved > 0.7 * before) for (let n = 0; n < nodes; n++) next[n] = voltages[n]! + 0.5 * (next[n]! - voltages[n]!);
    before = moved;
    voltages = next;
  }
  return undefined;
}

function solveOnce(nodes: number, branches: readonly Branch[], at: Float64Array, line: typeof touching): Float64Array {
  const rows = Array.from({ length: nodes }, () => new Float64Array(nodes));
  const right = new Float64Array(nodes);
  for (let n = 1; n < nodes; n++) {
    rows[n]![n] = INSULATION_S;
    right[n] = -INSULATION_S * at[n]!;
  }
  for (const { a, b, c, curve } of branches) {
    const across = at[a]! - at[b]!;
    const out = at[b]! - at[c]!;
    const { slope, output, offset } = line(curve, across, out);
    const current = offset + slope * across + output * out;
    for (const [node, sign] of [[a, 1], [b, -1]] as const) {
      rows[node]![a]! += sign * slope;
      rows[node]![b]! += sign * (output - slope);
      rows[node]![c]! -= sign * output;
      right[node]! -= sign * current;
    }
  }
  const inner = new Matrix(rows.slice(1).map((row) => row.subarray(1)));
  // Solved for the change: what currents are left over is known far better than where a floating circuit stands.
  const change = new LuDecomposition(inner).solve(Matrix.columnVector(right.subarray(1)));
  return at.map((volts, n) => (n === 0 ? 0 : volts + change.get(n - 1, 0)));
}

/** Every curve as two or three straight pieces: the one that holds at this voltage. */
function straight(curve: Curve, v: number, out: number): Line {
  switch (curve.kind) {
    case 'diode': {
      const threshold = curve.slope * Math.log(1 + DIODE_ON_A / curve.saturation);
      return v < threshold ? NOTHING : { slope: 1 / curve.ohm, output: 0, offset: -threshold / curve.ohm };
    }
    case 'standby': {
      const slope = curve.amps / (4 * RAMP_V);
      if (v <= curve.threshold - 2 * RAMP_V) return NOTHING;
      if (v >= curve.threshold + 2 * RAMP_V) return { slope: 0, output: 0, offset: curve.amps };
      return { slope, output: 0, offset: slope * (2 * RAMP_V - curve.threshold) };
    }
    case 'lamp':
      return v < curve.forward ? NOTHING : { slope: 1 / curve.ohm, output: 0, offset: -curve.forward / curve.ohm };
    case 'supply': {
      if (v >= curve.volts) return NOTHING;
      const slope = Math.min(1 / SUPPLY_OHM, curve.limit / (curve.volts - v));
      return { slope, output: 0, offset: -slope * curve.volts };
    }
    default:
      return touching(curve, v, out);
  }
}

const NOTHING: Line = { slope: 0, output: 0, offset: 0 };

/** The tangent of the true curve, or a chord where that serves better. */
function touching(curve: Curve, v: number, out: number): Line {
  switch (curve.kind) {
    case 'resistor':
      return { slope: 1 / curve.ohm, output: 0, offset: 0 };
    case 'source':
      return { slope: 1 / curve.ohm, output: 0, offset: -curve.volts / curve.ohm };
    case 'power':
      // Its current at the voltage before: that settles at the upper of its two voltages, or falls all the way.
      return { slope: 0, output: 0, offset: curve.watts / Math.max(FLOOR_V, v) };
    case 'diode': {
      const junction = junction_V(curve, v);
      const amps = curve.saturation * Math.expm1(junction / curve.slope);
      return tangent(amps, 1 / (curve.ohm + curve.slope / Math.max(curve.saturation + amps, 1e-300)), v);
    }
    case 'standby': {
      const share = 1 / (1 + Math.exp((-2 * (v - curve.threshold)) / RAMP_V));
      return tangent(curve.amps * share, (curve.amps * share * (1 - share) * 2) / RAMP_V, v);
    }
    case 'lamp': {
      const excess = (volts: number): number => (volts + Math.hypot(volts, LAMP_KNEE_V)) / 2;
      const x = v - curve.forward;
      return tangent((excess(x) - excess(-curve.forward)) / curve.ohm, (1 + x / Math.hypot(x, LAMP_KNEE_V)) / 2 / curve.ohm, v);
    }
    case 'supply': {
      const wanted = (curve.volts - v) / SUPPLY_OHM;
      const forward = (wanted + Math.hypot(wanted, SUPPLY_KNEE_A)) / 2;
      const over = forward - curve.limit;
      const given = forward - (over + Math.hypot(over, SUPPLY_KNEE_A)) / 2;
      const share = ((1 + wanted / Math.hypot(wanted, SUPPLY_KNEE_A)) / 2) * ((1 - over / Math.hypot(over, SUPPLY_KNEE_A)) / 2);
      // Once the limit holds a tangent has no slope and leads anywhere: there the chord to no current at its set voltage.
      return tangent(-given, wanted < curve.limit / 2 ? share / SUPPLY_OHM : given / (curve.volts - v), v);
    }
    case 'regulator': {
      const missing = curve.volts - out;
      const room = v - curve.dropOut;
      const least = Math.min(missing, room);
      const drive = least <= 0 ? 0 : least < REGULATOR_KNEE_V ? least ** 2 / (2 * REGULATOR_KNEE_V) : least - REGULATOR_KNEE_V / 2;
      const slope = Math.min(Math.max(least / REGULATOR_KNEE_V, 0), 1) / curve.ohm;
      const amps = drive / curve.ohm;
      return missing < room ? { slope: 0, output: -slope, offset: amps + slope * out } : tangent(amps, slope, v);
    }
  }
}

function tangent(amps: number, slope: number, v: number): Line {
  return { slope, output: 0, offset: amps - slope * v };
}

/** Voltage of the junction of a diode behind its resistance: u + R·Is·(exp(u/n) − 1) = v, from above, where Newton cannot overshoot. */
function junction_V({ saturation, slope, ohm }: Extract<Curve, { kind: 'diode' }>, v: number): number {
  let u = v > 0 ? Math.min(v, slope * Math.log1p(v / (ohm * saturation))) : v;
  for (let pass = 0; pass < 60; pass++) {
    const e = ohm * saturation * Math.exp(u / slope);
    const step = (u + e - ohm * saturation - v) / (1 + e / slope);
    u -= step;
    if (Math.abs(step) < 1e-14 * (1 + Math.abs(u))) break;
  }
  return u;
}
