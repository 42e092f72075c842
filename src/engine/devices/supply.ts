import type { Automaton, RunControl } from '../automaton.ts';
import type { Expr } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';
import { smoothMinimum } from './motor.ts';

export interface ConverterRequest {
  /** Drawn from its output, W; its input draws this over the efficiency. */
  readonly load_W: number;
  readonly efficiency: number;
  readonly output_V: number;
  /** Input at which it starts, and below which it can no longer hold its output. */
  readonly start_V: number;
  readonly dropOut_V: number;
  /** How long its output stands after that, s (capacitors behind it). */
  readonly holdUp_s: number;
  readonly runningAtStart: boolean;
}

export interface ConverterHandle {
  /** Parameters. */
  readonly load: number;
  readonly output: number;
  readonly start: number;
  readonly dropOut: number;
  readonly holdUp: number;
  readonly running: number;
  /** 1 while its output stands. */
  readonly standing: number;
  /** The same as a term of other equations. */
  readonly stands: Expr;
  /** Watches: its output, V; its input, V. */
  readonly railWatch: number;
  readonly inputWatch: number;
  readonly automaton: Automaton;
}

/**
 * A switching converter: constant power in while it runs, its output there or gone. Under the drop-out voltage it stops
 * drawing, and its output falls away after the hold-up time unless the input comes back above the start voltage first.
 */
export function addConverter(b: SystemBuilder, name: string, positive: CircuitNode, negative: CircuitNode, request: ConverterRequest): ConverterHandle {
  const g = b.graph;
  const load = b.parameter(`${name} load`, request.load_W);
  const efficiency = b.parameter(`${name} efficiency`, request.efficiency);
  const output = b.parameter(`${name} output`, request.output_V);
  const start = b.parameter(`${name} start voltage`, request.start_V).index;
  const dropOut = b.parameter(`${name} drop-out voltage`, request.dropOut_V).index;
  const holdUp = b.parameter(`${name} hold-up time`, request.holdUp_s).index;
  const running = b.parameter(`${name} running`, request.runningAtStart ? 1 : 0);
  const standing = b.parameter(`${name} output stands`, request.runningAtStart ? 1 : 0);
  const since = b.parameter(`${name} stopped at`, 0).index;
  const across = g.subtract(positive.voltage, negative.voltage);
  const current = g.divide(g.multiply(running.value, g.divide(load.value, efficiency.value)), g.smoothMaximum(across, g.one, g.constant(0.1)));
  b.flow(positive, negative, current);
  b.account('load', g.multiply(across, current));
  const inputWatch = b.watch(`${name} input`, across);
  const railWatch = b.watch(`${name} output`, g.multiply(standing.value, output.value));
  const automaton: Automaton = {
    name,
    distance: (w, p) => (p[running.index] === 1 ? p[dropOut]! - w[inputWatch]! : w[inputWatch]! - p[start]!),
    fire(run) {
      const p = run.parameters;
      if (p[running.index] === 0) {
        p[running.index] = 1;
        if (p[standing.index] === 0) run.note(`${name} output comes`, run.watched[inputWatch]!);
        p[standing.index] = 1;
        return;
      }
      p[running.index] = 0;
      p[since] = run.time;
      const stopped = run.time;
      run.note(`${name} drops out`, run.watched[inputWatch]!);
      run.schedule(stopped + p[holdUp]!, (later) => {
        if (later.parameters[running.index] === 1 || later.parameters[since] !== stopped) return;
        later.parameters[standing.index] = 0;
        later.note(`${name} output goes`, later.watched[inputWatch]!);
      });
    },
  };
  return { load: load.index, output: output.index, start, dropOut, holdUp, running: running.index, standing: standing.index, stands: standing.value, railWatch, inputWatch, automaton };
}

export interface RegulatorHandle {
  /** Parameters: current drawn, A; output, V; what it must keep between input and output, V. */
  readonly current: number;
  readonly output: number;
  readonly headroom: number;
  readonly railWatch: number;
}

