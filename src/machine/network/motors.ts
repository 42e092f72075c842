import type { FromValues } from '../circuit/binder.ts';
import type { Inputs } from '../inputs.ts';
import type { Machine } from '../machine.ts';
import type { Controller } from '../parts/loads.ts';
import { valueOf } from './strands.ts';

/** The motor behind a controller, as far as moving at all is concerned. */
export interface MotorBehind {
  /** The motor part, where the file names one. */
  readonly part: string | undefined;
  /** Winding resistance between its leads, Ω. */
  readonly resistance: FromValues;
  /** Torque per ampere, Nm/A; undefined where neither it nor the speed per volt is known. */
  readonly torqueConstant: FromValues | undefined;
  /** Motor current that breaks its load away, A. */
  readonly breakaway: FromValues;
  /** True where that current follows from a class default or is only a share of the controller's rating. */
  readonly breakawayGuessed: boolean;
}

/** Rated current times winding resistance of the motors that people put on a controller, V. Common practice, no source. */
const RATED_DROP_V = 2.4;
/** Share of a controller's motor current that moves what hangs on it, where nothing is known. Common practice, no source. */
const BREAKAWAY_SHARE = 0.05;

export function motorBehind(machine: Machine, inputs: Inputs, controller: Controller): MotorBehind {
  const value = valueOf(inputs);
  const rated = value(`${controller.id}.motorCurrent`);
  const named = controller.values.drives;
  const part = named === undefined ? undefined : machine.parts.get(named);
  const motor = part?.kind === 'motor' ? part.id : undefined;
  const own = (field: string): FromValues | undefined => (motor !== undefined && inputs.has(`${motor}.${field}`) ? value(`${motor}.${field}`) : undefined);
  const torque = own('torqueConstant');
  const speed = own('speedConstant');
  // Nm/A and V·s are the same number; a speed constant is its reciprocal in rad/(V·s).
  const torqueConstant: FromValues | undefined = torque ?? (speed === undefined ? undefined : (v) => 1 / speed(v));
  const breakawayTorque = own('breakawayTorque');
  const known = breakawayTorque !== undefined && torqueConstant !== undefined;
  const guessed = motor === undefined || !known || inputs.list[inputs.at(`${motor}.breakawayTorque`)]!.quantity.origin === 'class default';
  return {
    part: motor,
    resistance: own('resistance') ?? ((v) => RATED_DROP_V / rated(v)),
    torqueConstant,
    breakaway: known ? (v) => breakawayTorque(v) / torqueConstant(v) : (v) => BREAKAWAY_SHARE * rated(v),
    breakawayGuessed: guessed,
  };
}
