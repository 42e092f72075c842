import { expect } from 'vitest';
import { nominalParameters, type Model } from '../../src/engine/model.ts';
import type { Outcome } from '../../src/engine/outcome.ts';
import { simulate, type Run, type RunRequest } from '../../src/engine/simulate.ts';

/** What a test may leave out of a run: nominal parameters, every device's own initial value, no automata, no script. */
export type RunSketch = Pick<RunRequest, 'model' | 'end_s'> & Partial<RunRequest>;

export function initialUnknowns(model: Model): Float64Array {
  return Float64Array.from(model.system.unknowns, (unknown) => unknown.initial);
}

export function attemptRun(sketch: RunSketch): Outcome<Run> {
  return simulate({
    parameters: nominalParameters(sketch.model),
    initial: initialUnknowns(sketch.model),
    automata: [],
    script: [],
    ...sketch,
  });
}

/** Runs a circuit that has to succeed; no number of the result may be other than finite. */
export function runToEnd(sketch: RunSketch): Run {
  const outcome = attemptRun(sketch);
  if (outcome.status === 'refused') {
    const { cause, time, where, detail } = outcome.refusal;
    expect.fail(`refused at ${time} s: ${cause} (${where}; ${detail})`);
  }
  expect(notFinite(outcome.result)).toEqual([]);
  return outcome.result;
}

/** Names of the parts of a result that hold something other than finite numbers. */
export function notFinite(run: Run): string[] {
  const { balance } = run;
  const parts: Record<string, Iterable<number>> = {
    end: [run.end_s],
    unknowns: run.unknowns,
    parameters: run.parameters,
    watched: run.watched,
    notes: run.notes.flatMap((note) => [note.time, note.value]),
    peaks: run.peaks.flatMap((peak) => [peak.value, peak.time]),
    recording: [...run.recording.time_s, ...run.recording.curves.flat()],
    balance: [balance.delivered_J, balance.lost_J, balance.toLoads_J, balance.storedBefore_J, balance.storedAfter_J, balance.imbalance],
  };
  return Object.keys(parts).filter((name) => ![...parts[name]!].every(Number.isFinite));
}
