import { fingerprint } from '../machine/file/fingerprint.ts';
import { formatIssue } from '../machine/file/issue.ts';
import type { Answer } from '../questions/answer.ts';
import type { QuestionId } from '../questions/catalogue.ts';
import { reportHtml, type Report } from '../sheets/report/report.ts';
import { answersJson } from './answers-json.ts';
import { answersText } from './answers-text.ts';
import { EXIT, Mistake, type ExitCode } from './exit.ts';
import { printable } from './layout.ts';
import { progressLine } from './progress.ts';
import { refuseSameFile, writeReport } from './report-file.ts';
import type { Services } from './services.ts';
import { readSource } from './source-file.ts';

export interface AskOptions {
  readonly only?: readonly QuestionId[] | undefined;
  readonly json: boolean;
  readonly samples: number;
  readonly seed: number;
  /** Where to write the HTML report. */
  readonly report?: string | undefined;
}

/** `ampwright ask`: reads the machine, asks, prints, and writes the report when one is wanted. */
export async function askCommand(path: string, options: AskOptions, services: Services): Promise<ExitCode> {
  const { terminal } = services;
  if (options.report !== undefined) refuseSameFile(path, options.report);
  const report = await answersOf(path, options, services);
  if (report === undefined) return EXIT.file;
  terminal.write(options.json ? answersJson(report) : answersText(report, terminal, { fileName: path, openAll: options.only !== undefined }));
  if (options.report !== undefined) {
    terminal.writeError(`report: ${writeReport(options.report, reportHtml(report, { fileName: path }))}\n`);
  }
  return exitCodeOf(report.answers);
}

/** The answers about a file; undefined when the file has errors, which are then printed. */
export async function answersOf(path: string, options: Pick<AskOptions, 'only' | 'samples' | 'seed'>, { terminal, version, readMachine, ask }: Services): Promise<Report | undefined> {
  const text = readSource(path);
  const file = readMachine(text);
  const issues = file.ok ? file.questions : file.issues;
  for (const issue of issues) terminal.writeError(`${formatIssue(issue, printable(path))}\n`);
  if (!file.ok) return undefined;
  const { only, samples, seed } = options;
  const progress = progressLine(terminal);
  try {
    const answers = await ask({ machine: file.machine, text, ...(only === undefined ? {} : { only }), samples, seed, progress: progress.show });
    return { machine: file.machine.name, fingerprint: fingerprint(text), version, seed, samples, answers };
  } finally {
    progress.clear();
  }
}

/** A bad answer counts before one that could not be given: it is known. */
export function exitCodeOf(answers: readonly Answer[]): ExitCode {
  if (answers.some(({ verdict }) => verdict === 'bad')) return EXIT.bad;
  return answers.some(({ verdict, refused }) => verdict === 'cannot tell' || refused !== undefined) ? EXIT.none : EXIT.fine;
}

/** The ids of `--only id,id`, each once and in the order given. */
export function parseOnly(text: string, ids: readonly QuestionId[], nearestOf: (word: string, among: readonly string[]) => string | undefined): readonly QuestionId[] {
  const words = text.split(',').map((word) => word.trim()).filter((word) => word !== '');
  if (words.length === 0) throw new Mistake(`--only: expected one or more of ${ids.join(', ')}, found nothing`, EXIT.usage);
  const found = words.map((word) => {
    const id = ids.find((one) => one === word);
    if (id !== undefined) return id;
    const near = nearestOf(word, ids);
    throw new Mistake(`--only: expected one or more of ${ids.join(', ')}, found ${JSON.stringify(printable(word))}${near === undefined ? '' : `; did you mean ${near}?`}`, EXIT.usage);
  });
  return [...new Set(found)];
}
