import type { FileEdit } from '../../machine/edit.ts';
import type { Issue } from '../../machine/file/issue.ts';
import type { Machine } from '../../machine/machine.ts';
import type { Rebuilt } from '../../machine/rebuild/rebuild.ts';
import type { Rebuild } from '../../machine/rebuild/wish.ts';
import type { Answer } from '../../questions/answer.ts';
import type { NoReplay, Owner, Replay, RunName } from '../../questions/replay/replay.ts';
import type { NumberedRecord } from '../../questions/spread.ts';
import type { Changeables, NamedSituation, SituationLook } from '../../questions/states/look.ts';
import type { Figure } from '../../sheets/drawing/situation.ts';
import type { PageFormat } from '../../sheets/drawing/frame.ts';
import type { PaperId } from '../../sheets/papers.ts';
import type { Lane } from './lanes.ts';

/** What the asking worker is told. A newer request ends the one before it. */
export interface AskMessage {
  readonly request: number;
  readonly text: string;
  readonly samples: number;
  readonly seed: number;
  /** Question that is looked at, to be answered first. */
  readonly first?: string;
  /** Which of the questions this worker answers. */
  readonly lane: Lane;
}

/** Power-ups of the spread, run by the other worker. */
export interface RecordsMessage {
  readonly request: number;
  readonly records: readonly NumberedRecord[];
}

/** How far an answer has come: at the machine's own values; with what to change; with its spread. */
export type Stage = 'first' | 'advised' | 'spread';

export type AskReport =
  | { readonly request: number; readonly report: 'answer'; readonly answer: Answer; readonly stage: Stage }
  | { readonly request: number; readonly report: 'progress'; readonly done: number; readonly of: number }
  | { readonly request: number; readonly report: 'records'; readonly records: readonly NumberedRecord[] }
  | { readonly request: number; readonly report: 'done' }
  | { readonly request: number; readonly report: 'no machine' }
  | { readonly request: number; readonly report: 'fault'; readonly message: string };

/** What the page's own text of a file is to the reader. */
export type ReadText =
  | { readonly ok: true; readonly machine: Machine; readonly questions: readonly Issue[]; readonly changeables: Changeables }
  | { readonly ok: false; readonly issues: readonly Issue[] };

export type BenchRequest =
  | { readonly does: 'read'; readonly text: string }
  | { readonly does: 'edit'; readonly text: string; readonly edits: readonly FileEdit[] }
  | { readonly does: 'rebuild'; readonly text: string; readonly wish: Rebuild }
  | { readonly does: 'look'; readonly text: string; readonly situation: NamedSituation };

export type Edited = { readonly ok: true; readonly text: string } | { readonly ok: false; readonly why: string };

export interface BenchAnswers {
  readonly read: ReadText;
  readonly edit: Edited;
  readonly rebuild: Rebuilt;
  readonly look: SituationLook | undefined;
}

/** Figures of a moment of a run, and what they are of. */
export interface OwnedFigures {
  readonly owner: Owner;
  readonly figures: readonly Figure[];
}

/** Runs of a machine to be looked at over time: those of its procedure, or its match. */
export interface ReplayRequest {
  readonly text: string;
  readonly of: 'procedure' | 'match';
}

export type Replays = Readonly<Partial<Record<RunName, Replay | NoReplay>>>;

/** The drawing of a machine, in a situation where there is one. */
export interface DrawRequest {
  readonly does: 'draw';
  readonly text: string;
  /** Width over height of the place for it. */
  readonly aspect: number;
  readonly situation: { readonly named: NamedSituation; readonly look: SituationLook; readonly words: string; readonly figures: readonly OwnedFigures[] } | undefined;
  /** Part whose feeding path is lit, and parts that an open answer is about. */
  readonly lit: readonly string[];
}

export interface Drawn {
  readonly svg: string;
  /** By what the drawing calls a lead, its name in the machine (`leadName`). */
  readonly leads: Readonly<Record<string, string>>;
  readonly width_mm: number;
  readonly height_mm: number;
}

/** The machine's papers, or the one page that holds most of them, from answers that have been given. */
export interface PapersRequest {
  readonly does: 'papers' | 'share';
  readonly text: string;
  readonly answers: readonly Answer[];
  readonly samples: number;
  readonly seed: number;
  readonly revision: string | undefined;
  readonly date: string | undefined;
  readonly size: PageFormat;
}

export interface MadePaper {
  readonly id: PaperId;
  readonly title: string;
  /** Wider than high. */
  readonly wide: boolean;
  /** To be shown inside another page. */
  readonly body: string;
  /** A page of its own. */
  readonly html: string;
  /** The same as a table, where it is one. */
  readonly csv: string | undefined;
}

export interface MadePapers {
  readonly style: string;
  readonly papers: readonly MadePaper[];
}
