import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { basename, join } from 'node:path';
import { fingerprint } from '../machine/file/fingerprint.ts';
import { withoutPersonal } from '../machine/file/impersonal.ts';
import { formatIssue } from '../machine/file/issue.ts';
import { GENERIC_RULES } from '../machine/rules/generic.ts';
import { readRules } from '../machine/rules/read.ts';
import type { RuleSet } from '../machine/rules/rule-set.ts';
import { nearest } from '../quantity/nearest.ts';
import type { QuestionId } from '../questions/ask.ts';
import { tableCsv } from '../sheets/document/csv.ts';
import { paperHtml } from '../sheets/document/html.ts';
import { paperPdf } from '../sheets/document/pdf.ts';
import { openedFonts, type PdfTools } from '../sheets/document/pdf-engine.ts';
import type { PageFormat } from '../sheets/drawing/frame.ts';
import { svgOf } from '../sheets/drawing/svg.ts';
import { PAPER_IDS, PAPERS, type PaperId } from '../sheets/papers.ts';
import { sharePage } from '../sheets/share/share-page.ts';
import type { PaperSource } from '../sheets/source.ts';
import { EXIT, Mistake, type ExitCode } from './exit.ts';
import { printable } from './layout.ts';
import { writeMade, type MadeFile } from './made-files.ts';
import { progressLine } from './progress.ts';
import type { Services } from './services.ts';
import { readSource } from './source-file.ts';

export const FORMATS = ['pdf', 'html', 'svg', 'csv'] as const;
export type Format = (typeof FORMATS)[number];

/** What can be asked for by name: a paper, or the page that holds them all. */
export const PAPER_NAMES: readonly (PaperId | 'share')[] = [...PAPER_IDS, 'share'];

export interface PapersOptions {
  readonly out: string;
  readonly only?: readonly (PaperId | 'share')[] | undefined;
  readonly format: readonly Format[];
  /** Size of the pages. */
  readonly paper: PageFormat;
  readonly date?: string | undefined;
  readonly revision?: string | undefined;
  readonly rules?: string | undefined;
  /** An older version of the machine, to be compared on the share page. */
  readonly before?: string | undefined;
  /** Leaves notes and comments out of what is made. */
  readonly impersonal: boolean;
  readonly samples: number;
  readonly seed: number;
  readonly force: boolean;
}

/** `ampwright papers`: reads machines, asks, and writes their papers; several machines each into a folder of its own. */
export async function papersCommand(paths: readonly string[], options: PapersOptions, services: Services): Promise<ExitCode> {
  const { terminal } = services;
  const rules = rulesOf(options.rules, services);
  if (rules === undefined) return EXIT.file;
  const folders = paths.map((path) => (paths.length === 1 ? options.out : join(options.out, basename(path).replace(/\.[^.]*$/, ''))));
  const twice = folders.find((folder, k) => folders.indexOf(folder) !== k);
  if (twice !== undefined) throw new Mistake(`--out: expected files of different names, found two for ${printable(twice)}`, EXIT.usage);
  const before = options.before === undefined ? undefined : await sourceOf(options.before, options, rules, services);
  if (options.before !== undefined && before === undefined) return EXIT.file;
  const tools = options.format.includes('pdf') && wanted(options).some((id) => id !== 'share') ? await pdfTools() : undefined;
  for (const [k, path] of paths.entries()) {
    const source = await sourceOf(path, options, rules, services);
    if (source === undefined) return EXIT.file;
    const files = await filesOf(source, before, options, tools);
    const folder = folders[k] ?? options.out;
    writeMade(folder, files, options.force);
    terminal.write(`${printable(folder)}: ${files.length} papers of ${printable(source.stamp.machine)}\n${files.map(({ name }) => `  ${name}\n`).join('')}`);
  }
  return EXIT.fine;
}

