import { readMachine } from '../machine/file/read.ts';
import { sampleHere, type NumberedRecord } from '../questions/ask.ts';
import { study, type Study } from '../questions/study.ts';

/** What a thread is asked: samples of the machine in this text. */
export interface SampleTask {
  readonly text: string;
  readonly seed: number;
  readonly samples: readonly number[];
}

let known: { text: string; study: Study } | undefined;

/** Runs in a worker thread; keeps the machine's circuit between tasks. */
export function sample({ text, seed, samples }: SampleTask): NumberedRecord[] {
  if (known?.text !== text) {
    const file = readMachine(text);
    if (!file.ok) throw new Error('the machine file has errors');
    known = { text, study: study(file.machine) };
  }
  return sampleHere(known.study, seed, samples);
}