/** A linear regulator: draws what its load draws; its output follows the input down when that comes too near. */
export function addRegulator(b: SystemBuilder, name: string, positive: CircuitNode, negative: CircuitNode, values: { readonly current_A: number; readonly output_V: number; readonly headroom_V: number }): RegulatorHandle {
  const g = b.graph;
  const current = b.parameter(`${name} current`, values.current_A);
  const output = b.parameter(`${name} output`, values.output_V);
  const headroom = b.parameter(`${name} headroom`, values.headroom_V);
  const across = g.subtract(positive.voltage, negative.voltage);
  const left = g.smoothMaximum(g.subtract(across, headroom.value), g.zero, g.constant(0.02));
  const rail = smoothMinimum(g, output.value, left, g.constant(0.02));
  // Below a volt at its output what it feeds draws nothing any more.
  const drawn: Expr = g.multiply(current.value, g.tanh(rail));
  b.flow(positive, negative, drawn);
  b.account('load', g.multiply(across, drawn));
  return { current: current.index, output: output.index, headroom: headroom.index, railWatch: b.watch(`${name} output`, rail) };
}

export interface ReceiverRequest {
  /** Rail below which it is lost, and back above which it begins to come again, V. */
  readonly brownOut_V: number;
  readonly recover_V: number;
  /** How long it bears that, and how long it needs until the machine obeys again, s. */
  readonly tolerance_s: number;
  readonly back_s: number;
}

export interface ReceiverHandle {
  /** Parameters. */
  readonly brownOut: number;
  readonly recover: number;
  readonly tolerance: number;
  readonly back: number;
  /** 1 while the machine obeys; number of losses; time without control so far, s, without the loss that still lasts. */
  readonly inControl: number;
  readonly losses: number;
  readonly timeWithout: number;
  readonly lostAt: number;
  readonly automaton: Automaton;
}

/**
 * A receiver on a rail: lost when the rail stays under its threshold longer than it bears, back a while after the rail is.
 * @param rail    watch of the rail's voltage
 * @param change  told of every loss and return (drives let go, throttles fall to nothing)
 */
export function addReceiver(b: SystemBuilder, name: string, rail: number, request: ReceiverRequest, change: (run: RunControl, inControl: boolean) => void = () => undefined): ReceiverHandle {
  const at = (what: string, value: number): number => b.parameter(`${name} ${what}`, value).index;
  const brownOut = at('brown-out voltage', request.brownOut_V);
  const recover = at('recovery voltage', request.recover_V);
  const tolerance = at('tolerance', request.tolerance_s);
  const back = at('time to come back', request.back_s);
  const inControl = at('in control', 1);
  const losses = at('losses', 0);
  const timeWithout = at('time without control', 0);
  const lostAt = at('lost at', 0);
  const low = at('rail is low', 0);
  const since = at('rail changed at', 0);
  const automaton: Automaton = {
    name,
    distance: (w, p) => (p[low] === 1 ? w[rail]! - p[recover]! : p[brownOut]! - w[rail]!),
    fire(run) {
      const p = run.parameters;
      const falls = p[low] === 0;
      p[low] = falls ? 1 : 0;
      p[since] = run.time;
      const changed = run.time;
      const stands = (later: RunControl): boolean => later.parameters[since] === changed && (later.parameters[low] === 1) === falls;
      if (falls && p[inControl] === 1)
        run.schedule(changed + p[tolerance]!, (later) => {
          const q = later.parameters;
          if (!stands(later) || q[inControl] === 0) return;
          q[inControl] = 0;
          q[losses] = q[losses]! + 1;
          q[lostAt] = later.time;
          later.note(`${name} loses control`, later.watched[rail]!);
          change(later, false);
        });
      if (!falls && p[inControl] === 0)
        run.schedule(changed + p[back]!, (later) => {
          const q = later.parameters;
          if (!stands(later)) return;
          q[inControl] = 1;
          q[timeWithout] = q[timeWithout]! + later.time - q[lostAt]!;
          later.note(`${name} is back`, later.time - q[lostAt]!);
          change(later, true);
        });
    },
  };
  return { brownOut, recover, tolerance, back, inControl, losses, timeWithout, lostAt, automaton };
}
