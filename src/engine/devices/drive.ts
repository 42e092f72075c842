import type { Automaton, RunControl } from '../automaton.ts';
import type { Expr, ExpressionGraph } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';
import { addMotor, booked, smoothMinimum, type MotorHandle, type MotorRequest, type MotorTerms } from './motor.ts';
import { heat, type HeatNode } from './thermal.ts';

/**
 * What a controller does when the motor turns faster than the throttle asks.
 * `none`: drives one way and lets it spin (weapons); `coast`: both ways, lets it spin; `regenerate`: brakes it and
 * returns the energy to the bus.
 */
export type Braking = 'none' | 'coast' | 'regenerate';

export interface DriveRequest {
  readonly braking: Braking;
  /** Largest motor current, driving or braking, A. */
  readonly motorLimit_A: number;
  /** Largest current taken from the bus, A; left out: none. */
  readonly batteryLimit_A?: number;
  /** Largest current given back to the bus, A; left out: whatever the motor current allows. */
  readonly regenerationLimit_A?: number;
  /** Share of the full bus voltage that the largest throttle reaches, 0 to 1. */
  readonly largestDuty: number;
  /** Share of the power that passes, 0 to 1. */
  readonly efficiency: number;
  /** When it starts, stops and protects itself; left out: always on. */
  readonly supervision?: {
    readonly start_V: number;
    readonly stop_V: number;
    /** Above this it lets go of the motor, until the bus is back below `resume_V`. */
    readonly overvoltage_V: number;
    readonly resume_V: number;
    readonly runningAtStart: boolean;
    /** Time from the start voltage to the first turn, s. */
    readonly boot_s: number;
  };
  /** Lump that its losses warm, and the temperatures between which it folds its motor current back to nothing. */
  readonly thermal?: { readonly lump: HeatNode; readonly foldFrom_C: number; readonly foldTo_C: number };
  readonly motor: MotorRequest;
  readonly load?: (motor: MotorTerms) => Expr;
}

export interface DriveHandle {
  readonly name: string;
  readonly motor: MotorHandle;
  /** Parameters: throttle −1 to 1; limits, A; 1 while it drives; 1 while its radio or an enable input lets it. */
  readonly throttle: number;
  readonly motorLimit: number;
  readonly batteryLimit: number | undefined;
  readonly regenerationLimit: number | undefined;
  readonly duty: number;
  readonly efficiency: number;
  readonly running: number | undefined;
  readonly enabled: number | undefined;
  /** Parameters: temperatures between which it folds its motor current back, °C. */
  readonly folds: { readonly from: number; readonly to: number } | undefined;
  /** Parameters: start, stop, over-voltage and resume voltage, V; time to start, s. */
  readonly thresholds: { readonly start: number; readonly stop: number; readonly overvoltage: number; readonly resume: number; readonly boot: number } | undefined;
  /** Watches: current taken from the bus, A (negative: given back); bus voltage at it, V. */
  readonly busCurrentWatch: number;
  readonly voltageWatch: number;
  /** Unknown that gathers its own loss, J, when the motor's is asked for. */
  readonly loss: number | undefined;
  readonly automata: readonly Automaton[];
}

/**
 * A motor with its controller, averaged over the switching: the bridge puts v between the motor's terminals and takes the
 * same power, less its losses, from the bus. Its fast current loop is a bound on v: while v = E + R·I the current settles
 * at I within L/R.
 *     v = clamp(throttle·duty·u, E − R·I↓, E + R·I↑)         (every min and max smoothed over `KNEE_V`)
 *     battery limit as motor current: (E + R I)·I = η·u·I_b, so I = (−E + √(E² + 4R·η·u·I_b))/(2R)
 *     bus current: P(½(1/η + η) + ½(1/η − η)·tanh(P/P₀))/u, P = v·i
 * Off, only the diodes of its bridge are left: a motor whose back-EMF exceeds the bus by their two drops feeds it.
 */
