import type { Automaton } from '../engine/automaton.ts';
import { closeContact } from '../engine/devices/branch.ts';
import { simulate, type Run } from '../engine/simulate.ts';
import { findRest, type RestOutcome } from '../engine/steady.ts';
import type { RecordRequest } from '../engine/recorder.ts';
import type { Way } from '../machine/circuit/chains.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import { connect, supplyVoltage, trusted } from './runs.ts';
import type { SoftStart } from './soft-starts.ts';

/** What a soft start does when it is held for as long as it takes. */
export interface Charging {
  readonly outcome: 'settles' | 'hiccups' | 'hangs below a start';
  /** Missing at the main contact at the end (at its best, when it hiccups), V. */
  readonly residual_V: number;
  /** Time until no more than the asked voltage was missing, s; undefined when it never was. */
  readonly reached_s: number | undefined;
  /** How often a load started, in the time simulated. */
  readonly starts: number;
  /** The load at which it hangs. */
  readonly stuckAt: string | undefined;
  /** Voltage of the charged point at the end, V. */
  readonly end_V: number;
  readonly simulated_s: number;
  readonly run: Run;
}

export interface ChargingRequest {
  readonly circuit: Circuit;
  readonly softStart: SoftStart;
  /** Ways closed before it starts. */
  readonly closed: ReadonlySet<Way>;
  readonly values: Float64Array;
  /** Missing voltage whose time is asked for. */
  readonly target_V: number;
  /** Voltage of the banks when it starts, V. */
  readonly initial_V?: number;
  readonly record?: RecordRequest;
  /** Resistance to try instead of the machine's, Ω. */
  readonly resistance_ohm?: number;
  /** Goes on through hiccups for the whole time, for a picture. */
  readonly whole?: boolean;
  readonly tolerance?: number;
}

/** A load that has started this often without staying on is taken to go on so for ever. */
const HICCUPS = 4;
/** Time constants of resistor and banks to wait for an end. */
const TIME_CONSTANTS = 14;
/** Share of the source within which the end of a run counts as its rest, and how much longer a run may take to get there. */
const NEAR = 2e-3;
const MOST_PATIENCE = 64;
const LONG_AGO_S = -1e6;

/** Holds a soft start until it settles, hiccups or hangs. */
export function charge(request: ChargingRequest): Charging {
  const { circuit, softStart, values } = request;
  const parameters = circuit.parametersFor(values);
  connect(circuit, parameters, request.closed);
  const { entry } = softStart;
  const own = values[circuit.inputs.at(`${softStart.resistor}.resistance`)]!;
  const resistance = request.resistance_ohm ?? own;
  for (const branch of circuit.resistors.get(softStart.resistor) ?? []) parameters[branch.resistance]! += resistance - own;
  const capacitance = softStart.banks.reduce((sum, bank) => sum + bank.capacitance(values), 0);
  const initial = new Float64Array(circuit.model.plan.unknowns);
  const supply_V = supplyVoltage(circuit, values);
  for (const bank of circuit.loads.banks) initial[bank.capacitor.voltage] = softStart.banks.includes(bank) ? (request.initial_V ?? 0) : supply_V;

  const main = softStart.mains[0]!;
  const missing = main.way.branch.drivenWatch;
  let reached: number | undefined;
  const arrival: Automaton = {
    name: 'arrival',
    distance: (w, p) => (reached === undefined && p[entry.branch.connected] === 1 ? request.target_V - w[missing]! : -1),
    fire: (run) => (reached = run.time),
  };
  const starts = new Map<string, number>();
  let hiccup: string | undefined;
  const counted = softStart.starting.map((load): Automaton => {
    const { automaton } = load.handle;
    return {
      name: automaton.name,
      distance: (w, p) => automaton.distance(w, p),
      fire(run) {
        automaton.fire(run);
        if (run.parameters[load.handle.started] !== 1) return;
        const count = (starts.get(load.part) ?? 0) + 1;
        starts.set(load.part, count);
        if (count >= HICCUPS) {
          hiccup = load.part;
          if (request.whole !== true) run.stop();
        }
      },
    };
  });
  const replaced = new Set(softStart.starting.map((load) => load.handle.automaton));
  const touch_s = 1e-4;
  const holdOn = (timeConstants: number): Run => {
    reached = undefined;
    starts.clear();
    return trusted(
      simulate({
        model: circuit.model,
        parameters,
        initial,
        end_s: touch_s + Math.max(0.05, timeConstants * resistance * capacitance),
        automata: [...circuit.automata.filter((a) => !replaced.has(a)), ...counted, arrival],
        script: [{ time: touch_s, action: (run) => closeContact(run, entry.branch, entry.branch.contacts[entry.contact]!) }],
        tolerance: request.tolerance ?? 1e-4,
        ...(request.record === undefined ? {} : { record: request.record }),
      }),
    );
  };
  const restAfter = (run: Run): RestOutcome | undefined =>
    hiccup === undefined ? findRest({ model: circuit.model, parameters: longTouched(circuit, run.parameters), guess: run.unknowns, automata: circuit.automata }) : undefined;
  let run = holdOn(TIME_CONSTANTS);
  // The simulated end still creeps by what its last time constants leave; where there is a rest, it is the end.
  let rest = restAfter(run);
  // Near the fold the bus takes many time constants more; a rest that it is still far from may not be the one it goes to.
  const far = (): boolean => rest?.status === 'rest' && starts.size > 0 && Math.abs(rest.rest.watched[missing]! - run.watched[missing]!) > NEAR * supply_V;
  for (let patience = 4; far() && patience <= MOST_PATIENCE; patience *= 4) {
    run = holdOn(patience * TIME_CONSTANTS);
    rest = restAfter(run);
  }
  hiccup ??= restless(softStart, run, rest, starts);
  const residual = hiccup === undefined && rest?.status === 'rest' ? rest.rest.watched[missing]! : run.watched[missing]!;
  const waiting = softStart.starting.find((load) => run.parameters[load.handle.enabled] === 1 && run.parameters[load.handle.started] === 0);
  const hangs = hiccup === undefined && waiting !== undefined && waiting.start(values) < supply_V;
  return {
    outcome: hiccup !== undefined ? 'hiccups' : hangs ? 'hangs below a start' : 'settles',
    residual_V: residual,
    reached_s: reached === undefined ? undefined : Math.max(0, reached - touch_s),
    starts: [...starts.values()].reduce((sum, n) => sum + n, 0),
    stuckAt: hiccup ?? (hangs ? waiting.part : undefined),
    end_V: supply_V - residual,
    simulated_s: run.end_s,
    run,
  };
}

