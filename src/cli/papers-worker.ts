import { readMachine } from '../machine/file/read.ts';
import { askQuestions } from '../questions/ask.ts';
import type { MadeFile } from './made-files.ts';
import { draw } from './papers-drawing.ts';
import { makePapers, type PapersJob } from './papers-making.ts';

/** Runs in a worker thread: everything for one machine. */
export function papers(job: PapersJob): Promise<readonly MadeFile[]> {
  return makePapers(job, { readMachine, ask: askQuestions, draw });
}
