import { answerPaper, designReport } from './answer-papers.ts';
import { benchCard, emergencyCard, pitCard } from './cards/crew-cards.ts';
import { powerCard } from './cards/power-card.ts';
import type { Paper, Table } from './document/document.ts';
import { tablesOf } from './document/document.ts';
import { drawingPaper } from './drawing-paper.ts';
import { faultsPaper, faultsTable } from './faults-paper.ts';
import { inspectionPaper } from './inspection/inspection-paper.ts';
import { isolationPaper, isolationTable } from './isolation-paper.ts';
import { partsListPaper, partsTableWhole, RATING_QUESTIONS } from './parts-list.ts';
import { answerTo, type PaperSource } from './source.ts';
import { cuttingListPaper, labelsPaper, labelTable, wireListPaper, wireListTable } from './wire-list.ts';

export type PaperId =
  | 'drawing' | 'wire-list' | 'cutting-list' | 'wire-labels' | 'parts-list' | 'power-card' | 'pit-card' | 'bench-card' | 'emergency-card'
  | 'isolation' | 'faults' | 'inspection' | 'match-report' | 'design-report';

interface PaperKind {
  /** Questions whose answers it shows, by their ids; all of them where left out. */
  readonly asks?: readonly string[];
  /** Undefined where there is nothing to put on it. */
  readonly make: (source: PaperSource) => Paper | undefined;
  /** The paper as a table for a spreadsheet, where it is one. */
  readonly table?: (source: PaperSource) => Table | undefined;
}

const firstTable = (make: PaperKind['make']) => (source: PaperSource): Table | undefined => {
  const paper = make(source);
  return paper === undefined ? undefined : tablesOf(paper)[0];
};

const MATCH_QUESTIONS = ['radio', 'pack', 'heat', 'fuses', 'turnaround'] as const;

/** None while nothing but the fuses was asked: no match was played then. */
function matchReport(source: PaperSource): Paper | undefined {
  const played = MATCH_QUESTIONS.some((id) => id !== 'fuses' && answerTo(source, id) !== undefined);
  return played ? answerPaper(source, 'Match report', 'What a match asks of the machine.', MATCH_QUESTIONS) : undefined;
}

/** Every paper, in the order in which they are made. */
export const PAPERS: Readonly<Record<PaperId, PaperKind>> = {
  drawing: { asks: [], make: drawingPaper },
  'wire-list': { asks: ['heat'], make: wireListPaper, table: wireListTable },
  'cutting-list': { asks: [], make: cuttingListPaper, table: (source) => tablesOf(cuttingListPaper(source))[1] },
  'wire-labels': { asks: [], make: labelsPaper, table: labelTable },
  'parts-list': { asks: RATING_QUESTIONS, make: partsListPaper, table: partsTableWhole },
  'power-card': { asks: ['spark', 'hold', 'soft-start', 'discharge'], make: powerCard },
  'pit-card': { asks: ['discharge', 'turnaround'], make: pitCard },
  'bench-card': { asks: ['programming'], make: benchCard },
  'emergency-card': { asks: ['discharge'], make: emergencyCard },
  isolation: { asks: ['isolation'], make: isolationPaper, table: isolationTable },
  faults: { asks: ['faults'], make: faultsPaper, table: faultsTable },
  inspection: { make: inspectionPaper, table: firstTable(inspectionPaper) },
  'match-report': { asks: MATCH_QUESTIONS, make: matchReport },
  'design-report': { make: designReport },
};

export const PAPER_IDS = Object.keys(PAPERS) as readonly PaperId[];
