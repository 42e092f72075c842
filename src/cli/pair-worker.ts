import { readMachine } from '../machine/file/read.ts';
import { limitsOf } from '../questions/soft-start-heat.ts';
import { FailureStudy } from '../questions/states/failure-effects.ts';
import { PairSearch, type PairRow } from '../questions/states/failure-pairs.ts';

/** What a thread is asked: one row of pairs of the machine in this text. */
export interface PairTask {
  readonly text: string;
  readonly row: number;
}

let known: { text: string; search: PairSearch } | undefined;

/** Runs in a worker thread; keeps the machine between tasks. */
export function pairRow({ text, row }: PairTask): PairRow {
  if (known?.text !== text) {
    const file = readMachine(text);
    if (!file.ok) throw new Error('the machine file has errors');
    const { machine } = file;
    known = { text, search: new PairSearch(new FailureStudy(machine, (resistor) => limitsOf({ machine }, resistor))) };
  }
  return known.search.row(row);
}
