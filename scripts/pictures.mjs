// `npm run pictures`: every screen of the page at two sizes, light and dark, into docs/pictures/. Needs a built page.
import { copyFileSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { fileURLToPath } from 'node:url';
import { dirname, join } from 'node:path';
import { chromium } from './chromium.mjs';
import { ensureBuild } from './ensure-build.mjs';
import { served } from './served.mjs';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const target = join(root, 'docs', 'pictures');
const { chromium: browsers } = createRequire(import.meta.url)('playwright-core');

/** Screens by name: where they are, and what has to be done and seen before the picture is taken. */
const SCREENS = {
  main: { hash: '#/questions/stall', ready: '.answer .chart' },
  charge: { hash: '#/questions/stall', ready: '.ink g[data-part]', only: 'laptop', do: async (page) => {
    await page.locator('.piece', { hasText: 'drive isolator Q1' }).locator('select').selectOption('CHARGE');
    await page.evaluate("location.hash = '#/hand/T3'");
    await page.locator('.hand .field').first().waitFor();
  } },
  questions: { hash: '#/questions', ready: '.row', only: 'phone' },
  drawing: { hash: '#/drawing', ready: '.ink svg', only: 'phone' },
  hand: { hash: '#/hand/R1', ready: '.hand .field' },
  file: { hash: '#/file', ready: 'textarea' },
  'file-error': { hash: '#/file', ready: 'textarea', do: async (page) => {
    const area = page.locator('textarea');
    await page.waitForFunction("document.querySelector('textarea').value !== ''");
    await area.fill((await area.inputValue()).replace('resistance: 100 Ω', 'resistence: 100 Ohmm'));
    await page.locator('.issues').waitFor();
  } },
  machines: { hash: '#/machines', ready: '.machines' },
  time: { hash: '#/drawing', ready: '.ink g[data-part]', do: async (page) => {
    // What was typed wrongly for an earlier picture is nowhere but in the page.
    await page.reload();
    await page.getByRole('button', { name: 'Power-up', exact: true }).click();
    await page.locator('.ruler input').fill('755');
    await page.locator('.ink .figure').first().waitFor();
  } },
};
const SIZES = { laptop: { width: 1440, height: 900 }, phone: { width: 390, height: 844 } };

process.on('unhandledRejection', (error) => {
  console.error(error);
  process.exit(1);
});
ensureBuild();
mkdirSync(target, { recursive: true });
const folder = mkdtempSync(join(tmpdir(), 'ampwright-pictures-'));
const machine = join(folder, 'crush10s.yaml');
const executablePath = chromium();
if (executablePath === undefined) throw new Error('The pictures need a Chromium.');
const browser = await browsers.launch({ executablePath, args: ['--no-sandbox', '--disable-gpu', '--hide-scrollbars'] });
copyFileSync(join(root, 'machines', 'crush10s.yaml'), machine);
const address = await served(machine);
for (const [size, viewport] of Object.entries(SIZES)) {
  copyFileSync(join(root, 'machines', 'crush10s.yaml'), machine);
  const page = await browser.newPage({ viewport, reducedMotion: 'reduce' });
  await page.goto(`${address}#/questions`);
  await page.locator('.progress', { hasText: 'up to date' }).waitFor({ timeout: 200_000 });
  for (const [name, screen] of Object.entries(SCREENS)) {
    if (screen.only !== undefined && screen.only !== size) continue;
    await page.evaluate(`location.hash = ${JSON.stringify(screen.hash)}`);
    await page.locator(screen.ready).first().waitFor({ timeout: 120_000 });
    await screen.do?.(page);
    for (const colorScheme of ['light', 'dark']) {
      await page.emulateMedia({ colorScheme });
      await page.waitForTimeout(400);
      await page.screenshot({ path: join(target, `${name}-${size}-${colorScheme}.png`) });
    }
  }
  await page.close();
}
await browser.close();
rmSync(folder, { recursive: true });
process.exit(0);
