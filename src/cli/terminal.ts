import { styleText } from 'node:util';
import type { Verdict } from '../questions/answer.ts';

export type Ink = 'bold' | 'red' | 'yellow' | 'green' | 'cyan' | 'dim';

/** Where the program writes. */
export interface Terminal {
  readonly columns: number;
  /** Whether progress may be shown on standard error. */
  readonly showsProgress: boolean;
  readonly ink: (ink: Ink, text: string) => string;
  readonly write: (text: string) => void;
  readonly writeError: (text: string) => void;
  /** Milliseconds from some start, for progress only. */
  readonly clock_ms: () => number;
}

/** Narrower than this, tables cannot be laid out; wider, lines cannot be read. */
const NARROWEST = 44;
const WIDEST = 100;

const MARKS = {
  good: ['[good]', ['green']],
  marginal: ['[MARGINAL]', ['bold', 'yellow']],
  bad: ['[BAD]', ['bold', 'red']],
  'cannot tell': ['[?]', ['cyan']],
} as const satisfies Readonly<Record<Verdict, readonly [string, readonly Ink[]]>>;

/** The widest mark, so that questions start in one column. */
export const MARK_WIDTH = Math.max(...Object.values(MARKS).map(([mark]) => mark.length));

/** The terminal of this process. */
export function processTerminal(): Terminal {
  return {
    columns: Math.min(WIDEST, Math.max(NARROWEST, (process.stdout.isTTY ? process.stdout.columns : undefined) || 80)),
    showsProgress: process.stderr.isTTY,
    ink: (ink, text) => styleText(ink, text, { stream: process.stdout }),
    write: (text) => void process.stdout.write(text),
    writeError: (text) => void process.stderr.write(text),
    clock_ms: () => performance.now(),
  };
}

/** A verdict's mark, padded to the width of the widest: told apart by word and case before colour. */
export function markOf(verdict: Verdict, { ink }: Pick<Terminal, 'ink'>, width = MARK_WIDTH): string {
  const [mark, inks] = MARKS[verdict];
  // One ink at a time: given a list, Node 20 colours even where colour is switched off.
  return inks.reduce((text: string, one) => ink(one, text), mark) + ' '.repeat(Math.max(0, width - mark.length));
}
