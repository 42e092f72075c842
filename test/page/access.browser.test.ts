import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { hostStatic, LAPTOP, launch, openPage, PHONE } from './browser.ts';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

let browser: Browser;
let host: Awaited<ReturnType<typeof hostStatic>>;
beforeAll(async () => {
  browser = await launch();
  host = await hostStatic();
});
afterAll(async () => {
  await browser.close();
  await host.close();
});

interface Found {
  readonly violations: readonly { readonly id: string; readonly nodes: readonly { readonly html: string }[] }[];
}

// Source: axe-core 4.14.1, rules tagged WCAG 2.0, 2.1 and 2.2 A and AA, and its best practices.
it.each([
  ['light', LAPTOP], ['dark', LAPTOP], ['light', PHONE], ['dark', PHONE],
] as const)('has nothing to complain about in the %s theme at %o', async (colorScheme, viewport) => {
  // axe is put in from outside, which the page's own policy forbids.
  const { page, context } = await openPage(browser, host.address, { colorScheme, viewport, bypassCSP: true });
  await page.locator('.row').nth(3).waitFor();
  // What is looked at is the page, not how long it computes.
  await page.getByRole('button', { name: 'Stop' }).click({ timeout: 5000 }).catch(() => undefined);
  if (viewport === LAPTOP) await page.locator('.ink svg').waitFor();
  const screens = ['questions', 'questions/stall', 'hand', 'hand/T3', 'file', 'machines', ...(viewport === PHONE ? ['drawing'] : [])];
  await page.evaluate(AXE);
  for (const screen of screens) {
    await page.evaluate((hash) => void (location.hash = `#/${hash}`), screen);
    await page.locator('.waiting').first().waitFor({ state: 'hidden', timeout: 500 }).catch(() => undefined);
    await page.waitForTimeout(150);
    // Themes differ in their colours alone.
    const options = colorScheme === 'dark' ? { runOnly: ['color-contrast'] } : {};
    const found = await page.evaluate((only) => (globalThis as unknown as { axe: { run(options: object): Promise<unknown> } }).axe.run(only), options) as Found;
    expect(found.violations.map(({ id, nodes }) => `${screen}: ${id}: ${nodes.slice(0, 3).map(({ html }) => html.slice(0, 160)).join(' | ')}`)).toEqual([]);
  }
  await context.close();
});
