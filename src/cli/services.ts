import type { FileResult } from '../machine/file/read.ts';
import type { Machine } from '../machine/machine.ts';
import type { Answer } from '../questions/answer.ts';
import type { AskRequest } from '../questions/ask.ts';
import type { QuestionId } from '../questions/catalogue.ts';
import type { Stamp } from '../sheets/document/document.ts';
import type { PageFormat } from '../sheets/drawing/frame.ts';
import type { Sheet } from '../sheets/drawing/shapes.ts';
import type { BoundPage, BoundPageOptions } from './server/server.ts';
import type { MatchThreads } from './match-threads.ts';
import type { PairThreads } from './pair-threads.ts';
import type { PapersThreads } from './papers-threads.ts';
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
  /** Serves the page; there only where it can be. */
  readonly serve?: {
    readonly page: (options: BoundPageOptions) => Promise<BoundPage>;
    /** Waits until the user ends the program. */
    readonly untilEnded: () => Promise<void>;
  };
  /** Worker threads for many matches; undefined where they are not worth it or not there. */
  readonly matchThreads?: (matches: number) => Promise<MatchThreads | undefined>;
  /** Worker threads for a search over pairs of failures; undefined where they are not worth it or not there. */
  readonly pairThreads?: (cases: number) => Promise<PairThreads | undefined>;
  /** Worker threads for the papers of many machines; undefined where they are not worth it or not there. */
  readonly papersThreads?: (machines: number) => Promise<PapersThreads | undefined>;
  /** Has something done instead of ending when the user presses Ctrl-C; returns what puts that back. */
  readonly onInterrupt?: (stop: () => void) => () => void;
  /** Draws a machine; the papers are without a drawing where it is not there. */
  readonly draw?: (machine: Machine, stamp: Stamp, format: PageFormat) => Promise<readonly Sheet[]>;
}
