import { mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { EXIT, Mistake } from './exit.ts';
import { printable } from './layout.ts';
import { causeOf } from './source-file.ts';

/** Names of the files that were made here, one a line; it stands beside them. */
const MADE = '.ampwright-papers';

export interface MadeFile {
  readonly name: string;
  readonly content: string | Uint8Array;
}

/**
 * Writes files into a folder. A file that is there and was not made here stops everything before anything is written;
 * each file appears whole or not at all.
 * @param force  writes over files of others too
 * @throws Mistake when one is in the way, or cannot be written
 */
export function writeMade(folder: string, files: readonly MadeFile[], force: boolean): void {
  const made = new Set(namesMade(folder));
  const strangers = files.filter(({ name }) => !made.has(name) && exists(join(folder, name)));
  if (strangers.length > 0 && !force) {
    throw new Mistake(`${printable(join(folder, strangers[0]?.name ?? ''))}: expected no file of yours with this name${strangers.length > 1 ? ` (nor ${strangers.length - 1} others)` : ''}; --force writes over it, or name another folder`, EXIT.usage);
  }
  try {
    mkdirSync(resolve(folder), { recursive: true });
    const names = [...new Set([...made, ...files.map(({ name }) => name)])].sort();
    // The list first: a run that is broken off leaves files that the next one may write over.
    replace(join(folder, MADE), `${names.join('\n')}\n`);
    for (const { name, content } of files) replace(join(folder, name), content);
  } catch (error) {
    throw new Mistake(`${printable(folder)}: the papers cannot be written: ${causeOf(error)}`, EXIT.usage);
  }
}

function replace(path: string, content: string | Uint8Array): void {
  const beside = join(dirname(path), `.${basename(path)}.${process.pid}.new`);
  try {
    writeFileSync(beside, content);
    renameSync(beside, path);
  } catch (error) {
    rmSync(beside, { force: true });
    throw error;
  }
}

function namesMade(folder: string): string[] {
  const text = read(join(folder, MADE));
  return text === undefined ? [] : text.split('\n').filter((name) => name !== '');
}

function exists(path: string): boolean {
  return read(path) !== undefined;
}

/** What stands at a path; empty for what is there and cannot be read, which is in the way all the same. */
function read(path: string): string | undefined {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    return error instanceof Error && 'code' in error && error.code === 'ENOENT' ? undefined : '';
  }
}
