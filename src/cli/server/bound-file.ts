import { createHash } from 'node:crypto';
import { statSync } from 'node:fs';
import { basename, resolve } from 'node:path';
import { watch } from 'chokidar';
import { readSource } from '../source-file.ts';
import { replaceSource } from '../write-source.ts';

/** The text of a file with what tells this state of it from every other. */
export interface FileState {
  readonly name: string;
  readonly text: string;
  readonly version: string;
}

/** The one file that the page is bound to. */
export class BoundFile {
  readonly path: string;

  constructor(path: string) {
    this.path = resolve(path);
  }

  /** @throws Mistake when it cannot be read */
  read(): FileState {
    const text = readSource(this.path);
    return { name: basename(this.path), text, version: this.versionOf(text) };
  }

  /**
   * Writes the file in one step, unless it is no longer the one that the new text was made from.
   * @returns its new state, or the state that it is in
   * @throws Mistake when it cannot be read or written
   */
  write(text: string, version: string): { readonly written: boolean; readonly state: FileState } {
    const now = this.read();
    if (now.version !== version) return { written: false, state: now };
    replaceSource(this.path, text);
    return { written: true, state: this.read() };
  }

  /** Tells of every change on disk, once for each save however an editor saves; to be called to end it. */
  follow(changed: () => void): () => Promise<void> {
    const watcher = watch(this.path, { ignoreInitial: true, awaitWriteFinish: { stabilityThreshold: 60, pollInterval: 20 }, atomic: true });
    watcher.on('all', changed);
    return () => watcher.close();
  }

  /** Time and content: two states with one text are still two. */
  private versionOf(text: string): string {
    const { mtimeMs } = statSync(this.path);
    return createHash('sha256').update(`${mtimeMs}\n`).update(text).digest('hex').slice(0, 32);
  }
}
