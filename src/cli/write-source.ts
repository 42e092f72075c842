import { chmodSync, mkdirSync, realpathSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { EXIT, Mistake } from './exit.ts';
import { printable } from './layout.ts';
import { causeOf, isPage } from './source-file.ts';

/**
 * Replaces the text of a machine file in one step: who reads it meanwhile sees the old text or the new one, and a full
 * disk leaves the old one. A link stays a link, and the file keeps its permissions.
 * @throws Mistake when it cannot be written; the file is then as it was
 */
export function replaceSource(path: string, text: string): void {
  if (isPage(path)) throw new Mistake(`${printable(path)}: expected a machine file to write into, found a share page; \`ampwright open\` puts its machine file beside it`, EXIT.file);
  let beside: string | undefined;
  try {
    const target = realpathSync(path);
    beside = join(dirname(target), `.${basename(target)}.${process.pid}.new`);
    writeFileSync(beside, text, { flag: 'wx' });
    chmodSync(beside, statSync(target).mode);
    renameSync(beside, target);
  } catch (error) {
    if (beside !== undefined) rmSync(beside, { force: true });
    throw new Mistake(`${printable(path)}: it cannot be written: ${causeOf(error)}`, EXIT.file);
  }
}

/**
 * Writes a new file in one step, or one in another's place, making its folder when there is none.
 * @throws Mistake when it cannot be written; what was there before is then as it was
 */
export function writeWhole(path: string, text: string): void {
  let beside: string | undefined;
  try {
    const target = resolve(path);
    mkdirSync(dirname(target), { recursive: true });
    beside = join(dirname(target), `.${basename(target)}.${process.pid}.new`);
    writeFileSync(beside, text, { flag: 'wx' });
    renameSync(beside, target);
  } catch (error) {
    if (beside !== undefined) rmSync(beside, { force: true });
    throw new Mistake(`${printable(path)}: it cannot be written: ${causeOf(error)}`, EXIT.usage);
  }
}
