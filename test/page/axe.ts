import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

interface Found {
  readonly violations: readonly { readonly id: string; readonly nodes: readonly { readonly html: string }[] }[];
}

/**
 * What axe-core complains about on the page as it stands; the page must have been opened with `bypassCSP`.
 * Source: axe-core 4.14.1, rules tagged WCAG 2.0, 2.1 and 2.2 A and AA, and its best practices.
 * @param only  names of the rules that are asked; all where left out
 */
export async function axeComplaints(page: Page, only?: readonly string[]): Promise<readonly string[]> {
  await page.evaluate(AXE);
  const options = only === undefined ? {} : { runOnly: only };
  const found = await page.evaluate((given) => (globalThis as unknown as { axe: { run(options: object): Promise<unknown> } }).axe.run(given), options) as Found;
  return found.violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map(({ html }) => html.slice(0, 160)).join(' | ')}`);
}