/** The parameters with every contact touched long ago: a rest has no time, and a closing contact's law looks back to its touch. */
function longTouched(circuit: Circuit, parameters: Float64Array): Float64Array {
  const settled = Float64Array.from(parameters);
  for (const way of [...circuit.ways.values()].flat()) {
    const { touchedAt, touching } = way.branch.contacts[way.contact]!;
    settled[touchedAt] = LONG_AGO_S;
    settled[touching] = 0;
  }
  return settled;
}

/**
 * A load that will not stay as the simulated end shows it: on, but with no balance above its stop voltage (just past the
 * fold the bus lingers for many time constants before it falls), or stopped after a start and about to start again.
 */
function restless(softStart: SoftStart, run: Run, rest: RestOutcome | undefined, starts: ReadonlyMap<string, number>): string | undefined {
  if (rest === undefined) return undefined;
  const moves = softStart.starting.filter(({ part, handle }) => {
    const on = run.parameters[handle.started] === 1;
    if (!on && !starts.has(part)) return false;
    return rest.status === 'none' || (rest.rest.parameters[handle.started] === 1) !== on;
  });
  const named = rest.status === 'none' ? moves.find((load) => load.part === rest.where) : undefined;
  return (named ?? moves[0])?.part;
}

/**
 * Largest resistance with which a soft start settles with every load started, by halving on a log scale.
 * @returns 0 when even a tenth of an ohm hangs, Infinity when a megohm settles
 */
export function largestResistance(request: Omit<ChargingRequest, 'resistance_ohm' | 'record' | 'whole'>, precision = 1e-3): number {
  const settles = (resistance_ohm: number): boolean => charge({ ...request, resistance_ohm }).outcome === 'settles';
  const own = request.values[request.circuit.inputs.at(`${request.softStart.resistor}.resistance`)]!;
  let low = own;
  let high = own;
  if (settles(own)) {
    do {
      low = high;
      high *= 2;
      if (high > 1e6) return Infinity;
    } while (settles(high));
  } else {
    do {
      high = low;
      low /= 2;
      if (low < 0.1) return 0;
    } while (!settles(low));
  }
  while (high / low > 1 + precision) {
    const middle = Math.sqrt(low * high);
    if (settles(middle)) low = middle;
    else high = middle;
  }
  return Math.sqrt(low * high);
}