export function addDrive(b: SystemBuilder, name: string, positive: CircuitNode, negative: CircuitNode, request: DriveRequest): DriveHandle {
  const g = b.graph;
  const throttle = b.parameter(`${name} throttle`, 0);
  const motorLimit = b.parameter(`${name} motor current limit`, request.motorLimit_A);
  const batteryLimit = optionalParameter(b, `${name} battery current limit`, request.batteryLimit_A);
  const regenerationLimit = optionalParameter(b, `${name} regeneration limit`, request.regenerationLimit_A);
  const duty = b.parameter(`${name} largest duty`, request.largestDuty);
  const efficiency = b.parameter(`${name} efficiency`, request.efficiency);
  const supervision = request.supervision;
  const running = supervision && b.parameter(`${name} running`, supervision.runningAtStart ? 1 : 0);
  const bus = g.subtract(positive.voltage, negative.voltage);
  const usable = g.smoothMaximum(bus, g.constant(FLOOR_V), g.constant(KNEE_V));

  const folded = request.thermal === undefined ? undefined : foldBack(b, name, request.thermal);
  const allowed = folded === undefined ? motorLimit.value : g.multiply(motorLimit.value, folded.share);
  let applied: Expr = g.zero;
  const motor = addMotor(b, `${name} motor`, request.motor, (terms) => {
    const wanted = g.multiply(g.multiply(throttle.value, duty.value), bus);
    const law: Law = { g, terms, allowed, bus: usable, efficiency: efficiency.value, battery: batteryLimit?.value, regeneration: regenerationLimit?.value };
    const on = request.braking === 'none' ? oneWay(law, wanted) : bothWays(law, wanted, request.braking);
    applied = running === undefined ? on : g.add(g.multiply(running.value, on), g.multiply(g.subtract(g.one, running.value), offVoltage(law)));
    return applied;
  }, request.load);

  const power = g.multiply(applied, motor.current);
  const half = g.constant(0.5);
  const over = g.divide(g.one, efficiency.value);
  const taken = g.multiply(power, g.add(
    g.multiply(half, g.add(over, efficiency.value)),
    g.multiply(g.multiply(half, g.subtract(over, efficiency.value)), g.tanh(g.divide(power, g.constant(BLEND_W)))),
  ));
  const driven = g.divide(taken, usable);
  const busCurrent = running === undefined ? driven : g.add(g.multiply(running.value, driven), g.multiply(g.subtract(g.one, running.value), g.divide(power, offRail(g, usable))));
  b.flow(positive, negative, busCurrent);
  const lost = g.subtract(g.multiply(bus, busCurrent), power);
  if (request.thermal !== undefined) heat(b, request.thermal.lump, lost);

  const busCurrentWatch = b.watch(`${name} bus current`, busCurrent);
  const voltageWatch = b.watch(`${name} bus voltage`, bus);
  const handle = {
    name, motor, folds: folded && { from: folded.from, to: folded.to }, throttle: throttle.index, motorLimit: motorLimit.index, batteryLimit: batteryLimit?.index, regenerationLimit: regenerationLimit?.index,
    duty: duty.index, efficiency: efficiency.index, running: running?.index, busCurrentWatch, voltageWatch,
    loss: booked(b, `${name} loss`, lost, request.motor.ownLoss === true ? (request.motor.energyScale_J ?? 1e3) : undefined),
  };
  if (supervision === undefined || running === undefined) return { ...handle, enabled: undefined, thresholds: undefined, automata: [] };
  return { ...handle, ...supervise(b, name, supervision, running.index, voltageWatch) };
}

interface Law {
  readonly g: ExpressionGraph;
  readonly terms: MotorTerms;
  /** Motor current limit after any fold-back, A. */
  readonly allowed: Expr;
  readonly bus: Expr;
  readonly efficiency: Expr;
  readonly battery: Expr | undefined;
  readonly regeneration: Expr | undefined;
}

/** Largest current in the direction in which the back-EMF `ahead` is counted, A. */
function driving({ g, terms, allowed, bus, efficiency, battery }: Law, ahead: Expr): Expr {
  if (battery === undefined) return allowed;
  const power = g.multiply(g.multiply(efficiency, bus), battery);
  const root = g.sqrt(g.add(g.square(ahead), g.multiply(g.multiply(g.constant(4), terms.resistance), power)));
  const limit = g.divide(g.subtract(root, ahead), g.multiply(g.constant(2), terms.resistance));
  return smoothMinimum(g, allowed, limit, g.constant(KNEE_A));
}

function oneWay(law: Law, wanted: Expr): Expr {
  const { g, terms } = law;
  const top = g.add(terms.backEmf, g.multiply(terms.resistance, driving(law, terms.backEmf)));
  return g.smoothMaximum(smoothMinimum(g, wanted, top, g.constant(KNEE_V)), terms.backEmf, g.constant(KNEE_V));
}

