import type { RunControl } from '../automaton.ts';
import type { Expr } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';
import type { MotorTerms } from './motor.ts';

/** The machine's mass, or the part of it that one side drives, moving over the floor. */
export interface GroundHandle {
  readonly name: string;
  /** Speed over the floor, m/s. */
  readonly speed: Expr;
  readonly speedUnknown: number;
  readonly speedWatch: number;
  /** Parameters: mass, kg; force that whatever it pushes takes at most, N. */
  readonly mass: number;
  readonly opposing: number;
  /** Parameter: rolling resistance, N; force that a slope takes ahead, N (below 0: downhill). */
  readonly rolling: number;
  readonly slope: number;
  /** Unknowns that gather, J: rolling loss, work done on what it pushes, what collisions took. */
  readonly rollingLoss: number;
  readonly pushWork: number;
  readonly collisions: number;
  readonly store: CircuitNode;
}

export interface GroundRequest {
  readonly mass_kg: number;
  /** Rolling resistance of the floor, N. */
  readonly rolling_N: number;
  readonly energyScale_J?: number;
}

/**
 * A mass on the floor: m v' = Σ traction − rolling − opposing force, the last two against the motion, turning over within
 * `CREEP_M_S`. A force larger than the wheels' traction is a wall.
 */
export function addGround(b: SystemBuilder, name: string, request: GroundRequest): GroundHandle {
  const g = b.graph;
  const mass = b.parameter(`${name} mass`, request.mass_kg);
  const rolling = b.parameter(`${name} rolling resistance`, request.rolling_N);
  const opposing = b.parameter(`${name} opposing force`, 0);
  const slope = b.parameter(`${name} force of the slope`, 0);
  const store = b.store(`${name} speed`, 'speed', 0, mass.value);
  const speed = store.voltage;
  const sense = g.tanh(g.divide(speed, g.constant(CREEP_M_S)));
  const against = (force: Expr): Expr => g.multiply(force, sense);
  b.inject(store, g.negate(g.add(slope.value, against(g.add(rolling.value, opposing.value)))));
  // What a slope takes comes back downhill: a load, of either sign, and not a loss.
  b.account('load', g.multiply(slope.value, speed));
  b.stored(g.multiply(g.multiply(g.constant(0.5), mass.value), g.square(speed)));
  const scale = request.energyScale_J ?? 1e3;
  return {
    name,
    speed,
    speedUnknown: store.unknown,
    speedWatch: b.watch(`${name} speed`, speed),
    mass: mass.index,
    opposing: opposing.index,
    rolling: rolling.index,
    slope: slope.index,
    rollingLoss: b.lossQuadrature(`${name} rolling loss`, g.multiply(against(rolling.value), speed), scale),
    pushWork: b.lossQuadrature(`${name} work on what it pushes`, g.multiply(against(opposing.value), speed), scale),
    collisions: b.lossQuadrature(`${name} energy given to collisions`, g.zero, scale),
    store,
  };
}

export interface WheelRequest {
  /** Motor turns per wheel turn. */
  readonly gearing: number;
  readonly radius_m: number;
  /** Weight on the driven wheels, N, and how much of it grips. */
  readonly load_N: number;
  readonly grip: number;
  /** Share of the motor's torque that reaches the wheel, 0 to 1. */
  readonly efficiency: number;
}

export interface WheelHandle {
  /** Parameters. */
  readonly gearing: number;
  readonly radius: number;
  readonly efficiency: number;
  readonly load: number;
  readonly grip: number;
  /** Watch: traction, N. */
  readonly tractionWatch: number;
  /** Unknown: energy lost where tyre and floor slip, J. */
  readonly slipLoss: number;
  /** Torque that it takes from the motor's shaft, N·m. */
  readonly torque: Expr;
}

/**
 * A wheel (or a side's wheels) between a motor and the floor. Traction follows the slip speed u = ω·r/N − v and never
 * exceeds what grips: F = µ·W·tanh(u/u₀), u₀ = `SLIP_M_S`; a gear's loss takes its share from the torque in the
 * direction of power. Wheel inertia belongs to the motor's.
 */
export function addWheel(b: SystemBuilder, name: string, motor: MotorTerms, ground: GroundHandle, request: WheelRequest): WheelHandle {
  const g = b.graph;
  const gearing = b.parameter(`${name} gearing`, request.gearing);
  const radius = b.parameter(`${name} radius`, request.radius_m);
  const load = b.parameter(`${name} load`, request.load_N);
  const grip = b.parameter(`${name} grip`, request.grip);
  const efficiency = b.parameter(`${name} gear efficiency`, request.efficiency);
  const lever = g.divide(radius.value, gearing.value);
  const rim = g.multiply(motor.speed, lever);
  const slip = g.subtract(rim, ground.speed);
  const traction = g.multiply(g.multiply(grip.value, load.value), g.tanh(g.divide(slip, g.constant(SLIP_M_S))));
  b.inject(ground.store, traction);
  // Power through the gear, positive towards the floor: the torque on the shaft is 1/η of what the rim needs, or η of it.
  const half = g.constant(0.5);
  const loss = g.divide(g.one, efficiency.value);
  const share = g.add(
    g.multiply(half, g.add(loss, efficiency.value)),
    g.multiply(g.multiply(half, g.subtract(loss, efficiency.value)), g.tanh(g.divide(g.multiply(traction, rim), g.constant(GEAR_BLEND_W)))),
  );
  const torque = g.multiply(g.multiply(traction, lever), share);
  b.account('loss', g.multiply(g.multiply(traction, rim), g.subtract(share, g.one)));
  return {
    gearing: gearing.index,
    radius: radius.index,
    efficiency: efficiency.index,
    load: load.index,
    grip: grip.index,
    tractionWatch: b.watch(`${name} traction`, traction),
    slipLoss: b.lossQuadrature(`${name} slip loss`, g.multiply(traction, slip), 1e2),
    torque,
  };
}

/** A collision takes a share (0 to 1) of the moving mass's energy at once. */
export function collide(run: RunControl, ground: GroundHandle, energyShare: number): void {
  const y = run.unknowns;
  const before = y[ground.speedUnknown]!;
  const kinetic = 0.5 * run.parameters[ground.mass]! * before * before;
  y[ground.speedUnknown] = before * Math.sqrt(1 - energyShare);
  y[ground.collisions] = y[ground.collisions]! + energyShare * kinetic;
}

/** Slip at which three quarters of the grip is used, m/s: soft tyres on a steel floor; common practice, no source. */
export const SLIP_M_S = 0.1;
const CREEP_M_S = 0.02;
const GEAR_BLEND_W = 5;
