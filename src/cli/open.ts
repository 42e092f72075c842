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
export async function openCommand(path: string, options: OpenOptions, services: Services): Promise<ExitCode> {
  const page = await openPage(path, options, services);
  await page.untilEnded();
  return EXIT.fine;
}

/**
 * Opens the page and says where it is.
 * @throws Mistake when the file cannot be read or the port is taken
 */
export async function openPage(given: string, { port }: OpenOptions, services: Services): Promise<{ untilEnded(): Promise<void> }> {
  const { terminal, serve, packageFolder } = services;
  if (serve === undefined) throw new Mistake('open: this program cannot serve a page here', EXIT.usage);
  const path = machineBeside(given);
  const page = await serve.page({ path, folder: join(packageFolder, 'dist', 'page'), port }).catch((error: unknown) => {
    const code = error instanceof Error && 'code' in error ? error.code : undefined;
    if (code !== 'EADDRINUSE' && code !== 'EACCES') throw error;
    throw new Mistake(`--port: expected a free port, found ${port}, which is ${code === 'EADDRINUSE' ? 'in use' : 'not ours to use'}`, EXIT.usage);
  });
  terminal.write(`${printable(path)} is open in the page:\n  ${page.address}\nOnly this computer reaches it, and only with the token in the address. Ctrl-C ends it.\n\n`);
  return {
    async untilEnded() {
      await serve.untilEnded();
      await page.close();
    },
  };
}

/**
 * The file to bind the page to: a share page gives the machine file in it, put beside it under its own name.
 * @throws Mistake when another file has that name
 */
function machineBeside(path: string): string {
  const text = machineText(path);
  if (text === undefined) return path;
  const beside = `${path.replace(/\.html?$/i, '')}.yaml`;
  try {
    if (!existsSync(beside)) writeFileSync(beside, text, { flag: 'wx' });
    else if (readFileSync(beside, 'utf8') !== text) throw new Mistake(`${printable(beside)}: expected no such file, or the machine of ${printable(path)}, found another; open that one, or move it away`, EXIT.usage);
  } catch (error) {
    if (error instanceof Mistake) throw error;
    throw new Mistake(`${printable(beside)}: the machine of the share page cannot be put there: ${causeOf(error)}`, EXIT.usage);
  }
  return beside;
}
