/** What the program tells a script when it ends; documented in docs/command-line.md and in the help. */
export const EXIT = {
  /** Every answer is good or marginal. */
  fine: 0,
  /** Some answer is bad. */
  bad: 1,
  /** The machine file has errors or cannot be read. */
  file: 2,
  /** The command was used wrongly. */
  usage: 3,
  /** No verdict: numbers refused, an input missing, or a fault of the program. */
  none: 4,
  /** Stopped with Ctrl-C after showing what was found so far: 128 and the number of that signal, as shells have it. */
  interrupted: 130,
} as const;

export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

/** A mistake of the user, with the words that explain it and the code that the program ends with. */
export class Mistake extends Error {
  readonly code: ExitCode;

  constructor(message: string, code: ExitCode) {
    super(message);
    this.code = code;
  }
}
