import { basename, join } from 'node:path';
import { withoutPersonal } from '../machine/file/impersonal.ts';
import { formatIssue } from '../machine/file/issue.ts';
import { readRules } from '../machine/rules/read.ts';
import type { RuleSet } from '../machine/rules/rule-set.ts';
import { shippedRules } from '../machine/rules/shipped.ts';
import { nearest } from '../quantity/nearest.ts';
import type { PageFormat } from '../sheets/drawing/frame.ts';
import { EXIT, Mistake, type ExitCode } from './exit.ts';
import { printable } from './layout.ts';
import { writeMade, type MadeFile } from './made-files.ts';
import { makePapers, PAPER_NAMES, type Format, type PaperName, type PapersJob } from './papers-making.ts';
import { progressLine } from './progress.ts';
import type { Services } from './services.ts';
import { readSource } from './source-file.ts';

export interface PapersOptions {
  readonly out: string;
  readonly only?: readonly PaperName[] | undefined;
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

/** A machine file that was read, and where its papers go. */
interface Read {
  readonly name: string;
  readonly text: string;
  readonly folder: string;
}

/**
 * `ampwright papers`: reads machines, asks, and writes their papers; several machines each into a folder of its own, each
 * on a thread where there are threads. Nothing is made while one of the files has errors.
 */
export async function papersCommand(paths: readonly string[], options: PapersOptions, services: Services): Promise<ExitCode> {
  const { terminal, version, questionIds } = services;
  const rules = rulesOf(options.rules, services);
  if (rules === undefined) return EXIT.file;
  const folders = paths.map((path) => (paths.length === 1 ? options.out : join(options.out, basename(path).replace(/\.[^.]*$/, ''))));
  const twice = folders.find((folder, k) => folders.indexOf(folder) !== k);
  if (twice !== undefined) throw new Mistake(`--out: expected files of different names, found two for ${printable(twice)}`, EXIT.usage);
  const before = options.before === undefined ? undefined : textOf(options.before, options, services);
  const read = paths.map((path, k) => ({ ...textOf(path, options, services), folder: folders[k] ?? options.out }));
  if (options.before !== undefined && before?.text === undefined) return EXIT.file;
  if (!read.every((one): one is Read => one.text !== undefined)) return EXIT.file;
  const { date, revision, format, paper, samples, seed } = options;
  const jobs = read.map(({ text }): PapersJob => ({ text, before: before?.text, names: options.only ?? PAPER_NAMES, format, paper, date, revision, rules, samples, seed, version, questionIds }));
  await made(jobs, services, (k, files) => {
    const { folder, name } = read[k]!;
    writeMade(folder, files, options.force);
    terminal.write(`${printable(folder)}: ${files.length} papers of ${printable(name)}\n${files.map((file) => `  ${file.name}\n`).join('')}`);
  });
  return EXIT.fine;
}

/**
 * Makes the papers of every machine and hands them on in the order of the machines. On threads the longest file is begun
 * first: it has the most to be asked about.
 */
async function made(jobs: readonly PapersJob[], services: Services, done: (job: number, files: readonly MadeFile[]) => void): Promise<void> {
  const progress = progressLine(services.terminal);
  const threads = jobs.length > 1 ? await services.papersThreads?.(jobs.length) : undefined;
  try {
    if (threads === undefined) {
      for (const [k, job] of jobs.entries()) {
        const files = await makePapers(job, services, progress.show);
        progress.clear();
        done(k, files);
      }
      return;
    }
    const results = new Map<number, readonly MadeFile[]>();
    let told = 0;
    const longestFirst = jobs.map((job, k) => ({ job, k })).sort((a, b) => b.job.text.length - a.job.text.length);
    await Promise.all(longestFirst.map(async ({ job, k }) => {
      results.set(k, await threads.make(job));
      progress.clear();
      for (let files = results.get(told); files !== undefined; files = results.get(told)) done(told++, files);
      if (told < jobs.length) progress.show(results.size, jobs.length, 'machines');
    }));
  } finally {
    progress.clear();
    await threads?.close();
  }
}

/** The text to make papers of, without what is personal where that is wanted; without a text where the file has errors, which are printed. */
function textOf(path: string, options: PapersOptions, { terminal, readMachine }: Services): { readonly name: string; readonly text: string | undefined } {
  const whole = readSource(path);
  const text = options.impersonal ? withoutPersonal(whole) : whole;
  const file = readMachine(text);
  for (const issue of file.ok ? file.questions : file.issues) terminal.writeError(`${formatIssue(issue, printable(path))}\n`);
  return file.ok ? { name: file.machine.name, text } : { name: '', text: undefined };
}

function rulesOf(path: string | undefined, { terminal }: Services): RuleSet | undefined {
  if (path === undefined) return shippedRules();
  const result = readRules(readSource(path));
  if (result.ok) return result.rules;
  for (const issue of result.issues) terminal.writeError(`${formatIssue(issue, printable(path))}\n`);
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
