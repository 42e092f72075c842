import { readMachine } from '../machine/file/read.ts';
import type { NumberedMatch } from '../machine/match/spread.ts';
import { sampleHere, type NumberedRecord } from '../questions/spread.ts';
import { fightHere } from '../questions/match-study.ts';
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
  return sampleHere(studied(text), seed, samples);
}

/** Matches of the spread, in the same thread and with the same study. */
export function fight({ text, seed, samples }: SampleTask): readonly NumberedMatch[] {
  return fightHere(studied(text), seed, samples);
}

function studied(text: string): Study {
  if (known?.text !== text) {
    const file = readMachine(text);
    if (!file.ok) throw new Error('the machine file has errors');
    known = { text, study: study(file.machine) };
  }
  return known.study;
}
