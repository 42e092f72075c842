import type { RunControl } from './automaton.ts';
import type { ScheduledAction } from './simulate.ts';

/** Parameters that are held between given times: throttles of a duty, a logged current. */
export interface HeldInputs {
  /** Rising, s. */
  readonly time_s: Float64Array;
  readonly columns: readonly { readonly parameter: number; readonly values: Float64Array }[];
  /** Kind of event for the remembered first step. */
  readonly kind?: string;
}

/**
 * One action that plays a table into parameters, row by row, each held until the next. It asks for its next row when it
 * has played one, so a table of thousands of rows costs a run no list of actions; rows that change nothing are skipped,
 * because a restart costs steps.
 * @throws RangeError when the lists differ in length, are empty or time does not rise
 */
export function heldInputs({ time_s, columns, kind = 'held inputs' }: HeldInputs): ScheduledAction {
  const rows = time_s.length;
  if (!(rows > 0 && columns.every(({ values }) => values.length === rows)))
    throw new RangeError(`inputs: expected columns as long as time, at least 1, got ${columns.map(({ values }) => values.length).join(', ')} and ${rows}`);
  for (let k = 1; k < rows; k++) if (!(time_s[k]! > time_s[k - 1]!)) throw new RangeError(`inputs: expected time to rise, got ${time_s[k - 1]} then ${time_s[k]}`);
  let row = 0;
  const play = (run: RunControl): void => {
    for (let c = 0; c < columns.length; c++) run.parameters[columns[c]!.parameter] = columns[c]!.values[row]!;
    const next = nextChange(columns, row, rows);
    if (next === rows) return;
    row = next;
    run.schedule(time_s[row]!, play, kind);
  };
  return {
    time: time_s[0]!,
    kind,
    action(run) {
      row = 0;
      play(run);
    },
  };
}

function nextChange(columns: HeldInputs['columns'], row: number, rows: number): number {
  for (let next = row + 1; next < rows; next++)
    for (let c = 0; c < columns.length; c++) if (columns[c]!.values[next] !== columns[c]!.values[row]) return next;
  return rows;
}