function bothWays(law: Law, wanted: Expr, braking: 'coast' | 'regenerate'): Expr {
  const { g, terms } = law;
  const { backEmf, resistance } = terms;
  let up = driving(law, backEmf);
  let down = driving(law, g.negate(backEmf));
  const held = braking === 'coast' ? g.zero : law.regeneration === undefined ? undefined : returning(law, law.regeneration);
  if (held !== undefined) {
    // The limit of braking counts in the direction against the motion, and not yet near standstill: there a motor that
    // sets off one way or the other has all of its current.
    const moving = (ahead: Expr): Expr => g.multiply(g.constant(0.5), g.add(g.one, softSign(g, g.divide(g.subtract(ahead, g.constant(COAST_V)), g.constant(COAST_KNEE_V)))));
    const toHeld = (limit: Expr, share: Expr): Expr => g.add(limit, g.multiply(share, g.subtract(held, limit)));
    up = toHeld(up, moving(g.negate(backEmf)));
    down = toHeld(down, moving(backEmf));
  }
  const above = g.smoothMaximum(wanted, g.subtract(backEmf, g.multiply(resistance, down)), g.constant(KNEE_V));
  return smoothMinimum(g, above, g.add(backEmf, g.multiply(resistance, up)), g.constant(KNEE_V));
}

/**
 * Braking current that gives back no more than it may, A. Given back at a braking current I is (E − R·I)·I, at most E²/4R:
 * while that exceeds what may be given back, I is held to the smaller root; below, even the full current gives back less.
 */
function returning({ g, terms, allowed, bus, efficiency }: Law, regeneration: Expr): Expr {
  const returned = g.divide(g.multiply(bus, regeneration), efficiency);
  const most = g.multiply(g.multiply(g.constant(4), terms.resistance), returned);
  const spare = g.subtract(g.square(terms.backEmf), most);
  const knee = g.add(g.multiply(g.constant(RETURN_KNEE), most), g.constant(KNEE_V));
  // Half of (1 + soft sign) of the spare is its smooth step, and spare times that its smooth positive part.
  const step = g.multiply(g.constant(0.5), g.add(g.one, softSign(g, g.divide(spare, knee))));
  const positive = g.add(g.multiply(spare, step), g.multiply(g.constant(0.5), knee));
  const size = g.sqrt(g.add(g.square(terms.backEmf), g.constant(KNEE_V ** 2)));
  const smallerRoot = g.divide(g.subtract(size, g.sqrt(positive)), g.multiply(g.constant(2), terms.resistance));
  const held = g.add(smallerRoot, g.multiply(g.subtract(g.one, step), allowed));
  return smoothMinimum(g, allowed, g.smoothMaximum(held, g.zero, g.constant(KNEE_A)), g.constant(KNEE_A));
}

/** x/√(1 + x²): a sign that turns over within ±1, at the cost of one root. */
function softSign(g: ExpressionGraph, x: Expr): Expr {
  return g.divide(x, g.sqrt(g.add(g.one, g.square(x))));
}

/**
 * Terminal voltage left by the diodes of a bridge that is off: the motor's own, as far as the bus lets it; a current that
 * still flows is driven down. Diodes pass the current, not the power: the bus gets v·i over the voltage of bus and drops.
 */
function offVoltage({ g, terms, bus }: Law): Expr {
  const rail = offRail(g, bus);
  const floating = g.subtract(terms.backEmf, g.multiply(g.constant(FREEWHEEL_OHM), terms.current));
  const floor = g.smoothMaximum(floating, g.negate(rail), g.constant(KNEE_V));
  return smoothMinimum(g, floor, rail, g.constant(KNEE_V));
}

function offRail(g: ExpressionGraph, bus: Expr): Expr {
  return g.add(bus, g.constant(2 * DIODE_V));
}

/** Share of the motor current that is left: 1 below `foldFrom_C`, falling in a straight line to 0. */
function foldBack(b: SystemBuilder, name: string, thermal: NonNullable<DriveRequest['thermal']>): { readonly share: Expr; readonly from: number; readonly to: number } {
  const g = b.graph;
  const from = b.parameter(`${name} folds back from`, thermal.foldFrom_C);
  const to = b.parameter(`${name} folds back to nothing at`, thermal.foldTo_C);
  const left = g.divide(g.subtract(to.value, thermal.lump.temperature), g.subtract(to.value, from.value));
  const knee = g.constant(FOLD_KNEE);
  return { share: g.smoothMaximum(smoothMinimum(g, left, g.one, knee), g.zero, knee), from: from.index, to: to.index };
}

