import type { Automaton } from '../../src/engine/automaton.ts';
import { addBattery, type BatteryRequest } from '../../src/engine/devices/battery.ts';
import type { MotorRequest } from '../../src/engine/devices/motor.ts';
import type { Expr } from '../../src/engine/expression.ts';
import { compile, nominalParameters, type Model } from '../../src/engine/model.ts';
import { laidOut, type CircuitNode, type SystemBuilder } from '../../src/engine/system.ts';
import type { Run, ScheduledAction } from '../../src/engine/simulate.ts';
import { initialUnknowns, runToEnd, type RunSketch } from './running.ts';

export interface Built<Handles> {
  readonly model: Model;
  readonly handles: Handles;
}

/** Compiles what a test puts together, laid out as the product does. */
export function built<Handles>(make: (b: SystemBuilder) => Handles): Built<Handles> {
  const { system, handles } = laidOut((b) => {
    const made = make(b);
    return { system: b.finish(1e2), handles: made };
  });
  return { model: compile(system), handles };
}

/** Runs with some parameters set first. */
export function runWith(circuit: Built<unknown>, end_s: number, values: Readonly<Record<number, number>>, sketch: Partial<RunSketch> = {}): Run {
  const parameters = nominalParameters(circuit.model);
  for (const [index, value] of Object.entries(values)) parameters[Number(index)] = value;
  return runToEnd({ model: circuit.model, parameters, initial: initialUnknowns(circuit.model), end_s, tolerance: 1e-6, ...sketch });
}

/** A current that nothing changes, taken from a node. */
export function addFixedCurrent(b: SystemBuilder, name: string, from: CircuitNode, current_A: number): number {
  const current = b.parameter(name, current_A);
  b.flow(from, b.reference, current.value);
  b.account('load', b.graph.multiply(from.voltage, current.value));
  return current.index;
}

/** A cell whose voltage rises in a straight line from 3 V to 4 V. */
export const STRAIGHT_CELL = (g: SystemBuilder['graph'], soc: Expr): Expr => g.add(g.constant(3), soc);

export function addPlainBattery(b: SystemBuilder, node: CircuitNode, request: Partial<BatteryRequest> = {}) {
  return addBattery(b, 'pack', node, b.reference, { cells: 6, capacity_Ah: 3, soc: 0.95, openCircuit: STRAIGHT_CELL, resistance_ohm: 0.02, slow: [], ...request });
}

export function plainMotor(request: Partial<MotorRequest> = {}): MotorRequest {
  return {
    winding: { resistance_ohm: 0.05, reference_C: 25, coefficient_per_K: 0.00393 },
    inductance_H: 2e-5, torqueConstant_Nm_A: 0.02, inertia_kgm2: 2e-3, viscous_Nms: 0, coulomb_Nm: 0, ...request,
  };
}

/** Sets a parameter at a time. */
export function setting(time: number, parameter: number, value: number): ScheduledAction {
  return { time, kind: 'setting', action: (run) => (run.parameters[parameter] = value) };
}

/** Notes when a watched scalar first reaches a level. */
export function reaches(name: string, watch: number, level: number): Automaton {
  let seen = false;
  return {
    name,
    distance: (watched) => (seen ? -1 : watched[watch]! - level),
    fire(run) {
      seen = true;
      run.note(name, run.watched[watch]!);
    },
  };
}

export function timeOf(run: Run, what: string): number {
  return run.notes.find((note) => note.what === what)?.time ?? Infinity;
}
