import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { TestProject } from 'vitest/node';
import { chromium, TO_INSTALL } from '../../scripts/chromium.mjs';

declare module 'vitest' {
  interface ProvidedContext {
    chromium: string;
    /** Folder of the page's build. */
    page: string;
  }
}

const folder = fileURLToPath(new URL('../../node_modules/.cache/page', import.meta.url));

/** Builds the page and finds a browser, once for all files. */
export function setup(project: TestProject): void {
  const found = chromium();
  if (found === undefined) throw new Error(`The browser tests need a Chromium: ${TO_INSTALL}.`);
  const root = fileURLToPath(new URL('../../', import.meta.url));
  // In a process of its own: this one is set up for tests, and the page is to be the one that people get.
  const { status, stderr } = spawnSync(process.execPath, ['node_modules/vite/bin/vite.js', 'build', '--outDir', folder, '--emptyOutDir', '--logLevel', 'error'], { cwd: root, encoding: 'utf8', env: { ...process.env, NODE_ENV: 'production' } });
  if (status !== 0) throw new Error(`The page does not build.\n${stderr}`);
  project.provide('chromium', found);
  project.provide('page', folder);
}