function supervise(b: SystemBuilder, name: string, values: NonNullable<DriveRequest['supervision']>, running: number, voltage: number) {
  const start = b.parameter(`${name} start voltage`, values.start_V).index;
  const stop = b.parameter(`${name} stop voltage`, values.stop_V).index;
  const overvoltage = b.parameter(`${name} over-voltage`, values.overvoltage_V).index;
  const resume = b.parameter(`${name} resume voltage`, values.resume_V).index;
  const boot = b.parameter(`${name} time to start`, values.boot_s).index;
  const enabled = b.parameter(`${name} enabled`, 1).index;
  const awake = b.parameter(`${name} awake`, values.runningAtStart ? 1 : 0).index;
  const ready = b.parameter(`${name} ready`, values.runningAtStart ? 1 : 0).index;
  const tripped = b.parameter(`${name} over-voltage trip`, 0).index;
  const since = b.parameter(`${name} awake since`, 0).index;
  const refresh = (run: RunControl): void => {
    const p = run.parameters;
    p[running] = p[ready] === 1 && p[tripped] === 0 && p[enabled] === 1 ? 1 : 0;
  };
  const undervoltage: Automaton = {
    name: `${name} supply`,
    distance: (w, p) => (p[awake] === 1 ? p[stop]! - w[voltage]! : w[voltage]! - p[start]!),
    fire(run) {
      const p = run.parameters;
      const wakes = p[awake] === 0;
      p[awake] = wakes ? 1 : 0;
      p[since] = run.time;
      if (wakes) {
        const woke = run.time;
        run.schedule(woke + p[boot]!, (later) => {
          if (later.parameters[awake] !== 1 || later.parameters[since] !== woke) return;
          later.parameters[ready] = 1;
          later.note(`${name} starts`, later.watched[voltage]!);
          refresh(later);
        });
        return;
      }
      p[ready] = 0;
      run.note(`${name} stops`, run.watched[voltage]!);
      refresh(run);
    },
  };
  const trip: Automaton = {
    name: `${name} over-voltage`,
    distance: (w, p) => (p[tripped] === 1 ? p[resume]! - w[voltage]! : w[voltage]! - p[overvoltage]!),
    fire(run) {
      const trips = run.parameters[tripped] === 0;
      run.parameters[tripped] = trips ? 1 : 0;
      run.note(trips ? `${name} lets go: over-voltage` : `${name} resumes`, run.watched[voltage]!);
      refresh(run);
    },
  };
  // An enable input or a lost radio changes `enabled` from outside: seen as an event of its own.
  const enable: Automaton = {
    name: `${name} enable`,
    distance(_w, p) {
      const should = p[ready] === 1 && p[tripped] === 0 && p[enabled] === 1 ? 1 : 0;
      return should === p[running] ? -1 : 1;
    },
    fire: refresh,
  };
  return { enabled, thresholds: { start, stop, overvoltage, resume, boot }, automata: [undervoltage, trip, enable] };
}

function optionalParameter(b: SystemBuilder, name: string, value: number | undefined): { readonly index: number; readonly value: Expr } | undefined {
  return value === undefined ? undefined : b.parameter(name, value);
}

/** Width over which a bound on a voltage or a current takes over. */
const KNEE_V = 0.1;
const KNEE_A = 1;
/** Power over which the loss turns from driving to returning, W. */
const BLEND_W = 50;
/** Below this bus voltage the current is bounded, V. */
const FLOOR_V = 1;
/** Back-EMF above which a bridge that may not brake tells driving from braking, and over how much, V. */
const COAST_V = 1;
const COAST_KNEE_V = 0.1;
/** Width of the limit of what is given back, as a share of it. */
const RETURN_KNEE = 0.02;
const FOLD_KNEE = 0.01;
/** Up to about the back-EMF over this a current still floats when the bridge goes off; what is above runs into the diodes. */
const FREEWHEEL_OHM = 1;
/** Forward voltage of a transistor's body diode at high current, V; typical of datasheets. */
const DIODE_V = 0.8;
