import { parse } from 'csv-parse/sync';
import type { Download, Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { axeComplaints } from './axe.ts';
import { forThisFile, LAPTOP, openPage, PHONE, row } from './browser.ts';

const here = forThisFile();

async function opened(run: 'Power-up' | 'Power-down' | 'Match', options: Parameters<typeof openPage>[2] = {}) {
  const watched = await openPage(here.browser, `${here.address}#/drawing`, options);
  const { page } = watched;
  await page.locator('.ink svg').waitFor();
  // What is looked at is a run, not the spread.
  await page.getByRole('button', { name: 'Stop' }).click({ timeout: 5000 }).catch(() => undefined);
  await page.getByRole('button', { name: run, exact: true }).click();
  await slider(page).waitFor({ timeout: 60_000 });
  return watched;
}

function slider(page: Page) {
  return page.getByRole('slider', { name: 'Moment of the run' });
}

function q1Of(page: Page) {
  return page.getByRole('combobox', { name: /^drive isolator Q1/ });
}

/** The voltage that the drawing has at a place, V. */
async function voltageAt(page: Page, place: string): Promise<number> {
  const text = await page.locator(`.ink g.point[data-point="${place}"] .figure text`).textContent();
  const found = /^(\u2212?[\d.]+)\u00A0(m?)V$/.exec(text ?? '');
  return found === null ? NaN : Number(found[1]!.replace('\u2212', '-')) * (found[2] === 'm' ? 1e-3 : 1);
}

async function textOf(download: Download): Promise<string> {
  const pieces: Buffer[] = [];
  for await (const piece of await download.createReadStream()) pieces.push(piece as Buffer);
  return Buffer.concat(pieces).toString('utf8');
}

describe('the power-up of the demo', () => {
  it('is scrubbed through the closing of Q1: drawing, switches, words and curves follow', async () => {
    const { page, context, complaints } = await opened('Power-up');
    const hop = slider(page);
    await hop.focus();
    expect(await hop.getAttribute('aria-valuetext')).toBe('0.000 s: insert LK1');
    // Marks on the way: Q1 to CHARGE, Q1 to ON.
    for (let k = 0; k < 2; k++) await page.keyboard.press('.');
    await expect.poll(() => hop.getAttribute('aria-valuetext')).toBe('3.000 s: Q1 to ON');
    // The machine file: the converter stops at 7.5 V and starts at 9 V, so that is where the bus is.
    const before = await voltageAt(page, 'drive');
    expect(before).toBeGreaterThan(7.4);
    expect(before).toBeLessThan(9.05);
    await expect.poll(() => page.locator('.ink g.point[data-point=drive].fed').count()).toBe(1);
    expect(await q1Of(page).inputValue()).toBe('OFF');
    // The contact touches 20 ms later: what is missing then is what the answer says.
    await page.keyboard.press('.');
    await expect.poll(() => hop.getAttribute('aria-valuetext')).toBe('3.020 s: Q1 to ON');
    const missing = Number(/([\d.]+)\sV across the contact/.exec(await row(page, 'Will closing a switch spark?').textContent() ?? '')?.[1]);
    expect(42 - await voltageAt(page, 'drive')).toBeCloseTo(missing, 1);
    // The slider's own key goes on to when the bus is full.
    for (let k = 0; k < 3; k++) await page.keyboard.press('ArrowRight');
    await expect.poll(() => voltageAt(page, 'drive')).toBeGreaterThan(41.5);
    await expect.poll(() => page.locator('.ink g.point[data-point=drive].live').count()).toBe(1);
    expect(await q1Of(page).inputValue()).toBe('ON');
    await page.locator('.ink g[data-part=Q1]').focus();
    await page.keyboard.press('Enter');
    const values = page.locator('.curve-values > div');
    await expect.poll(() => values.allTextContents()).toEqual([expect.stringMatching(/Q1 voltage across.*V$/), expect.stringMatching(/drive current.*A$/)]);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('is seen from minutes to microseconds, by key, wheel and button', async () => {
    const { page, context } = await opened('Power-up');
    const hop = slider(page);
    const span = page.locator('.time-span');
    await hop.focus();
    expect(await span.textContent()).toBe('8 s');
    for (let k = 0; k < 3; k++) await page.keyboard.press('.');
    for (let k = 0; k < 11; k++) await page.keyboard.press('+');
    expect(await span.textContent()).toMatch(/ µs$/);
    // Touched within this span: its words are on the ruler, and the bus is seen to rise.
    await page.locator('.ruler-words', { hasText: 'Q1 ON touches' }).waitFor();
    expect(await hop.getAttribute('aria-valuetext')).toMatch(/^3\.02\d\s\d{3}\s\d s: Q1 to ON$/);
    const at = async (): Promise<number> => voltageAt(page, 'drive');
    const low = await at();
    await page.keyboard.press('End');
    await expect.poll(at).toBeGreaterThan(low);
    await page.getByRole('button', { name: 'Whole' }).click();
    expect(await span.textContent()).toBe('8 s');
    const box = (await page.locator('.ruler').boundingBox())!;
    await page.mouse.move(box.x + box.width / 2, box.y + 20);
    // e^(−1000 · 0.0022) of 8.04 s.
    await page.mouse.wheel(0, -1000);
    await expect.poll(() => span.textContent()).toBe('0.89 s');
    await context.close();
  });

  it('is saved as a table with units in its header, and as a picture', async () => {
    const { page, context } = await opened('Power-up');
    await page.locator('.curves-body').waitFor();
    await page.getByRole('combobox', { name: 'Curves of' }).selectOption({ label: 'T1, left drive controller' });
    const [table] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Save as CSV', exact: true }).click()]);
    expect(table.suggestedFilename()).toBe('CRUSH10S power-up T1.csv');
    const rows: string[][] = parse(await textOf(table));
    expect(rows[0]).toEqual(['time (s)', 'T1 voltage (V)', 'T1 current (A)']);
    expect(rows.length).toBeGreaterThan(500);
    expect(Number(rows.at(-1)![1])).toBeCloseTo(42, 1);
    const [picture] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Save as picture' }).click()]);
    expect(picture.suggestedFilename()).toBe('CRUSH10S power-up T1.svg');
    const svg = await textOf(picture);
    expect(await page.evaluate((text) => new DOMParser().parseFromString(text, 'image/svg+xml').documentElement.nodeName, svg)).toBe('svg');
    expect(svg).toContain('T1 voltage: ');
    await context.close();
  });

  it('is left when a switch is turned by hand, and taken up again', async () => {
    const { page, context } = await opened('Power-up');
    const q1 = q1Of(page);
    await expect.poll(() => q1.inputValue()).toBe('OFF');
    await q1.selectOption('ON');
    await page.getByText('changed by hand').waitFor();
    await expect.poll(() => page.locator('.ink .figure').count()).toBe(0);
    await page.getByRole('button', { name: 'Back to the run' }).click();
    await expect.poll(() => q1.inputValue()).toBe('OFF');
    await page.getByRole('button', { name: 'Power-up', exact: true }).click();
    await expect.poll(() => q1.inputValue()).toBe('ON');
    expect(await slider(page).count()).toBe(0);
    await context.close();
  });

  it('steps from mark to mark where motion is to be reduced, and moves evenly where it is not', async () => {
    const still = await opened('Power-up');
    await still.page.getByRole('button', { name: 'Play' }).click();
    await expect.poll(() => slider(still.page).getAttribute('aria-valuetext')).toBe('1.000 s: Q1 to CHARGE, wait 2 s');
    await still.context.close();
    const { page, context } = await opened('Power-up', { reducedMotion: 'no-preference' });
    const places = (): Promise<unknown> => page.evaluate(() => ['.strip', '.sheet', '.key', '.ruler', '.drawer', '.panels'].map((name) => document.querySelector(name)?.getBoundingClientRect().toJSON() as unknown));
    await page.locator('.curve-values').waitFor();
    const before = await places();
    await page.getByRole('button', { name: 'Play' }).click();
    await expect.poll(() => slider(page).getAttribute('aria-valuetext'), { timeout: 10_000 }).toContain('Q1 to CHARGE');
    await page.getByRole('button', { name: 'Stop', exact: true }).click();
    const at = Number(/^([\d.]+) s/.exec(await slider(page).getAttribute('aria-valuetext') ?? '')?.[1]);
    expect(at).toBeGreaterThan(1);
    expect(at).toBeLessThan(8);
    expect(await places()).toEqual(before);
    await context.close();
  });
});

it('shows the match with temperatures, and an edit makes it anew at the same moment', async () => {
  const { page, context, complaints } = await opened('Match');
  await slider(page).fill('1000');
  await expect.poll(() => page.locator('.ink .figure', { hasText: '°C' }).count()).toBeGreaterThan(8);
  const at = await slider(page).getAttribute('aria-valuetext');
  expect(at).toMatch(/^1 min 30\.\d\d s/);
  await page.evaluate(() => void (location.hash = '#/hand/G1'));
  const field = page.locator('.hand .field', { hasText: 'full voltage' }).locator('input');
  await field.fill('41 V');
  await field.press('Enter');
  await expect.poll(() => voltageAt(page, 'bar'), { timeout: 30_000 }).toBeLessThan(41.1);
  expect(await slider(page).getAttribute('aria-valuetext')).toBe(at);
  expect(complaints).toEqual([]);
  await context.close();
});

it('reads the curves of an answer at a cursor, by key and by pointer', async () => {
  const { page, context } = await openPage(here.browser, `${here.address}#/questions/stall`);
  const cursor = page.getByRole('slider', { name: /^Cursor on the chart: Voltage of the bus/ });
  await cursor.waitFor({ timeout: 60_000 });
  await cursor.focus();
  for (let k = 0; k < 5; k++) await page.keyboard.press('PageUp');
  // Half of two seconds: the R·C rule says 42 V · (1 − e^(−1 s / 0.4 s)) = 38.6 V there, 100 Ω with 4 mF and what T3 adds.
  const words = await cursor.getAttribute('aria-valuetext') ?? '';
  expect(words).toMatch(/^time held 1 s; simulated [78]\.\d+ V; R·C rule 38\.\d V$/);
  expect(await page.locator('.chart-reading').first().textContent()).toBe(words);
  const frame = page.locator('.chart-frame').first();
  const box = (await frame.boundingBox())!;
  await page.mouse.move(box.x + box.width * 0.2, box.y + 40);
  await expect.poll(() => page.locator('.chart-reading').first().textContent()).not.toBe(words);
  await context.close();
});

// Source: axe-core 4.14.1, rules tagged WCAG 2.0, 2.1 and 2.2 A and AA, and its best practices.
it.each([
  ['light', LAPTOP], ['dark', LAPTOP], ['light', PHONE], ['dark', PHONE],
] as const)('has nothing for axe to complain about in the %s theme at %o', async (colorScheme, viewport) => {
  const { page, context } = await opened('Power-up', { colorScheme, viewport, bypassCSP: true });
  await slider(page).fill('420');
  if (viewport === LAPTOP) await page.locator('.curve-values').waitFor();
  expect(await axeComplaints(page)).toEqual([]);
  if (viewport === PHONE) {
    await page.getByRole('button', { name: 'Curves', exact: true }).click();
    await page.locator('.curve-values').waitFor();
    expect(await axeComplaints(page)).toEqual([]);
    // Nothing is wider than the phone.
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
  }
  await context.close();
});
