import type { Balance } from '../../engine/balance.ts';
import type { Refusal, Statistics } from '../../engine/outcome.ts';

// What one match did to a machine, as plain data that crosses threads. Times are seconds from the start of the match,
// temperatures °C, everything else SI. Lists keep the order of the machine's parts, the same for every sample, so that
// records of samples may be compared entry by entry.

/** A match that can be judged, or why its numbers cannot be trusted. */
export type MatchOutcome =
  | { readonly status: 'done'; readonly record: MatchRecord }
  | { readonly status: 'refused'; readonly refusal: Refusal; readonly statistics: Statistics };

/** An extreme, its moment, and what the duty asked for then, in words: `push with M1, M2`. */
export interface Extreme {
  readonly value: number;
  readonly time_s: number;
  readonly during: readonly string[];
}

export interface MatchRecord {
  /** Name of the duty, and the seed from which its events were drawn. */
  readonly duty: string;
  readonly seed: number;
  readonly length_s: number;
  /** One for each receiver whose rail comes from the machine. */
  readonly radios: readonly RadioRecord[];
  readonly converters: readonly ConverterRecord[];
  readonly packs: readonly PackRecord[];
  /** Places that branch, and the input of every controller. */
  readonly buses: readonly BusRecord[];
  /** Everything that warms: cables, contacts, fuses, windings, controllers, brake resistors, packs. */
  readonly heats: readonly HeatRecord[];
  readonly fuses: readonly FuseRecord[];
  readonly protections: readonly ProtectionRecord[];
  readonly controllers: readonly ControllerRecord[];
  readonly motors: readonly MotorRecord[];
  /** Energy delivered, lost and stored; the run was refused unless it closes. */
  readonly energy: Balance;
  /** What happened, in order: drop-outs, trips, blown fuses, restarts. */
  readonly notes: readonly { readonly time_s: number; readonly what: string; readonly value: number }[];
  /** When they were asked for. */
  readonly curves: MatchCurves | undefined;
  readonly statistics: Statistics;
}

export interface RadioRecord {
  /** The receiver. */
  readonly part: string;
  /** Its supply rail, V, and where it resets. */
  readonly lowest: Extreme;
  readonly reset_V: number;
  /** Losses of control: the rail stayed too low for longer than the receiver bears. */
  readonly losses: readonly {
    /** When control was lost, and when the machine obeyed again; undefined when it had not by the end. */
    readonly from_s: number;
    readonly until_s: number | undefined;
    readonly during: readonly string[];
  }[];
  /** Time without control in all, a loss that still lasts at the end included. */
  readonly without_s: number;
}

export interface ConverterRecord {
  readonly part: string;
  /** Its input, V, and where it stops. */
  readonly lowest: Extreme;
  readonly stop_V: number;
  /** Moments at which it stopped. */
  readonly stops_s: readonly number[];
}

export interface PackRecord {
  readonly part: string;
  /** Charge taken net of what came back, C, and as a share of its capacity. */
  readonly used_C: number;
  readonly usedShare: number;
  readonly chargeAtEnd: number;
  /** At its own terminals, V. */
  readonly lowest: Extreme;
  readonly highest: Extreme;
  /** The weakest cell, V; the highest is of a mean cell. */
  readonly cellLowest: Extreme;
  readonly cellHighest: Extreme;
  /** Out of it, A; the largest return as a positive figure. */
  readonly peak: Extreme;
  readonly returned: Extreme;
  readonly rms_A: number;
  readonly hottest: Extreme;
}

export interface BusRecord {
  /** A place of the wiring, or the controller whose input it is. */
  readonly point: string;
  readonly lowest: Extreme;
  readonly highest: Extreme;
}

export interface HeatRecord {
  /** Part, or for a cable `chain#k`: the conductor that is item k of that chain. */
  readonly where: string;
  /** As people say it: `drive lead`, `winding of M1`. */
  readonly name: string;
  readonly sort: 'cable' | 'contact' | 'joint' | 'fuse' | 'winding' | 'controller' | 'pack' | 'resistor' | 'diode' | 'switch';
  readonly hottest: Extreme;
  readonly atStart_C: number;
  readonly atEnd_C: number;
  /** What it bears; undefined where nothing says so. */
  readonly limit_C: number | undefined;
  /** Current through it, A. */
  readonly peak_A: number;
  readonly rms_A: number;
  /** Heat capacity, J/K, and the conductance to its surroundings, W/K, as it stands at the end: for cooling between matches. */
  readonly capacity_J_K: number;
  readonly conductance_W_K: number;
}

export interface FuseRecord {
  readonly part: string;
  readonly blows_s: number | undefined;
  /** How near to melting, 0 cold, 1 melts, at the middle of its class's times. */
  readonly warmth: Extreme;
  readonly peak: Extreme;
  readonly rms_A: number;
  /** Largest root-mean-square current over any window of a length; only with curves. */
  readonly envelope: readonly { readonly window_s: number; readonly rms_A: number }[] | undefined;
}

export interface ProtectionRecord {
  readonly part: string;
  readonly trips_s: number | undefined;
  readonly peak: Extreme;
}

export interface ControllerRecord {
  readonly part: string;
  /** Its input, V. */
  readonly lowest: Extreme;
  readonly highest: Extreme;
  /** Moments at which it stopped for want of voltage, and at which it let go because of too much. */
  readonly cutOuts_s: readonly number[];
  readonly overvoltages_s: readonly number[];
  readonly busPeak: Extreme;
  /** Given back, A, as a positive figure. */
  readonly returned: Extreme;
  readonly motorPeak: Extreme;
  readonly motorRms_A: number;
  readonly hottest: Extreme;
  /** Smallest share of its motor current that its temperature left it. */
  readonly leastAllowed: number;
}

export interface MotorRecord {
  readonly part: string;
  readonly controller: string;
  readonly peak_A: number;
  readonly rms_A: number;
  readonly fastest_rad_s: number;
  readonly hottest: Extreme;
  /** Given to hits, J; shared among motors on one controller. */
  readonly hits_J: number;
}

export interface MatchCurves {
  readonly time_s: readonly number[];
  readonly columns: readonly { readonly name: string; readonly unit: 'V' | 'A' | '°C' | 'rad/s' | 'm/s' | '%'; readonly values: readonly number[] }[];
}
