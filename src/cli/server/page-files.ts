import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';

/** A file of the page's build, ready to be sent. */
export interface PageFile {
  readonly body: Buffer;
  readonly type: string;
  /** Its name holds a hash of its contents. */
  readonly lasting: boolean;
}

const TYPES: Readonly<Record<string, string>> = {
  html: 'text/html; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  css: 'text/css; charset=utf-8',
  svg: 'image/svg+xml',
  webmanifest: 'application/manifest+json',
  woff2: 'font/woff2',
  txt: 'text/plain; charset=utf-8',
};

/**
 * Every file of the page's build by its path in the address. What is not listed here is not served, whatever the address says.
 * @returns undefined where the page has not been built
 */
export function pageFiles(folder: string): ReadonlyMap<string, PageFile> | undefined {
  if (!existsSync(join(folder, 'index.html'))) return undefined;
  const files = new Map<string, PageFile>();
  for (const name of readdirSync(folder, { recursive: true, encoding: 'utf8' })) {
    const path = join(folder, name);
    const type = TYPES[name.slice(name.lastIndexOf('.') + 1)];
    if (type === undefined || !statSync(path).isFile()) continue;
    const address = `/${name.replaceAll('\\', '/')}`;
    files.set(address, { body: readFileSync(path), type, lasting: address.startsWith('/assets/') });
  }
  return files;
}
