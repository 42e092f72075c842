import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { axeComplaints } from './axe.ts';
import { demo, forThisFile, LAPTOP, openPage, PHONE } from './browser.ts';

const here = forThisFile();

const next = (page: Page) => page.getByRole('button', { name: 'Next' });

async function fileText(page: Page): Promise<string> {
  await page.goto(`${here.address}#/file`);
  const area = page.getByLabel('Text of the machine file');
  await area.waitFor();
  return area.inputValue();
}

it('makes a machine that answers from four screens, on a phone', async () => {
  const { page, context, complaints } = await openPage(here.browser, `${here.address}#/start`, { viewport: PHONE });
  await page.getByText('A lifter or flipper').click();
  await page.getByLabel('Its name').fill('PICKAXE');
  await next(page).click();
  await page.getByRole('button', { name: '8S' }).click();
  // A value as people write it, and how it is understood: 5000 mAh are 5 Ah.
  await page.getByLabel('Capacity', { exact: true }).fill('5000mAh');
  await page.getByText('read as 5 Ah').waitFor();
  await next(page).click();
  await page.getByRole('group', { name: 'Rating of each: usual' }).getByRole('button', { name: '80 A' }).click();
  await next(page).click();
  // What a link cannot have is not offered.
  expect(await page.getByLabel(/A CHARGE position/).isDisabled()).toBe(true);
  await page.getByText('A push button and a resistor').click();
  await next(page).click();
  await page.getByRole('heading', { name: 'That makes a machine' }).waitFor();
  await page.getByRole('button', { name: 'This is my machine' }).click();
  await page.getByRole('heading', { name: 'PICKAXE' }).waitFor();
  await page.locator('.row').first().waitFor();
  const text = await fileText(page);
  for (const line of ['machine: PICKAXE', 'cells: 8', 'capacity: 5000mAh', 'motor current: 80 A', 'kind: link', 'kind: button', '(assumed)', 'class default']) expect(text).toContain(line);
  expect(complaints).toEqual([]);
  await context.close();
});

it('loses nothing on the way back, and says why a value is not taken', async () => {
  const { page, context } = await openPage(here.browser, `${here.address}#/start`, { viewport: PHONE });
  await page.getByText('A pusher').click();
  await next(page).click();
  const capacity = page.getByLabel('Capacity', { exact: true });
  await capacity.fill('5 V');
  await page.locator('.start-value .trouble', { hasText: 'Expected' }).waitFor();
  expect(await next(page).isDisabled()).toBe(true);
  await capacity.fill('4.4 Ah');
  await next(page).click();
  await page.getByLabel('Rating of each', { exact: true }).fill('70 A ±10 %');
  await page.getByRole('button', { name: 'Back' }).click();
  expect(await capacity.inputValue()).toBe('4.4 Ah');
  await page.getByRole('button', { name: 'Leave' }).click();
  await page.goto(`${here.address}#/start`);
  await next(page).click();
  expect(await page.getByLabel('Rating of each', { exact: true }).inputValue()).toBe('70 A ±10 %');
  await page.getByText('63 A to 77 A').waitFor();
  await context.close();
});

it('can be walked by keys alone, with the drawing growing beside it on a laptop', async () => {
  const { page, context } = await openPage(here.browser, `${here.address}#/start`, { viewport: LAPTOP });
  await page.locator('.start-drawing svg').waitFor();
  await page.getByLabel(/A small spinner/).focus();
  await page.keyboard.press('Space');
  for (const title of ['Which pack?', 'What moves?', 'How is it switched?', 'That makes a machine']) {
    // From a field as well as from the button.
    await (title === 'Which pack?' ? page.getByLabel('Its name') : next(page)).focus();
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: title }).waitFor();
    expect(await page.evaluate(() => document.activeElement?.tagName)).toBe('H1');
  }
  await page.getByRole('button', { name: 'This is my machine' }).focus();
  await page.keyboard.press('Enter');
  await page.locator('.ink g[data-part=T1]').waitFor();
  await context.close();
});

it('starts from a demo, a file or a share page as well, and says why another page is none', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'ampwright-start-'));
  const share = join(folder, 'shared.html');
  writeFileSync(share, `<!doctype html><template id="ampwright-machine-file">\n${Buffer.from(demo('lift6s.yaml')).toString('base64')}\n</template>`);
  const none = join(folder, 'none.html');
  writeFileSync(none, '<!doctype html><p>nothing');
  const { page, context } = await openPage(here.browser, `${here.address}#/start`, { viewport: PHONE });
  await page.getByText('Or start from a demo').click();
  await page.getByLabel('Machine file or share page').setInputFiles(none);
  await page.getByText('this page holds no machine file').waitFor();
  await page.getByLabel('Machine file or share page').setInputFiles(share);
  await page.getByRole('heading', { name: 'LIFT6S' }).waitFor();
  expect(await fileText(page)).toBe(demo('lift6s.yaml'));
  await page.goto(`${here.address}#/start`);
  await page.getByText('Or start from a demo').click();
  await page.getByRole('button', { name: 'BOARD10S' }).click();
  await page.getByRole('heading', { name: 'BOARD10S' }).waitFor();
  await context.close();
  rmSync(folder, { recursive: true });
});

it.each([['light', PHONE], ['dark', PHONE], ['light', LAPTOP], ['dark', LAPTOP]] as const)('has nothing for axe to complain about in the %s theme at %o', async (colorScheme, viewport) => {
  const { page, context } = await openPage(here.browser, `${here.address}#/start`, { colorScheme, viewport, bypassCSP: true });
  await page.getByRole('heading', { name: 'What are you building?' }).waitFor();
  if (viewport === LAPTOP) await page.locator('.start-drawing svg').waitFor();
  for (let screen = 0; screen < 5; screen += 1) {
    expect(await axeComplaints(page), `screen ${screen + 1}`).toEqual([]);
    if (screen < 4) await next(page).click();
  }
  await context.close();
});
