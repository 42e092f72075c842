import { readMachine } from '../machine/file/read.ts';
import type { Answer } from '../questions/answer.ts';
import { askQuestions, type AskRequest } from '../questions/ask.ts';
import { QUESTION_IDS } from '../questions/catalogue.ts';
import { EXIT } from './exit.ts';
import { printable } from './layout.ts';
import { matchThreads } from './match-threads.ts';
import { packageFolderOf, versionOf } from './package-folder.ts';
import { pairThreads } from './pair-threads.ts';
import { draw } from './papers-drawing.ts';
import { papersThreads } from './papers-threads.ts';
import { runProgram } from './program.ts';
import { terminalPrompt } from './prompt.ts';
import { samplePool } from './sample-pool.ts';
import type { BoundPage, BoundPageOptions } from './server/server.ts';
import { processTerminal } from './terminal.ts';

let version = 'of unknown version';
/** Kept from one machine to the next: threads that have run are warm. */
let threads: Awaited<ReturnType<typeof samplePool>>;

// A reader that has seen enough (`| head`) closes the pipe: no reason to complain, and the verdict still counts.
for (const stream of [process.stdout, process.stderr]) {
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') return;
    fault(error);
  });
}
process.on('uncaughtException', fault);
process.on('unhandledRejection', fault);

const packageFolder = packageFolderOf(import.meta.url);
const prompt = terminalPrompt();
version = versionOf(packageFolder);
// The exit code is set, not forced, so that all of the output reaches a slow reader.
try {
  process.exitCode = await runProgram(process.argv.slice(2), {
    terminal: processTerminal(),
    version,
    packageFolder,
    workFolder: process.cwd(),
    questionIds: QUESTION_IDS,
    readMachine,
    ask: askOnThreads,
    draw,
    matchThreads,
    pairThreads,
    papersThreads,
    onInterrupt,
    serve: { page: servePageLate, untilEnded },
    ...(prompt === undefined ? {} : { prompt }),
  });
} catch (error) {
  fault(error);
} finally {
  await threads?.close();
}

/** Asks with the samples spread over worker threads; the numbers are the same as without. */
async function askOnThreads(request: AskRequest): Promise<readonly Answer[]> {
  threads ??= await samplePool(request.samples);
  return askQuestions(threads === undefined ? request : { ...request, pool: threads.pool });
}

/** The server, and what watches the file, are loaded only where a page is opened. */
async function servePageLate(options: BoundPageOptions): Promise<BoundPage> {
  const { servePage } = await import('./server/server.ts');
  return servePage(options);
}

function untilEnded(): Promise<void> {
  return new Promise((ended) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => ended());
  });
}

/** The first Ctrl-C stops what is being done; a second one ends the program. */
function onInterrupt(stop: () => void): () => void {
  process.once('SIGINT', stop);
  return () => process.off('SIGINT', stop);
}

/** Our own bug: one line for the user, the rest only for those who look for it. */
function fault(error: unknown): never {
  const words = printable((error instanceof Error ? error.message : String(error)).split('\n')[0] ?? '');
  process.stderr.write(`ampwright ${version}: a fault of the program, not of your machine: ${words}. Please report it with this version and the machine file.\n`);
  if (process.env['AMPWRIGHT_DEBUG'] === '1' && error instanceof Error) process.stderr.write(`${error.stack ?? ''}\n`);
  process.exit(EXIT.none);
}
