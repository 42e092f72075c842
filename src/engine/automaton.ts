/**
 * A discrete part of a circuit: a latch, a contact, a trip. Its whole state lives in parameters, so that one compiled
 * model serves any number of runs.
 */
export interface Automaton {
  readonly name: string;
  /**
   * At or above zero when it wants to switch now, given watched scalars and parameters. Tested against its state and not
   * for a change of sign between two steps: a projection onto the algebraic equations can move a scalar across.
   */
  distance(watched: Float64Array, parameters: Float64Array): number;
  fire(run: RunControl): void;
}

/** What an event may do to a run. */
export interface RunControl {
  readonly time: number;
  readonly parameters: Float64Array;
  /** Unknowns; a jump of a differential one has to be booked by whoever makes it. */
  readonly unknowns: Float64Array;
  readonly watched: Float64Array;
  /**
   * Does something later in this run; times not after now are done at once, in order of asking. Events of one `kind`
   * restart with the step that the last of them found.
   */
  schedule(time: number, action: (run: RunControl) => void, kind?: string): void;
  /** Ends the run here, as if its end had been asked for. */
  stop(): void;
  /** Writes a line of the run's history. */
  note(what: string, value: number): void;
}

export interface Note {
  readonly time: number;
  readonly what: string;
  readonly value: number;
}
