import { constants, copyFileSync, existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { EXIT, Mistake } from './exit.ts';
import { printable } from './layout.ts';
import { causeOf } from './source-file.ts';
import { replaceSource } from './write-source.ts';

/**
 * Before any work: a machine file is never written over by accident.
 * @throws Mistake when there is something at the path already
 */
export function refuseExisting(path: string, force: boolean): void {
  if (!force && existsSync(path)) throw exists(path);
}

/**
 * Writes a machine file, making its folder when there is none. With `force` a file that is there is first copied beside
 * itself, under a name that is free.
 * @throws Mistake when it is there (without `force`), or cannot be written
 */
export function writeMachine(path: string, text: string, force: boolean): { readonly backup: string | undefined } {
  if (force && existsSync(path)) {
    const backup = keep(path);
    replaceSource(path, text);
    return { backup };
  }
  makeFolder(path);
  try {
    writeFileSync(path, text, { flag: 'wx' });
    return { backup: undefined };
  } catch (error) {
    throw codeOf(error) === 'EEXIST' ? exists(path) : unwritable(path, error);
  }
}

function makeFolder(path: string): void {
  try {
    mkdirSync(dirname(resolve(path)), { recursive: true });
  } catch (error) {
    throw unwritable(path, error);
  }
}

function keep(path: string): string {
  for (let number = 1; ; number += 1) {
    const backup = `${path}.bak${number === 1 ? '' : number}`;
    try {
      copyFileSync(path, backup, constants.COPYFILE_EXCL);
      return backup;
    } catch (error) {
      if (codeOf(error) !== 'EEXIST') throw unwritable(path, error);
    }
  }
}

function unwritable(path: string, error: unknown): Mistake {
  const code = codeOf(error);
  // A file where a folder is wanted has a code of its own in each call.
  const cause = code === 'EEXIST' || code === 'ENOTDIR' ? 'a part of the path is not a directory' : causeOf(error);
  return new Mistake(`${printable(path)}: the machine file cannot be written: ${cause}`, EXIT.usage);
}

function exists(path: string): Mistake {
  const name = printable(path);
  return new Mistake(`${name}: expected a new file, found one that exists; --force writes it anew and keeps the old one as ${name}.bak`, EXIT.usage);
}

function codeOf(error: unknown): unknown {
  return error instanceof Error && 'code' in error ? error.code : undefined;
}
