import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { EXIT, Mistake, type ExitCode } from './exit.ts';
import { printable } from './layout.ts';
import type { Services } from './services.ts';
import { causeOf, machineText } from './source-file.ts';

export interface OpenOptions {
  readonly port: number;
}

/** `ampwright open`: the page on the loopback address, bound to a machine file, until it is ended. */
export async function openCommand(file: string, { port }: OpenOptions, services: Services): Promise<ExitCode> {
  const { terminal, serve, packageFolder } = services;
  if (serve === undefined) throw new Mistake('open: this program cannot serve a page here', EXIT.usage);
  const path = besidePage(file, services);
  let page;
  try {
    page = await serve.page({ path, folder: join(packageFolder, 'dist', 'page'), port });
  } catch (error) {
    if (error instanceof Error && 'code' in error && (error.code === 'EADDRINUSE' || error.code === 'EACCES')) {
      throw new Mistake(`--port: expected a free port, found ${port}, which is ${error.code === 'EADDRINUSE' ? 'in use' : 'not ours to use'}`, EXIT.usage);
    }
    throw error;
  }
  terminal.write(`\n${printable(path)} is open in the page:\n  ${page.address}\nOnly this computer reaches it, and only with the token in the address. Ctrl-C ends it.\n`);
  await serve.untilEnded();
  await page.close();
  return EXIT.fine;
}

/**
 * The file to bind the page to: a machine file as it is; for a share page its machine file, put beside it.
 * @throws Mistake where another file has that name already
 */
function besidePage(path: string, { terminal }: Services): string {
  const text = existsSync(path) ? machineText(path) : undefined;
  if (text === undefined) return path;
  const beside = `${path.replace(/\.html?$/i, '')}.yaml`;
  try {
    writeFileSync(beside, text, { flag: 'wx' });
    terminal.write(`${printable(beside)}: the machine file of the share page\n`);
  } catch (error) {
    if (!existsSync(beside)) throw new Mistake(`${printable(beside)}: the machine file of the share page cannot be written: ${causeOf(error)}`, EXIT.usage);
    if (readFileSync(beside, 'utf8') !== text) throw new Mistake(`${printable(beside)}: expected no other file of this name, to put the machine file of the share page there; open that file, or move the page to another folder`, EXIT.usage);
  }
  return beside;
}
