import type { FileResult } from '../machine/file/read.ts';
import type { Answer } from '../questions/answer.ts';
import type { AskRequest, QuestionId } from '../questions/ask.ts';
import type { Terminal } from './terminal.ts';

/** What the commands take from outside themselves; main.ts hands in the real ones. */
export interface Services {
  readonly terminal: Terminal;
  readonly version: string;
  /** The package's folder, which holds the demo machines. */
  readonly packageFolder: string;
  /** Where the user stands. */
  readonly workFolder: string;
  readonly questionIds: readonly QuestionId[];
  readonly readMachine: (text: string) => FileResult;
  /** Asks a person and waits for a line; undefined at the end of input. There only where somebody sits at a terminal. */
  readonly prompt?: (question: string) => Promise<string | undefined>;
  readonly ask: (request: AskRequest) => Promise<readonly Answer[]>;
}
