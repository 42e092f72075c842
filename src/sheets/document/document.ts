import type { Evidence, Verdict } from '../../questions/answer.ts';
import type { Sheet } from '../drawing/shapes.ts';

/** What a paper is made of; each format renders the same blocks. */
export interface Paper {
  /** Name of the paper, without the machine: `Wire list`. */
  readonly title: string;
  readonly stamp: Stamp;
  /**
   * `card`: one page in type as big as fits; `wide`: pages on their side, for broad tables; `drawing`: a page for each
   * figure, which has its own border and title block.
   */
  readonly layout: 'page' | 'wide' | 'card' | 'drawing';
  /** What the paper is, in a sentence under its title. */
  readonly lead: string;
  readonly blocks: readonly Block[];
}

/** What tells one print from another. Nothing here comes from a clock. */
export interface Stamp {
  readonly machine: string;
  readonly revision: string | undefined;
  /** As the user gave it. */
  readonly date: string | undefined;
  /** Of the machine file's text. */
  readonly fingerprint: string;
  /** Version of the program. */
  readonly version: string;
}

export type Block =
  | { readonly type: 'heading'; readonly text: string }
  | { readonly type: 'paragraph'; readonly text: string; readonly strong?: true }
  | { readonly type: 'list'; readonly title: string; readonly lines: readonly string[] }
  | { readonly type: 'facts'; readonly title: string; readonly facts: readonly Fact[] }
  | Table
  | StepList
  /** Lines that the crew ticks by hand. */
  | { readonly type: 'boxes'; readonly title: string; readonly lines: readonly string[] }
  | { readonly type: 'caution'; readonly text: string }
  | { readonly type: 'verdict'; readonly verdict: Verdict; readonly question: string; readonly says: string }
  | Labels
  | Figure
  | { readonly type: 'chart'; readonly plot: Extract<Evidence, { type: 'plot' }> }
  /** Rules to write on, each with its word. */
  | { readonly type: 'blanks'; readonly names: readonly string[] };

export interface Fact {
  readonly name: string;
  readonly value: string;
}

export interface Column {
  /** With its unit where every cell has the same: `Length, m`. */
  readonly name: string;
  /** Figures stand at the right edge. */
  readonly figures?: true;
}

export interface Table {
  readonly type: 'table';
  readonly title: string;
  readonly columns: readonly Column[];
  /** As many cells as columns; the first names the row. A cell of `EMPTY_BOX` is a box to tick. */
  readonly rows: readonly (readonly string[])[];
}

/** A cell that the crew ticks. */
export const EMPTY_BOX = '\u2610';

export interface StepList {
  readonly type: 'steps';
  readonly title: string;
  /** Names of the columns that steps have besides number, who and what; at most two. */
  readonly expects: string;
  readonly otherwise: string;
  /** Number of the first step. */
  readonly first: number;
  /** Names over the pictures, where the steps have some. */
  readonly pictured?: Sheet;
  readonly steps: readonly CardStep[];
}

export interface CardStep {
  readonly who: string;
  readonly does: string;
  /** How, or for how long. */
  readonly detail: string;
  /** What must be seen, read or heard. */
  readonly expect: string;
  readonly otherwise: string;
  /** How things stand after it. */
  readonly picture?: Sheet;
}

/** Stickers to cut out. */
export interface Labels {
  readonly type: 'labels';
  readonly title: string;
  readonly labels: readonly { readonly head: string; readonly text: string }[];
}

/** A drawing: its shapes, title and description are those of the sheet. */
export interface Figure {
  readonly type: 'figure';
  readonly sheet: Sheet;
}

/** The tables of a paper, in order. */
export function tablesOf({ blocks }: Paper): readonly Table[] {
  return blocks.filter((block) => block.type === 'table');
}

/** The same table without columns in which no row has anything, as people read it; a spreadsheet keeps them. */
export function filled(table: Table): Table {
  const kept = table.columns.flatMap((_, at) => (table.rows.length === 0 || at === 0 || table.rows.some((row) => (row[at] ?? '') !== '') ? [at] : []));
  return kept.length === table.columns.length ? table : { ...table, columns: kept.map((at) => table.columns[at]!), rows: table.rows.map((row) => kept.map((at) => row[at] ?? '')) };
}

/** `revision B, 2026-11-25, file id k3f9a2m7qx`; leaves out what was not given. */
export function stampWords({ revision, date, fingerprint }: Stamp): string {
  return [...(revision === undefined ? [] : [`revision ${revision}`]), ...(date === undefined ? [] : [date]), `file id ${fingerprint}`].join(', ');
}
