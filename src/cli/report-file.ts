import { mkdirSync, realpathSync, writeFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { EXIT, Mistake } from './exit.ts';
import { printable } from './layout.ts';
import { causeOf } from './source-file.ts';

/**
 * Writes a page, making its folder when there is none.
 * @returns what was made: where the page lies, and a folder that was not there before
 * @throws Mistake when it cannot be written
 */
export function writeReport(path: string, html: string): string {
  try {
    const made = mkdirSync(dirname(resolve(path)), { recursive: true });
    writeFileSync(path, html);
    return made === undefined ? printable(path) : `${printable(path)} (made the folder ${printable(made)})`;
  } catch (error) {
    throw new Mistake(`${printable(path)}: the report cannot be written: ${causeOf(error)}`, EXIT.usage);
  }
}

/**
 * Keeps a slip of the keyboard from writing a report over the machine.
 * @throws Mistake when both paths are one file
 */
export function refuseSameFile(machine: string, report: string, option = '--report'): void {
  if (realPathOf(machine) === realPathOf(report)) {
    throw new Mistake(`${option}: expected another file than the machine's, found ${printable(report)}`, EXIT.usage);
  }
}

function realPathOf(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    // What does not exist yet cannot be a link.
    return resolve(path);
  }
}
