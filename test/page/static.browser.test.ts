import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { demo, forThisFile, hostStatic, openPage, PHONE } from './browser.ts';

const here = forThisFile();

it('opens again without a network, with the machine as it was left, and asks nobody else for anything', async () => {
  const own = await hostStatic();
  const { page, context, addresses, complaints } = await openPage(here.browser, `${own.address}#/file`, { viewport: PHONE });
  const area = page.getByLabel('Text of the machine file');
  await expect.poll(() => area.inputValue()).toContain('CRUSH10S');
  await area.fill((await area.inputValue()).replace('machine: CRUSH10S', 'machine: OFFLINE1'));
  await page.goto(`${own.address}#/questions`);
  await page.getByText('Saved in this browser.').waitFor();
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await expect.poll(() => page.evaluate(() => navigator.serviceWorker.controller !== null)).toBe(true);
  await own.close();
  await page.reload();
  await page.getByRole('heading', { name: 'OFFLINE1' }).waitFor();
  await page.locator('.row').first().waitFor();
  await page.goto(`${own.address}#/drawing`);
  await page.locator('.ink svg').waitFor();
  expect(new Set(addresses.filter((address) => !address.startsWith('blob:')).map((address) => new URL(address).origin))).toEqual(new Set([new URL(own.address).origin]));
  expect(complaints).toEqual([]);
  await context.close();
});

const HOSTILE = '<img src=x onerror=globalThis.broken=1><script>globalThis.broken=1</script>';

it.each([
  ['HTML in every name', demo('crush10s.yaml').replaceAll('drive isolator', HOSTILE).replace('machine: CRUSH10S', `machine: ${JSON.stringify(HOSTILE)}`).replaceAll('bolt-in fuse', HOSTILE), undefined],
  ['broken YAML', 'ampwright: 1\nmachine: [\n', /The file has/],
  ['10 MB', `ampwright: 1\n# ${'x'.repeat(10_000_000)}\n`, /expected a machine file of at most 1 MB/],
  ['no text', '\u0000\u0001\u0002', /The file has|expected/],
])('opens a hostile file without harm: %s', async (name, text, said) => {
  const folder = mkdtempSync(join(tmpdir(), 'ampwright-hostile-'));
  const path = join(folder, 'hostile.yaml');
  writeFileSync(path, text);
  const { page, context, complaints } = await openPage(here.browser, `${here.address}#/machines`);
  await page.getByLabel('Machine file or share page').setInputFiles(path);
  if (said === undefined) {
    await page.getByRole('heading', { name: HOSTILE }).waitFor();
    await page.locator('.ink g[data-part=Q1]').waitFor();
    await page.locator('.row').first().click();
    await page.locator('.answer .says').waitFor();
  } else await page.locator('.notices', { hasText: said }).waitFor();
  expect(await page.evaluate(() => 'broken' in globalThis), name).toBe(false);
  expect(await page.locator('img').count()).toBe(0);
  expect(complaints).toEqual([]);
  await context.close();
  rmSync(folder, { recursive: true });
});
