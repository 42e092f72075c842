import type { RunControl } from '../automaton.ts';
import type { Expr, ExpressionGraph } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';
import { heat, type HeatNode } from './thermal.ts';
import { warmResistance, type WarmLaw } from './wire.ts';

/** A direct-current motor with what turns on its shaft; a brushless one as its direct-current equivalent. */
export interface MotorRequest {
  /** Between the terminals; brushless: of two phases in series. `coefficient_per_K` counts when there is a winding. */
  readonly winding: WarmLaw;
  readonly inductance_H: number;
  /** Torque per ampere, N·m/A, which in SI is the back-EMF per rad/s too. */
  readonly torqueConstant_Nm_A: number;
  /** Rotor and everything rigidly geared to it, on the motor's shaft, kg·m². */
  readonly inertia_kgm2: number;
  readonly viscous_Nms: number;
  /** Friction that does not depend on speed, N·m. */
  readonly coulomb_Nm: number;
  /** Speed within which that friction turns over, rad/s; a hundredth of the no-load speed is enough for a driven wheel. */
  readonly creep_rad_s?: number;
  readonly initialSpeed_rad_s?: number;
  /** Lump that the winding's loss warms. */
  readonly lump?: HeatNode;
  /** Size of the energies that it moves in a run, J. */
  readonly energyScale_J?: number;
  /** Gathers the winding's loss on its own, not only in the sum of all. */
  readonly ownLoss?: boolean;
}

/** What a controller, a gear or a wheel needs of a motor while the equations are made. */
export interface MotorTerms {
  readonly current: Expr;
  readonly speed: Expr;
  readonly backEmf: Expr;
  readonly resistance: Expr;
}

export interface MotorHandle extends MotorTerms {
  readonly name: string;
  /** Parameters. */
  readonly parameters: {
    readonly resistance: number;
    readonly inductance: number;
    readonly torqueConstant: number;
    readonly inertia: number;
    readonly viscous: number;
    readonly coulomb: number;
    /** 1 while the rotor is held still by force (a jammed weapon, a stalled shaft). */
    readonly jammed: number;
  };
  /** Unknowns: armature current, A; speed, rad/s. */
  readonly currentUnknown: number;
  readonly speedUnknown: number;
  /** Unknowns that gather: loss in the winding (when asked for), friction, and what hits took, J. */
  readonly windingLoss: number | undefined;
  readonly frictionLoss: number;
  readonly hits: number;
  readonly speedWatch: number;
  readonly currentWatch: number;
}

/**
 * L i' = v − Kt ω − R i;   J ω' = Kt i − b ω − Tc tanh(ω/ω₀) − torque of the load.
 * @param voltage  makes the voltage between the terminals; who makes it books the power v·i that it feeds
 * @param load     makes the torque that the load takes from the shaft, N·m, and books where it goes
 */
