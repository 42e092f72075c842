import { answerPaper, designReport } from './answer-papers.ts';
import { benchCard, emergencyCard, pitCard } from './cards/crew-cards.ts';
import { powerCard } from './cards/power-card.ts';
import type { Paper, Table } from './document/document.ts';
import { tablesOf } from './document/document.ts';
import { drawingPaper } from './drawing-paper.ts';
import { inspectionPaper } from './inspection/inspection-paper.ts';
import { partsListPaper } from './parts-list.ts';
import type { PaperSource } from './source.ts';
import { cuttingListPaper, labelsPaper, labelTable, wireListPaper } from './wire-list.ts';

export type PaperId =
  | 'drawing' | 'wire-list' | 'cutting-list' | 'wire-labels' | 'parts-list' | 'power-card' | 'pit-card' | 'bench-card' | 'emergency-card'
  | 'isolation' | 'faults' | 'inspection' | 'match-report' | 'design-report';

interface PaperKind {
  /** Undefined where there is nothing to put on it. */
  readonly make: (source: PaperSource) => Paper | undefined;
  /** The paper as a table for a spreadsheet, where it is one. */
  readonly table?: (source: PaperSource) => Table | undefined;
}

const firstTable = (make: PaperKind['make']) => (source: PaperSource): Table | undefined => {
  const paper = make(source);
  return paper === undefined ? undefined : tablesOf(paper)[0];
};

const isolation: PaperKind['make'] = (source) => answerPaper(source, 'Isolation table', 'What can wake while an isolator is open, and by which path.', ['isolation', 'opening']);
const faults: PaperKind['make'] = (source) => answerPaper(source, 'Fault table', 'What one failed part or one loose joint does, and how the crew would notice.', ['faults']);

/** Every paper, in the order in which they are made. */
export const PAPERS: Readonly<Record<PaperId, PaperKind>> = {
  drawing: { make: drawingPaper },
  'wire-list': { make: wireListPaper, table: firstTable(wireListPaper) },
  'cutting-list': { make: cuttingListPaper, table: (source) => tablesOf(cuttingListPaper(source))[1] },
  'wire-labels': { make: labelsPaper, table: labelTable },
  'parts-list': { make: partsListPaper, table: firstTable(partsListPaper) },
  'power-card': { make: powerCard },
  'pit-card': { make: pitCard },
  'bench-card': { make: benchCard },
  'emergency-card': { make: emergencyCard },
  isolation: { make: isolation, table: firstTable(isolation) },
  faults: { make: faults, table: firstTable(faults) },
  inspection: { make: inspectionPaper, table: firstTable(inspectionPaper) },
  'match-report': { make: (source) => answerPaper(source, 'Match report', 'What a match asks of the machine.', ['radio', 'pack', 'heat', 'fuses', 'turnaround']) },
  'design-report': { make: designReport },
};

export const PAPER_IDS = Object.keys(PAPERS) as readonly PaperId[];
