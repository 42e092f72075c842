import type { PeakRequest } from '../engine/peaks.ts';
import type { Run } from '../engine/simulate.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import type { Coil } from '../machine/circuit/coils.ts';
import type { Closing, Timeline } from '../machine/circuit/power-up.ts';

/** What a coil saw from the closing of its contactor until it was let go, or until the end. */
export interface CoilSpan {
  readonly part: string;
  /** Why it stayed open, where it did. */
  readonly refused: Closing['refused'];
  /** Lowest voltage across it, V. */
  readonly lowest_V: number;
  /** How often the contactor fell open though it was wanted closed, and closed again. */
  readonly dropOuts: number;
  readonly closedAgain: number;
  /** When it first fell open, s. */
  readonly first_s: number | undefined;
}

/** The lowest voltage of each coil that closes a contactor. */
export function coilPeaks(circuit: Circuit, timeline: Timeline): PeakRequest[] {
  return coilClosings(circuit, timeline).map(({ coil, closing, until_s }) => ({ of: { watch: coil.handle.voltage }, sign: -1, from_s: closing.time_s, until_s }));
}

/** What the coils saw in a run whose last peaks are those of `coilPeaks`. */
export function coilSpans(circuit: Circuit, timeline: Timeline, run: Run): CoilSpan[] {
  const closings = coilClosings(circuit, timeline);
  const firstPeak = run.peaks.length - closings.length;
  return closings.map(({ coil: { part }, closing, until_s }, k) => {
    const times = (what: string): number[] => run.notes.flatMap((note) => (note.what === what && note.time >= closing.time_s && note.time <= until_s ? [note.time] : []));
    const falls = times(`${part} drops out`);
    const first_s = falls[0];
    return { part, refused: closing.refused, lowest_V: run.peaks[firstPeak + k]!.value, dropOuts: falls.length, closedAgain: times(`${part} pulls in`).filter((time) => first_s !== undefined && time > first_s).length, first_s };
  });
}

function coilClosings(circuit: Circuit, timeline: Timeline): { readonly coil: Coil; readonly closing: Closing; readonly until_s: number }[] {
  return timeline.closings.flatMap((closing) => {
    const coil = circuit.coils.find(({ part }) => part === closing.part);
    if (coil === undefined || closing.way.through !== undefined) return [];
    return [{ coil, closing, until_s: Math.min(closing.parted_s ?? Infinity, timeline.end_s) }];
  });
}