async function sourceOf(path: string, options: PapersOptions, rules: RuleSet, { terminal, version, questionIds, readMachine, ask, draw }: Services): Promise<PaperSource | undefined> {
  const whole = readSource(path);
  const text = options.impersonal ? withoutPersonal(whole) : whole;
  const file = readMachine(text);
  for (const issue of file.ok ? file.questions : file.issues) terminal.writeError(`${formatIssue(issue, printable(path))}\n`);
  if (!file.ok) return undefined;
  const { machine } = file;
  const { samples, seed } = options;
  const progress = progressLine(terminal);
  try {
    const stamp = { machine: machine.name, revision: options.revision, date: options.date, fingerprint: fingerprint(text), version };
    const only = askedFor(options, questionIds);
    const answers = only.length === 0 ? [] : await ask({ machine, text, samples, seed, only, progress: progress.show });
    const sheets = wanted(options).includes('drawing') || wanted(options).includes('share') ? ((await draw?.(machine, stamp, options.paper)) ?? []) : [];
    return { machine, text, stamp, seed, samples, rules, answers, sheets };
  } finally {
    progress.clear();
  }
}

function wanted({ only }: PapersOptions): readonly (PaperId | 'share')[] {
  return only ?? PAPER_NAMES;
}

/** The questions whose answers stand on the papers that are wanted. */
function askedFor(options: PapersOptions, questionIds: readonly QuestionId[]): readonly QuestionId[] {
  const asks = wanted(options).map((id) => (id === 'share' ? undefined : PAPERS[id].asks));
  return asks.includes(undefined) ? questionIds : questionIds.filter((id) => asks.some((some) => some?.includes(id)));
}

async function filesOf(source: PaperSource, before: PaperSource | undefined, options: PapersOptions, tools: PdfTools | undefined): Promise<MadeFile[]> {
  const files: MadeFile[] = [];
  for (const id of wanted(options)) {
    if (id === 'share') {
      if (options.format.includes('html')) files.push({ name: 'share.html', content: sharePage(source, before, options.paper) });
      continue;
    }
    const { make, table } = PAPERS[id];
    const paper = make(source);
    if (paper === undefined) continue;
    if (tools !== undefined) files.push({ name: `${id}.pdf`, content: await paperPdf(paper, tools, options.paper) });
    if (options.format.includes('html')) files.push({ name: `${id}.html`, content: paperHtml(paper, options.paper) });
    const csv = options.format.includes('csv') ? table?.(source) : undefined;
    if (csv !== undefined) files.push({ name: `${id}.csv`, content: tableCsv(csv, source.stamp) });
    if (id === 'drawing' && options.format.includes('svg')) {
      files.push(...source.sheets.map((sheet, k) => ({ name: source.sheets.length === 1 ? 'drawing.svg' : `drawing-${k + 1}.svg`, content: svgOf(sheet) })));
    }
  }
  return files;
}

/** The PDF library and its fonts, loaded only where a PDF is made. */
async function pdfTools(): Promise<PdfTools> {
  const { default: Document } = await import('pdfkit');
  const require = createRequire(import.meta.url);
  const font = (name: string): Uint8Array => readFileSync(require.resolve(`dejavu-fonts-ttf/ttf/${name}.ttf`));
  return openedFonts({ Document: Document as unknown as PdfTools['Document'], regular: font('DejaVuSans'), bold: font('DejaVuSans-Bold') });
}

function rulesOf(path: string | undefined, { terminal }: Services): RuleSet | undefined {
  const result = readRules(path === undefined ? GENERIC_RULES : readSource(path));
  if (result.ok) return result.rules;
  for (const issue of result.issues) terminal.writeError(`${formatIssue(issue, printable(path ?? 'generic rules'))}\n`);
  return undefined;
}

/** `a4` and `letter`, as the user writes them. */
export function parsePaper(text: string): PageFormat {
  const names = { a4: 'A4', letter: 'Letter' } as const;
  return names[parseNames('--paper', text.toLowerCase(), ['a4', 'letter'])[0]!];
}

/** The words of a list like `pdf,csv`, each once and in the order given. */
export function parseNames<T extends string>(option: string, text: string, names: readonly T[]): readonly T[] {
  const words = text.split(',').map((word) => word.trim()).filter((word) => word !== '');
  if (words.length === 0) throw new Mistake(`${option}: expected one or more of ${names.join(', ')}, found nothing`, EXIT.usage);
  const found = words.map((word) => {
    const name = names.find((one) => one === word);
    if (name !== undefined) return name;
    const near = nearest(word, names);
    throw new Mistake(`${option}: expected one or more of ${names.join(', ')}, found ${JSON.stringify(printable(word))}${near === undefined ? '' : `; did you mean ${near}?`}`, EXIT.usage);
  });
  return [...new Set(found)];
}
