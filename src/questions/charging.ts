import type { Automaton } from '../engine/automaton.ts';
import { closeContact } from '../engine/devices/branch.ts';
import { simulate, type Run } from '../engine/simulate.ts';
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
  /** The load at which it hangs. */
  readonly stuckAt: string | undefined;
  /** Voltage of the charged point at the end, V. */
  readonly end_V: number;
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
  /** Goes on through hiccups, and no longer than this, for a picture, s. */
  readonly pictured_s?: number;
  readonly tolerance?: number;
}

/** A load that has started this often without staying on is taken to go on so for ever. */
const HICCUPS = 4;
/** Time constants of resistor and banks to wait for an end. */
const TIME_CONSTANTS = 14;
/** A run has come to its end when over the last share of its time nothing switched and the bus moved by less than this share of the source. */
const LAST_SHARE = 1 / 7;
const CALM = 1e-4;
/** How many times longer a run may take to get there. */
const MOST_PATIENCE = 64;

/** What has switched this often (a brake resistor at its threshold) goes on so: waiting longer shows nothing new. */
const RESTLESS = 200;

/** How long after its touch a soft start is looked at for what is missing, s: leads and stray capacitances settle in microseconds. */
const ARMED_S = 1e-4;

/** Holds a soft start until it settles, hiccups or hangs. */
export function charge(request: ChargingRequest): Charging {
  const { circuit, softStart, values } = request;
  const parameters = circuit.parametersFor(values);
  connect(circuit, parameters, request.closed);
  for (const load of softStart.standby) parameters[load.draws] = load.current(values);
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
  // In the first instants the leads ring, and for nanoseconds nothing seems to be missing.
  let armed = false;
  const arrival: Automaton = {
    name: 'arrival',
    distance: (w) => (armed && reached === undefined ? request.target_V - w[missing]! : -1),
    fire: (run) => (reached = run.time),
  };
  const starts = new Map<string, number>();
  let hiccup: string | undefined;
  let switched_s = 0;
  const counted = softStart.starting.map((load): Automaton => {
    const { automaton } = load.handle;
    return {
      name: automaton.name,
      distance: (w, p) => automaton.distance(w, p),
      fire(run) {
        automaton.fire(run);
        switched_s = run.time;
        if (run.parameters[load.handle.started] !== 1) return;
        const count = (starts.get(load.part) ?? 0) + 1;
        starts.set(load.part, count);
        if (count >= HICCUPS) {
          hiccup = load.part;
          if (request.pictured_s === undefined) run.stop();
        }
      },
    };
  });
  const replaced = new Set(softStart.starting.map((load) => load.handle.automaton));
  const touch_s = 1e-4;
  const pictured_s = request.pictured_s ?? Infinity;
  const holdOn = (timeConstants: number): { readonly run: Run; readonly calm: boolean } => {
    const held_s = Math.min(Math.max(0.05, timeConstants * resistance * capacitance), pictured_s);
    const late_s = touch_s + (1 - LAST_SHARE) * held_s;
    let late_V = NaN;
    reached = undefined;
    armed = false;
    switched_s = 0;
    starts.clear();
    const run = trusted(
      simulate({
        model: circuit.model,
        parameters,
        initial,
        end_s: touch_s + held_s,
        automata: [...circuit.automata.filter((a) => !replaced.has(a)), ...counted, arrival],
        script: [
          { time: touch_s, action: (r) => closeContact(r, entry.branch, entry.branch.contacts[entry.contact]!) },
          { time: touch_s + ARMED_S, action: () => (armed = true) },
          { time: late_s, action: (r) => (late_V = r.watched[missing]!) },
        ],
        tolerance: request.tolerance ?? 1e-4,
        ...(request.record === undefined ? {} : { record: request.record }),
      }),
    );
    return { run, calm: switched_s < late_s && Math.abs(run.watched[missing]! - late_V) <= CALM * supply_V };
  };
  // Just past the fold the bus lingers for many time constants before it falls, just below it creeps as long to its rest.
  let patience = 1;
  let held = holdOn(TIME_CONSTANTS);
  while (hiccup === undefined && !held.calm && patience < MOST_PATIENCE && held.run.end_s < pictured_s && held.run.notes.length < RESTLESS) {
    patience *= 4;
    held = holdOn(patience * TIME_CONSTANTS);
  }
  const { run } = held;
  if (!held.calm) hiccup ??= [...starts].find(([, count]) => count > 1)?.[0];
  const residual = run.watched[missing]!;
  const waiting = softStart.starting.find((load) => run.parameters[load.handle.enabled] === 1 && run.parameters[load.handle.started] === 0);
  const hangs = hiccup === undefined && waiting !== undefined && waiting.start(values) < supply_V;
  return {
    outcome: hiccup !== undefined ? 'hiccups' : hangs ? 'hangs below a start' : 'settles',
    residual_V: residual,
    // Already there when it was first looked at: nothing has to be waited for.
    reached_s: reached === undefined ? undefined : reached <= touch_s + ARMED_S ? 0 : reached - touch_s,
    stuckAt: hiccup ?? (hangs ? waiting.part : undefined),
    end_V: supply_V - residual,
    run,
  };
}

/**
 * Largest resistance with which a soft start settles with every load started, by halving on a log scale.
 * @returns 0 when even a tenth of an ohm hangs, Infinity when a megohm settles
 */
export function largestResistance(request: Omit<ChargingRequest, 'resistance_ohm' | 'record' | 'pictured_s'>, precision = 1e-3): number {
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
