import { readFileSync } from 'node:fs';
import type { BrowserContextOptions } from 'playwright-core';
import { expect, it } from 'vitest';
import { machineInside } from '../../src/sheets/share/share-page.ts';
import { axeComplaints } from './axe.ts';
import { demo, forThisFile, LAPTOP, openPage, PHONE, type Watched } from './browser.ts';

const here = forThisFile();

/** The papers of the main demo, once they are made. */
async function openPapers(options: BrowserContextOptions): Promise<Watched> {
  const watched = await openPage(here.browser, `${here.address}#/papers`, { ...options, acceptDownloads: true });
  await watched.page.locator('.papers-sheet').waitFor({ timeout: 110_000 });
  return watched;
}

it('shows the papers, and saves one, its table and the page to share with the machine file in it byte for byte', async () => {
  const { page, context, complaints, addresses } = await openPapers({ viewport: LAPTOP });
  await page.getByLabel('Revision').fill('B');
  await page.getByRole('button', { name: 'Wire list' }).click();
  await page.locator('.papers-sheet h2', { hasText: 'CRUSH10S: Wire list' }).waitFor();
  await page.locator('.papers-sheet .stamp', { hasText: 'revision B' }).waitFor();
  const saved = async (button: string): Promise<{ readonly name: string; readonly content: string }> => {
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: button }).click()]);
    return { name: download.suggestedFilename(), content: readFileSync(await download.path(), 'utf8') };
  };
  const table = await saved('Save as a table (CSV)');
  expect(table.name).toBe('crush10s-wire-list.csv');
  expect(table.content.split('\n').length).toBeGreaterThan(10);
  const paper = await saved('Save as a page');
  expect(paper.content).toContain('<title>CRUSH10S: Wire list</title>');
  const share = await saved('Save one page to share');
  expect(machineInside(share.content)).toBe(demo('crush10s.yaml'));
  expect(complaints).toEqual([]);
  expect(addresses.every((address) => address.startsWith(here.address) || address.startsWith('blob:'))).toBe(true);
  await context.close();
});

it.each([['laptop', LAPTOP], ['phone', PHONE]] as const)('has no accessibility complaint on a %s, light or dark', async (_where, viewport) => {
  const { page, context } = await openPapers({ viewport, bypassCSP: true });
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme });
    expect(await axeComplaints(page)).toEqual([]);
  }
  if (viewport === PHONE) {
    await page.getByRole('combobox', { name: /^Paper/ }).selectOption('emergency-card');
    await page.locator('.papers-sheet h2', { hasText: 'Emergency card' }).waitFor();
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
  }
  await context.close();
});
