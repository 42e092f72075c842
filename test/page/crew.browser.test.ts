import type { BrowserContextOptions, Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { axeComplaints } from './axe.ts';
import { forThisFile, openPage, PHONE, type Watched } from './browser.ts';

const here = forThisFile();

/** What the page asked of the device instead of the device itself. */
interface Asked {
  readonly said: string[];
  readonly vibrated: number[][];
  readonly awake: number;
}

/** Stands in for voice, vibration and wake lock, which a browser without a screen does not have. */
const DEVICE = `
  globalThis.asked = { said: [], vibrated: [], awake: 0 };
  Object.defineProperty(globalThis, 'speechSynthesis', { value: { cancel() {}, speak(one) { asked.said.push(one.text); } } });
  globalThis.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
  Object.defineProperty(navigator, 'vibrate', { value: (pattern) => { asked.vibrated.push(pattern); return true; } });
  Object.defineProperty(navigator, 'wakeLock', { value: { request: async () => { asked.awake += 1; return { release: async () => { asked.awake -= 1; } }; } } });
`;

async function openCrew(demo: string, options: BrowserContextOptions = {}): Promise<Watched> {
  const watched = await openPage(here.browser, `${here.address}#/machines`, { viewport: PHONE, ...options });
  await watched.page.addInitScript(DEVICE);
  await watched.page.getByRole('button', { name: demo, exact: true }).click();
  await watched.page.getByRole('heading', { name: demo }).waitFor();
  await watched.page.getByText('Saved in this browser.').waitFor();
  await watched.page.goto(`${here.address}#/crew`);
  await watched.page.reload();
  await watched.page.locator('.crew-go:enabled').first().waitFor();
  return watched;
}

function asked(page: Page): Promise<Asked> {
  return page.evaluate(() => (globalThis as unknown as { asked: Asked }).asked);
}

/** Goes on until a screen with this title. */
async function until(page: Page, title: string): Promise<readonly string[]> {
  const seen: string[] = [];
  for (;;) {
    const now = (await page.locator('.crew h1').textContent()) ?? '';
    if (now === title) return seen;
    seen.push(now);
    if (seen.length > 20) throw new Error(`never came to ${title}: ${seen.join('; ')}`);
    const next = page.locator('.crew-next');
    if (await next.evaluate((one) => one.classList.contains('cue'))) await next.click();
    await page.locator('.crew-next:enabled').click();
  }
}

it('reads a power-up out without a network: stuck switches first, the count from the crew’s cue, a line in the log', async () => {
  const { page, context, complaints } = await openCrew('LIFT6S');
  expect(await page.getByText('Not ready').count()).toBe(0);
  await context.setOffline(true);
  await page.getByRole('button', { name: 'Power up', exact: true }).click();
  // The button of machines/lift6s.yaml is tried before its first step, "crew: transmitter on".
  const checks = await until(page, 'Transmitter on');
  expect(checks.some((title) => /^Press .*S1 twice$/.test(title))).toBe(true);
  await until(page, 'Press soft-start button S1 and keep it pressed');
  await page.getByText('In the file: 2 s.').waitFor();
  // Nothing runs before somebody has said "now", and nobody goes on before the file's 2 s are over.
  await page.waitForTimeout(300);
  expect(await page.locator('.crew-count .number').textContent()).toBe('2.0');
  const began = Date.now();
  await page.getByRole('button', { name: 'Say “now” as you press it' }).click();
  expect(await page.locator('.crew-next').isDisabled()).toBe(true);
  await page.getByText('a guide only').waitFor();
  await page.locator('.crew-next:enabled').waitFor();
  expect(Date.now() - began).toBeGreaterThan(1900);
  await page.locator('.crew-next').click();
  await until(page, 'It is powered up');
  const line = page.locator('.crew-log p').first();
  expect(await line.textContent()).toMatch(/LIFT6S \(\w{10}\), power up: done after \d+ s; Press soft-start button S1 and keep it pressed: held [2-9]\.\d s/);
  await page.getByLabel('Match, pack voltage, initials').fill('final, 25.1 V');
  await page.getByLabel('Match, pack voltage, initials').blur();
  await page.getByRole('button', { name: 'Go on' }).click();
  await context.setOffline(false);
  await page.reload();
  await page.locator('.crew-log li', { hasText: 'final, 25.1 V' }).waitFor();
  expect(complaints).toEqual([]);
  await context.close();
});

it('says before the first step that a soft start never finishes, gives it no count, and leads back from it', async () => {
  const { page, context } = await openCrew('CRUSH10S');
  // machines.md names it as a seeded flaw: 100 ohm in front of a converter that starts at 9 V.
  await page.locator('.crew-bad', { hasText: 'Does the soft start ever finish?' }).waitFor();
  await page.getByRole('button', { name: 'Power up all the same' }).click();
  await until(page, 'Drive isolator Q1 to CHARGE');
  expect(await page.locator('.crew-ring').count()).toBe(0);
  await page.locator('.crew-warning', { hasText: 'No time is enough' }).waitFor();
  await page.getByRole('button', { name: 'Not so' }).click();
  await page.getByRole('heading', { name: 'Let go: something is on.' }).waitFor();
  // By hand from the procedure of machines/crush10s.yaml: what is closed by then, the last one first.
  expect(await page.locator('.crew-orders li').allTextContents()).toEqual(['Q1 OFF', 'LK1 out']);
  await page.getByRole('button', { name: 'All is off: stop' }).click();
  await page.locator('.crew-log', { hasText: 'stopped at step 3 of 9 (Drive isolator Q1 to CHARGE)' }).waitFor();
  await page.getByRole('button', { name: 'Done' }).click();
  // After the last switch: the wait that the answer about discharging names, 5 V as its end.
  await page.getByRole('button', { name: 'Power down' }).click();
  await until(page, 'Hands away until it is empty');
  await page.locator('.crew-shows', { hasText: 'below 5 V' }).waitFor();
  await page.getByText('Computed from the last switch').waitFor();
  await page.getByRole('button', { name: 'Leave' }).click();
  await page.locator('.crew-log li', { hasText: 'power down: left at step' }).waitFor();
  await context.close();
});

it('speaks, vibrates and keeps the screen on, each only while it is switched on', async () => {
  const { page, context } = await openCrew('LIFT6S');
  expect((await asked(page)).awake).toBe(1);
  await page.getByLabel('Screen stays on').uncheck();
  expect((await asked(page)).awake).toBe(0);
  await page.getByRole('button', { name: 'Power up', exact: true }).click();
  expect((await asked(page)).said.at(-1)).toContain('Weapon locked, wheels off the ground');
  expect((await asked(page)).vibrated.length).toBeGreaterThan(0);
  await page.getByRole('button', { name: 'Leave' }).click();
  await page.getByLabel('Reads aloud').uncheck();
  await page.getByLabel('Vibrates').uncheck();
  const before = await asked(page);
  await page.getByRole('button', { name: 'Power up', exact: true }).click();
  await page.locator('.crew-next').click();
  await page.getByRole('button', { name: 'Not so' }).click();
  const after = await asked(page);
  expect(after.said).toEqual(before.said);
  expect(after.vibrated).toEqual(before.vibrated);
  await context.close();
});

it('goes through by keys alone, forward and back', async () => {
  const { page, context } = await openCrew('BAR3S');
  await page.getByRole('button', { name: 'Power up', exact: true }).focus();
  await page.keyboard.press('Enter');
  await page.getByText('Check 1 of').waitFor();
  await page.keyboard.press('PageDown');
  await page.getByText('Check 2 of').waitFor();
  await page.keyboard.press('ArrowLeft');
  await page.getByText('Check 1 of').waitFor();
  await page.keyboard.press('Escape');
  await page.getByText('Stop here until it is locked.').waitFor();
  await context.close();
});

it.each(['light', 'dark'] as const)('has nothing for axe to complain about in the %s theme', async (colorScheme) => {
  const { page, context } = await openCrew('CRUSH10S', { colorScheme, bypassCSP: true });
  expect(await axeComplaints(page)).toEqual([]);
  await page.locator('.crew-go').first().click();
  expect(await axeComplaints(page)).toEqual([]);
  await until(page, 'Drive isolator Q1 to CHARGE');
  expect(await axeComplaints(page)).toEqual([]);
  await until(page, 'Arm isolator Q2 to CHARGE');
  // All of a step is seen without scrolling, down to what to do when it does not show.
  const [last, foot] = [await page.locator('.crew-if-not').boundingBox(), await page.locator('.crew-foot').boundingBox()];
  if (last === null || foot === null) throw new Error('the step is not shown');
  expect(last.y + last.height).toBeLessThanOrEqual(foot.y);
  expect(foot.y + foot.height).toBeLessThanOrEqual(PHONE.height);
  await page.locator('.crew-next').click();
  expect(await axeComplaints(page)).toEqual([]);
  await page.locator('.crew-overdue').waitFor();
  expect(await axeComplaints(page)).toEqual([]);
  await page.getByRole('button', { name: 'Not so' }).click();
  expect(await axeComplaints(page)).toEqual([]);
  await page.getByRole('button', { name: 'All is off: stop' }).click();
  expect(await axeComplaints(page)).toEqual([]);
  await context.close();
});
