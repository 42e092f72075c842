import { quoted } from '../../quantity/scan.ts';

/** One thing about a machine file that needs a person. `error` stops reading; `question` is a likely slip. */
export interface Issue {
  readonly line: number;
  readonly column: number;
  /** Id of the part that it is about. */
  readonly part?: string;
  /** Words of the field, or the path of what is no part: `wiring.drive`. */
  readonly field?: string;
  /** `expected` and `found` complete the sentence "expected …, found …". */
  readonly expected: string;
  readonly found: string;
  readonly hint?: string;
  readonly severity: 'error' | 'question';
}

/** A place in the file, both counted from 1. */
export interface Place {
  readonly line: number;
  readonly column: number;
}

/** What an issue is about, besides its place. */
export interface About {
  readonly part?: string;
  readonly field?: string;
}

/** A file made to exhaust its reader gets no longer an answer than a person can use. */
const MOST = 200;

/** Collects what is wrong with one file, in the order in which it was noticed. */
export class Issues {
  readonly #found: Issue[] = [];
  #errors = 0;

  error(at: Place, about: About, expected: string, found: string, hint?: string): void {
    this.#errors += 1;
    this.#add('error', at, about, expected, found, hint);
  }

  question(at: Place, about: About, expected: string, found: string, hint?: string): void {
    this.#add('question', at, about, expected, found, hint);
  }

  get errors(): number {
    return this.#errors;
  }

  /** In the order of the file. */
  all(): readonly Issue[] {
    return this.#found.toSorted((a, b) => a.line - b.line || a.column - b.column);
  }

  #add(severity: Issue['severity'], at: Place, about: About, expected: string, found: string, hint: string | undefined): void {
    if (this.#found.length >= MOST) return;
    this.#found.push({ line: at.line, column: at.column, ...about, expected, found, ...(hint === undefined ? {} : { hint }), severity });
  }
}

/** `machines/x.yaml:12:18: parts.F1.rating: expected a current above 0 A like "150 A", found "-30 A"; did you mean …`. */
export function formatIssue(issue: Issue, fileName: string): string {
  const path = [issue.part === undefined ? undefined : `parts.${visible(issue.part)}`, issue.field === undefined ? undefined : visible(issue.field)]
    .filter((piece) => piece !== undefined).join('.');
  const head = `${fileName}:${issue.line}:${issue.column}: ${path === '' ? '' : `${path}: `}${issue.severity === 'question' ? 'question: ' : ''}`;
  return `${head}expected ${issue.expected}, found ${issue.found}${issue.hint === undefined ? '' : `; ${issue.hint}`}`;
}

/** Names come from the file: what could disturb a terminal is escaped, what is too long is cut. */
function visible(name: string): string {
  return quoted(name).slice(1, -1);
}
