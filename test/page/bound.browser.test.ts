import { readFileSync, writeFileSync } from 'node:fs';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { bindDemo, launch, openPage, row } from './browser.ts';

/** One piece of the sentence that says the situation. */
function piece(page: Page, words: string) {
  return page.locator('.piece', { hasText: words }).locator('select');
}

let browser: Browser;
beforeAll(async () => {
  browser = await launch();
});
afterAll(() => browser.close());

it('changes a verdict when a value is edited, writes the file with its comments, and takes both back', async () => {
  const bound = await bindDemo('crush10s.yaml');
  const before = readFileSync(bound.path, 'utf8');
  const { page, complaints, context } = await openPage(browser, bound.served.address);
  const stall = row(page, 'Does the soft start ever finish?');
  await stall.locator('[aria-label=bad]').waitFor();
  await page.locator('g[data-part=Q1]').waitFor();
  await page.goto(`${bound.served.address}#/hand/R1`);
  const field = page.getByLabel('resistance', { exact: true });
  await field.fill('10R');
  await field.press('Enter');
  await page.getByText('read as 10 Ω').waitFor();
  await expect.poll(async () => page.locator('.row', { hasText: 'Does the soft start ever finish?' }).locator('[aria-label=bad]').count(), { timeout: 20_000 }).toBe(0);
  await page.getByText('Saved in crush10s.yaml.').waitFor();
  // What a person reads as the change is the only change of the file.
  expect(readFileSync(bound.path, 'utf8')).toBe(before.replace('resistance: 100 Ω, power: 10 W, construction: cement wirewound }\n  R2', 'resistance: 10R, power: 10 W, construction: cement wirewound }\n  R2'));
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect.poll(() => readFileSync(bound.path, 'utf8'), { timeout: 10_000 }).toBe(before);
  expect(complaints).toEqual([]);
  await context.close();
  await bound.close();
});

it('says beside the field why a value is not taken, and leaves the file alone', async () => {
  const bound = await bindDemo('crush10s.yaml');
  const before = readFileSync(bound.path, 'utf8');
  const { page, context } = await openPage(browser, `${bound.served.address}#/hand/F1`);
  const field = page.getByLabel('rating', { exact: true });
  await field.fill('150 V');
  await page.locator('.field .trouble', { hasText: 'Expected' }).waitFor();
  await field.fill('-30 A');
  await page.locator('.field .trouble', { hasText: 'Not taken' }).waitFor();
  expect(readFileSync(bound.path, 'utf8')).toBe(before);
  await context.close();
  await bound.close();
});

it('applies what an answer advises, shows the new verdict, and undoes it', async () => {
  const bound = await bindDemo('crush10s.yaml');
  const before = readFileSync(bound.path, 'utf8');
  const { page, context } = await openPage(browser, `${bound.served.address}#/questions/stall`);
  const change = page.locator('.changes li').first();
  await change.waitFor();
  const promised = (await change.locator('.again b').first().textContent()) ?? '';
  await change.getByRole('button', { name: 'Apply' }).click();
  await row(page, 'Does the soft start ever finish?').locator(`[aria-label="${promised}"]`).waitFor({ state: 'attached' });
  await expect.poll(() => readFileSync(bound.path, 'utf8'), { timeout: 10_000 }).not.toBe(before);
  await page.getByRole('button', { name: 'Undo' }).click();
  await row(page, 'Does the soft start ever finish?').locator('[aria-label=bad]').waitFor({ state: 'attached' });
  await expect.poll(() => readFileSync(bound.path, 'utf8'), { timeout: 10_000 }).toBe(before);
  await context.close();
  await bound.close();
});

it('merges a change on disk with one in the page, and asks where both touch one line', async () => {
  const bound = await bindDemo('crush10s.yaml');
  const { page, context } = await openPage(browser, `${bound.served.address}#/file`);
  const area = page.getByLabel('Text of the machine file');
  await expect.poll(() => area.inputValue()).toContain('CRUSH10S');
  writeFileSync(bound.path, readFileSync(bound.path, 'utf8').replace('mass: 60 kg', 'mass: 59 kg # weighed'));
  await expect.poll(() => area.inputValue(), { timeout: 10_000 }).toContain('mass: 59 kg # weighed');
  await area.fill((await area.inputValue()).replace('match: 3 min', 'match: 2 min'));
  await expect.poll(() => readFileSync(bound.path, 'utf8'), { timeout: 10_000 }).toMatch(/mass: 59 kg # weighed[^]*match: 2 min/);
  // Both change the same line before either has seen the other.
  await page.route('**/api/machine', (route) => (route.request().method() === 'GET' ? route.continue() : route.abort()));
  await area.fill((await area.inputValue()).replace('match: 2 min', 'match: 4 min'));
  await page.getByText('Not saved').waitFor();
  writeFileSync(bound.path, readFileSync(bound.path, 'utf8').replace('match: 2 min', 'match: 5 min'));
  await page.getByText('was changed on disk, in lines that you changed here too').waitFor();
  await page.unroute('**/api/machine');
  await page.getByRole('button', { name: 'Keep mine' }).click();
  await expect.poll(() => readFileSync(bound.path, 'utf8'), { timeout: 10_000 }).toContain('match: 4 min');
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect.poll(() => readFileSync(bound.path, 'utf8'), { timeout: 10_000 }).toContain('match: 5 min');
  await context.close();
  await bound.close();
});

it('shows what a switch does to the conductors and loads, in the drawing and in words', async () => {
  const bound = await bindDemo('crush10s.yaml');
  const { page, context } = await openPage(browser, bound.served.address);
  const bar = page.locator('.ink g.conductor[data-chain="wiring.arm"]').last();
  await expect.poll(() => bar.getAttribute('data-state'), { timeout: 15_000 }).toBe('live');
  await piece(page, 'arm isolator Q2').selectOption('OFF');
  await expect.poll(() => bar.getAttribute('data-state')).toBe('dead');
  await page.locator('.outcome .dead', { hasText: 'T4' }).waitFor();
  await piece(page, 'arm isolator Q2').selectOption('CHARGE');
  await expect.poll(() => bar.getAttribute('data-state')).toBe('fed');
  await piece(page, 'failed').selectOption('fuse F1 open');
  await page.locator('.outcome .dead', { hasText: 'T1' }).waitFor();
  await piece(page, 'failed').selectOption('');
  // By key: a part of the drawing is a button, and S turns a switch.
  await page.locator('.ink g[data-part=Q1]').focus();
  await page.keyboard.press('s');
  await page.locator('.outcome .dead', { hasText: 'T1' }).waitFor();
  await page.locator('.ink g[data-part=T4]').click({ position: { x: 4, y: 4 } });
  await page.getByRole('heading', { name: 'T4' }).waitFor();
  await page.locator('.ink g.path[data-part=R2], .ink g.path[data-part=Q2]').first().waitFor({ state: 'attached' });
  await context.close();
  await bound.close();
});
