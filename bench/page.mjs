// The page in a real browser: first answers, an edit to its verdicts, how long its main thread is held up, what it loads. Prints JSON.
/* global window, document, PerformanceObserver */
import { copyFileSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { chromium as browsers } from 'playwright-core';
import { chromium } from '../scripts/chromium.mjs';
import { served } from '../scripts/served.mjs';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const EDITS = 9;

const executablePath = chromium();
if (executablePath === undefined) throw new Error('The page is measured in a Chromium, and there is none.');
const folder = mkdtempSync(join(tmpdir(), 'ampwright-bench-'));
const machine = join(folder, 'crush10s.yaml');
copyFileSync(join(root, 'machines', 'crush10s.yaml'), machine);
const address = await served(machine);
const browser = await browsers.launch({ executablePath, args: ['--no-sandbox', '--disable-gpu'] });

const openings = [];
for (let k = 0; k < 3; k++) {
  const page = await newPage();
  const asked = new Set();
  page.on('request', (request) => request.url().endsWith('.js') && asked.add(request.url()));
  await page.goto(`${address}#/questions/stall`);
  await page.waitForFunction(() => window.measured.count() >= 20, undefined, { polling: 20, timeout: 120_000 });
  const workers = page.workers().map((worker) => worker.url());
  openings.push({ times: Object.values(await page.evaluate('window.measured.times()')), scripts_kB: sizeOf([...asked]), own_kB: sizeOf([...asked].filter((address) => !workers.includes(address))) });
  await page.close();
}

const page = await newPage();
await page.goto(`${address}#/questions/stall`);
await page.locator('.progress', { hasText: 'up to date' }).waitFor({ timeout: 200_000 });
await page.evaluate("location.hash = '#/hand/R1'");
const field = page.locator('.hand .field', { hasText: 'resistance' }).locator('input').first();
await field.waitFor();
await page.evaluate('window.measured.long.length = 0');
const edits = [];
for (let k = 0; k < EDITS; k++) {
  await page.evaluate('window.measured.watch()');
  await field.fill(`${100 + (k % 2 === 0 ? -60 : 0)} Ω`);
  await field.press('Enter');
  await page.waitForFunction(() => window.measured.count() >= 20, undefined, { polling: 10, timeout: 60_000 });
  edits.push(await page.evaluate('window.measured.times()'));
  await page.locator('.progress', { hasText: 'up to date' }).waitFor({ timeout: 200_000 });
}
const long_ms = await page.evaluate('window.measured.long');
await browser.close();
rmSync(folder, { recursive: true });

const middle = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];
const questions = Object.keys(edits[0]);
console.log(JSON.stringify({
  first_ms: Math.min(...openings.map(({ times }) => Math.min(...times))),
  allFirst_ms: Math.min(...openings.map(({ times }) => Math.max(...times))),
  edits: Object.fromEntries(questions.map((name) => [name, { middle_ms: middle(edits.map((one) => one[name])), least_ms: Math.min(...edits.map((one) => one[name])) }])),
  longest_ms: Math.max(0, ...long_ms),
  scripts_kB: openings[0].scripts_kB,
  own_kB: openings[0].own_kB,
}));
process.exit(0);

/** A page that notes when its answers come and how long its main thread was held up. */
async function newPage() {
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 }, reducedMotion: 'reduce' });
  await page.addInitScript(() => {
    const long = [];
    new PerformanceObserver((list) => long.push(...list.getEntries().map(({ duration }) => duration))).observe({ type: 'longtask', buffered: true });
    let began = 0;
    const come = () => performance.getEntriesByType('mark').filter(({ name, startTime }) => name === 'answer first' && startTime >= began);
    window.measured = {
      long,
      watch: () => document.addEventListener('keydown', () => (began = performance.now()), { once: true, capture: true }),
      count: () => new Set(come().map(({ detail }) => detail)).size,
      times: () => Object.fromEntries(come().reverse().map(({ detail, startTime }) => [detail, startTime - began])),
    };
  });
  return page;
}

/** Compressed size of scripts, kB. */
function sizeOf(addresses) {
  const assets = join(root, 'dist', 'page', 'assets');
  return addresses.reduce((sum, address) => sum + gzipSync(readFileSync(join(assets, basename(new URL(address).pathname)))).length / 1000, 0);
}
