import { readMachine } from '../machine/file/read.ts';
import type { Answer } from '../questions/answer.ts';
import { askQuestions, QUESTION_IDS, type AskRequest } from '../questions/ask.ts';
import { EXIT } from './exit.ts';
import { printable } from './layout.ts';
import { packageFolderOf, versionOf } from './package-folder.ts';
import { runProgram } from './program.ts';
import { terminalPrompt } from './prompt.ts';
import { samplePool } from './sample-pool.ts';
import { processTerminal } from './terminal.ts';

let version = 'of unknown version';

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
    ...(prompt === undefined ? {} : { prompt }),
  });
} catch (error) {
  fault(error);
}

/** Asks with the samples spread over worker threads; the numbers are the same as without. */
async function askOnThreads(request: AskRequest): Promise<readonly Answer[]> {
  const threads = await samplePool(request.samples);
  if (threads === undefined) return askQuestions(request);
  try {
    return await askQuestions({ ...request, pool: threads.pool });
  } finally {
    await threads.close();
  }
}

/** Our own bug: one line for the user, the rest only for those who look for it. */
function fault(error: unknown): never {
  const words = printable((error instanceof Error ? error.message : String(error)).split('\n')[0] ?? '');
  process.stderr.write(`ampwright ${version}: a fault of the program, not of your machine: ${words}. Please report it with this version and the machine file.\n`);
  if (process.env['AMPWRIGHT_DEBUG'] === '1' && error instanceof Error) process.stderr.write(`${error.stack ?? ''}\n`);
  process.exit(EXIT.none);
}
