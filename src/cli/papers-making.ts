import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { fingerprint } from '../machine/file/fingerprint.ts';
import type { FileResult } from '../machine/file/read.ts';
import type { Machine } from '../machine/machine.ts';
import type { RuleSet } from '../machine/rules/rule-set.ts';
import type { Answer } from '../questions/answer.ts';
import type { AskRequest } from '../questions/ask.ts';
import type { QuestionId } from '../questions/catalogue.ts';
import { tableCsv } from '../sheets/document/csv.ts';
import type { Stamp } from '../sheets/document/document.ts';
import { paperHtml } from '../sheets/document/html.ts';
import { paperPdf } from '../sheets/document/pdf.ts';
import { openedFonts, type PdfTools } from '../sheets/document/pdf-engine.ts';
import type { PageFormat } from '../sheets/drawing/frame.ts';
import type { Sheet } from '../sheets/drawing/shapes.ts';
import { svgOf } from '../sheets/drawing/svg.ts';
import { PAPER_IDS, PAPERS, type PaperId } from '../sheets/papers.ts';
import { sharePage } from '../sheets/share/share-page.ts';
import type { PaperSource } from '../sheets/source.ts';
import type { MadeFile } from './made-files.ts';

export const FORMATS = ['pdf', 'html', 'svg', 'csv'] as const;
export type Format = (typeof FORMATS)[number];

/** What can be asked for by name: a paper, or the page that holds them all. */
export type PaperName = PaperId | 'share';
export const PAPER_NAMES: readonly PaperName[] = [...PAPER_IDS, 'share'];

/** One machine whose papers are to be made; plain data, because it crosses threads. */
export interface PapersJob {
  /** The machine file, read without errors. */
  readonly text: string;
  /** An older version of the machine, to be compared on the share page. */
  readonly before: string | undefined;
  readonly names: readonly PaperName[];
  readonly format: readonly Format[];
  /** Size of the pages. */
  readonly paper: PageFormat;
  readonly date: string | undefined;
  readonly revision: string | undefined;
  readonly rules: RuleSet;
  readonly samples: number;
  readonly seed: number;
  readonly version: string;
  readonly questionIds: readonly QuestionId[];
}

/** What papers are made with. */
export interface Makers {
  readonly readMachine: (text: string) => FileResult;
  readonly ask: (request: AskRequest) => Promise<readonly Answer[]>;
  /** The papers are without a drawing where it is not there. */
  readonly draw?: (machine: Machine, stamp: Stamp, format: PageFormat) => Promise<readonly Sheet[]>;
}

type Progress = (done: number, of: number, what: string) => void;

/** Asks what the papers show, and makes them. */
export async function makePapers(job: PapersJob, makers: Makers, progress?: Progress): Promise<readonly MadeFile[]> {
  const before = job.before === undefined ? undefined : await sourceOf(job, job.before, makers, progress);
  return filesOf(await sourceOf(job, job.text, makers, progress), before, job);
}

async function sourceOf(job: PapersJob, text: string, { readMachine, ask, draw }: Makers, progress: Progress | undefined): Promise<PaperSource> {
  const file = readMachine(text);
  if (!file.ok) throw new Error('the machine file has errors');
  const { machine } = file;
  const { samples, seed, rules, names } = job;
  const stamp = { machine: machine.name, revision: job.revision, date: job.date, fingerprint: fingerprint(text), version: job.version };
  const only = askedFor(job);
  const answers = only.length === 0 ? [] : await ask({ machine, text, samples, seed, only, ...(progress === undefined ? {} : { progress }) });
  const sheets = names.includes('drawing') || names.includes('share') ? ((await draw?.(machine, stamp, job.paper)) ?? []) : [];
  return { machine, text, stamp, seed, samples, rules, answers, sheets };
}

/** The questions whose answers stand on the papers that are wanted. */
function askedFor({ names, questionIds }: PapersJob): readonly QuestionId[] {
  const asks = names.map((name) => (name === 'share' ? undefined : PAPERS[name].asks));
  return asks.includes(undefined) ? questionIds : questionIds.filter((id) => asks.some((some) => some?.includes(id)));
}

async function filesOf(source: PaperSource, before: PaperSource | undefined, { names, format, paper: size }: PapersJob): Promise<MadeFile[]> {
  const tools = format.includes('pdf') && names.some((name) => name !== 'share') ? await pdfTools() : undefined;
  const files: MadeFile[] = [];
  for (const id of names) {
    if (id === 'share') {
      if (format.includes('html')) files.push({ name: 'share.html', content: sharePage(source, before, size) });
      continue;
    }
    const { make, table } = PAPERS[id];
    const paper = make(source);
    if (paper === undefined) continue;
    if (tools !== undefined) files.push({ name: `${id}.pdf`, content: await paperPdf(paper, tools, size) });
    if (format.includes('html')) files.push({ name: `${id}.html`, content: paperHtml(paper, size) });
    const csv = format.includes('csv') ? table?.(source) : undefined;
    if (csv !== undefined) files.push({ name: `${id}.csv`, content: tableCsv(csv, source.stamp) });
    if (id === 'drawing' && format.includes('svg')) {
      files.push(...source.sheets.map((sheet, k) => ({ name: source.sheets.length === 1 ? 'drawing.svg' : `drawing-${k + 1}.svg`, content: svgOf(sheet) })));
    }
  }
  return files;
}

let opened: Promise<PdfTools> | undefined;

/** The PDF library and its fonts, loaded only where a PDF is made, and once. */
function pdfTools(): Promise<PdfTools> {
  opened ??= (async () => {
    const { default: Document } = await import('pdfkit');
    const require = createRequire(import.meta.url);
    const font = (name: string): Uint8Array => readFileSync(require.resolve(`dejavu-fonts-ttf/ttf/${name}.ttf`));
    return openedFonts({ Document: Document as unknown as PdfTools['Document'], regular: font('DejaVuSans'), bold: font('DejaVuSans-Bold') });
  })();
  return opened;
}
