import { expect, it } from 'vitest';
import { axeComplaints } from './axe.ts';
import { forThisFile, LAPTOP, openPage, PHONE } from './browser.ts';

const here = forThisFile();

it.each([
  ['light', LAPTOP], ['dark', LAPTOP], ['light', PHONE], ['dark', PHONE],
] as const)('has nothing to complain about in the %s theme at %o', async (colorScheme, viewport) => {
  // axe is put in from outside, which the page's own policy forbids.
  const { page, context } = await openPage(here.browser, here.address, { colorScheme, viewport, bypassCSP: true });
  await page.locator('.row').nth(3).waitFor();
  // What is looked at is the page, not how long it computes.
  await page.getByRole('button', { name: 'Stop' }).click({ timeout: 5000 }).catch(() => undefined);
  if (viewport === LAPTOP) await page.locator('.ink svg').waitFor();
  const screens = ['questions', 'questions/stall', 'hand', 'hand/T3', 'file', 'machines', ...(viewport === PHONE ? ['drawing'] : [])];
  for (const screen of screens) {
    await page.evaluate((hash) => void (location.hash = `#/${hash}`), screen);
    await page.locator('.waiting').first().waitFor({ state: 'hidden', timeout: 500 }).catch(() => undefined);
    await page.waitForTimeout(150);
    // Themes differ in their colours alone.
    expect(await axeComplaints(page, colorScheme === 'dark' ? ['color-contrast'] : undefined), screen).toEqual([]);
  }
  await context.close();
});
