import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The package's folder: the nearest above a module that holds a package.json, whether it runs from src/ or from dist/. */
export function packageFolderOf(moduleUrl: string): string {
  let folder = dirname(fileURLToPath(moduleUrl));
  while (!existsSync(join(folder, 'package.json'))) {
    const above = dirname(folder);
    if (above === folder) throw new Error('package.json: expected in a folder above the program, found none');
    folder = above;
  }
  return folder;
}

/** The version that package.json names. */
export function versionOf(folder: string): string {
  const manifest: unknown = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
  const version = typeof manifest === 'object' && manifest !== null && 'version' in manifest ? manifest.version : undefined;
  if (typeof version !== 'string') throw new Error('package.json: expected a version');
  return version;
}