export function addMotor(
  b: SystemBuilder,
  name: string,
  request: MotorRequest,
  voltage: (motor: MotorTerms) => Expr,
  load: (motor: MotorTerms) => Expr = () => b.graph.zero,
): MotorHandle {
  const g = b.graph;
  const warm = warmResistance(b, `${name} winding`, request.winding, request.lump);
  const inductance = b.parameter(`${name} inductance`, request.inductance_H);
  const torqueConstant = b.parameter(`${name} torque constant`, request.torqueConstant_Nm_A);
  const inertia = b.parameter(`${name} inertia`, request.inertia_kgm2);
  const viscous = b.parameter(`${name} viscous friction`, request.viscous_Nms);
  const coulomb = b.parameter(`${name} friction`, request.coulomb_Nm);
  const jammed = b.parameter(`${name} jammed`, 0);
  const current = b.state(`${name} current`, 'current', 0);
  const speed = b.state(`${name} speed`, 'speed', request.initialSpeed_rad_s ?? 0);
  const terms: MotorTerms = { current: current.value, speed: speed.value, backEmf: g.multiply(torqueConstant.value, speed.value), resistance: warm.value };

  b.rate(current, g.divide(g.subtract(g.subtract(voltage(terms), terms.backEmf), g.multiply(warm.value, current.value)), inductance.value));
  const friction = g.add(g.multiply(viscous.value, speed.value), g.multiply(coulomb.value, g.tanh(g.divide(speed.value, g.constant(request.creep_rad_s ?? CREEP_RAD_S)))));
  const driven = g.subtract(g.subtract(g.multiply(torqueConstant.value, current.value), friction), load(terms));
  // Held still: whatever torque there is, none of it turns the rotor.
  b.rate(speed, g.multiply(g.subtract(g.one, jammed.value), g.divide(driven, inertia.value)));

  const scale = request.energyScale_J ?? 1e3;
  const windingPower = g.multiply(warm.value, g.square(current.value));
  if (request.lump !== undefined) heat(b, request.lump, windingPower);
  b.stored(g.multiply(g.constant(0.5), g.add(g.multiply(inductance.value, g.square(current.value)), g.multiply(inertia.value, g.square(speed.value)))));
  return {
    ...terms,
    name,
    parameters: {
      resistance: warm.resistance, inductance: inductance.index, torqueConstant: torqueConstant.index, inertia: inertia.index,
      viscous: viscous.index, coulomb: coulomb.index, jammed: jammed.index,
    },
    currentUnknown: current.index,
    speedUnknown: speed.index,
    windingLoss: booked(b, `${name} winding loss`, windingPower, request.ownLoss === true ? scale : undefined),
    frictionLoss: b.lossQuadrature(`${name} friction loss`, g.multiply(friction, speed.value), scale),
    hits: b.lossQuadrature(`${name} energy given to hits`, g.zero, scale),
    speedWatch: b.watch(`${name} speed`, speed.value),
    currentWatch: b.watch(`${name} current`, current.value),
  };
}

/** Books a loss on its own when it has a scale, with all the others otherwise: every sum of its own costs a step time. */
export function booked(b: SystemBuilder, name: string, power: Expr, scale_J: number | undefined): number | undefined {
  if (scale_J !== undefined) return b.lossQuadrature(name, power, scale_J);
  b.account('loss', power);
  return undefined;
}

/** A motor straight across two nodes, without a controller. */
export function addBareMotor(b: SystemBuilder, name: string, positive: CircuitNode, negative: CircuitNode, request: MotorRequest, load?: (motor: MotorTerms) => Expr): MotorHandle {
  const motor = addMotor(b, name, request, () => b.graph.subtract(positive.voltage, negative.voltage), load);
  b.flow(positive, negative, motor.current);
  return motor;
}

/** A blow: the rotor gives a share (0 to 1) of its kinetic energy away at once; booked among what hits took. */
export function strike(run: RunControl, motor: MotorHandle, energyShare: number): void {
  const y = run.unknowns;
  const before = y[motor.speedUnknown]!;
  const kinetic = 0.5 * run.parameters[motor.parameters.inertia]! * before * before;
  y[motor.speedUnknown] = before * Math.sqrt(1 - energyShare);
  y[motor.hits] = y[motor.hits]! + energyShare * kinetic;
}

/** Holds the rotor still from now on; what it carried counts as given to a hit. */
export function jam(run: RunControl, motor: MotorHandle): void {
  strike(run, motor, 1);
  run.parameters[motor.parameters.jammed] = 1;
}

export function free(run: RunControl, motor: MotorHandle): void {
  run.parameters[motor.parameters.jammed] = 0;
}

/** Smooth minimum: ½ (x + y − √((x − y)² + width²)). */
export function smoothMinimum(g: ExpressionGraph, x: Expr, y: Expr, width: Expr): Expr {
  return g.negate(g.smoothMaximum(g.negate(x), g.negate(y), width));
}

/** Speed over which friction turns over, so that a rotor at rest has one torque and not two, rad/s. */
export const CREEP_RAD_S = 1;
