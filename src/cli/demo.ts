import { copyFileSync, existsSync, mkdirSync } from 'node:fs';
import { join, relative } from 'node:path';
import { pathToFileURL } from 'node:url';
import { reportHtml } from '../sheets/report/report.ts';
import { answersText } from './answers-text.ts';
import { answersOf, type AskOptions } from './ask.ts';
import { EXIT, type ExitCode } from './exit.ts';
import { printable } from './layout.ts';
import { openPage, type OpenOptions } from './open.ts';
import { writeReport } from './report-file.ts';
import type { Services } from './services.ts';

export interface DemoOptions extends OpenOptions {
  /** Whether the page is opened after the answers. */
  readonly serve: boolean;
}

const REPORT = join('out', 'crush10s.html');

/** `ampwright demo`: the answers about the demo machine, and a report of them. Its bad answers are meant, so they are no failure. */
export async function demoCommand(options: Pick<AskOptions, 'samples' | 'seed'> & DemoOptions, services: Services): Promise<ExitCode> {
  const { terminal, packageFolder, workFolder } = services;
  const path = join(packageFolder, 'machines', 'crush10s.yaml');
  // The page is there at once; the answers follow.
  const page = options.serve ? await openCopy(path, options, services) : undefined;
  const report = await answersOf(path, options, services);
  if (report === undefined) return EXIT.file;
  const fileName = shorter(relative(workFolder, path), path);
  const target = join(workFolder, REPORT);
  terminal.write(answersText(report, terminal, { fileName, openAll: false }));
  writeReport(target, reportHtml(report, { fileName: 'crush10s.yaml' }));
  terminal.write([
    '',
    `The same with its curves: ${REPORT}`,
    `  ${pathToFileURL(target).href}`,
    'To ask about a machine of your own, copy this file and change it:',
    `  ${printable(fileName)}`,
    '  ampwright ask FILE',
    '',
  ].join('\n'));
  await page?.untilEnded();
  return EXIT.fine;
}

/** The page edits a copy, so that the demo stays what it is; edits of an earlier time are kept. */
function openCopy(path: string, options: OpenOptions, services: Services): Promise<{ untilEnded(): Promise<void> }> {
  const copy = join('out', 'crush10s.yaml');
  const target = join(services.workFolder, copy);
  if (existsSync(target)) services.terminal.write(`${copy} is there from an earlier time and is opened as it is; delete it to begin anew.\n`);
  else {
    mkdirSync(join(services.workFolder, 'out'), { recursive: true });
    copyFileSync(path, target);
  }
  return openPage(target, options, services);
}

function shorter(one: string, other: string): string {
  return one.length < other.length ? one : other;
}
