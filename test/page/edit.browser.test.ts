import type { Locator, Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { axeComplaints } from './axe.ts';
import { demo, forThisFile, LAPTOP, openPage, PHONE } from './browser.ts';

const here = forThisFile();

const CRUSH = demo('crush10s.yaml');

/** The tests may share the machine with others. */
const SOON = { timeout: 30_000 };

/** The middle of a line of the drawing, where a hand would point at it. */
async function pointAtLead(page: Page, lead: string): Promise<void> {
  const line = page.locator(`g.conductor[data-conductor="${lead}"] > polyline:not(.band-line)`).first();
  const middle = (): Promise<{ readonly x: number; readonly y: number } | undefined> =>
    line.evaluate((found) => {
      const shape = found as SVGGeometryElement;
      // The drawing may be made anew at this moment: then the line that was found is no longer in it.
      if (!shape.isConnected) return undefined;
      const point = shape.getPointAtLength(shape.getTotalLength() / 2).matrixTransform(shape.getScreenCTM() ?? undefined);
      return { x: point.x, y: point.y };
    });
  // Pointed at once it has stood still for a while.
  let at = await middle();
  for (let before; at === undefined || before === undefined || at.x !== before.x || at.y !== before.y; at = await middle()) {
    before = at;
    await page.waitForTimeout(500);
  }
  await page.mouse.click(at.x, at.y);
}

async function fileText(page: Page): Promise<string> {
  await page.evaluate(() => void (location.hash = '#/file'));
  const area = page.getByLabel('Text of the machine file');
  await area.waitFor();
  return area.inputValue();
}

async function takeInHand(page: Page, name: string): Promise<void> {
  await page.evaluate((hash) => void (location.hash = `#/hand/${encodeURIComponent(hash)}`), name);
  await page.locator('.hand-head h2').waitFor();
}

/** The name in hand, once it has the keyboard. */
async function newInHand(page: Page, name: string): Promise<void> {
  await expect.poll(() => page.evaluate(() => document.activeElement?.textContent), SOON).toBe(name);
}

/** One of the changes that can be made of what is in hand. */
function act(page: Page, words: string): Locator {
  return page.locator('.rebuild-acts').getByRole('button', { name: new RegExp(`^${words}`) });
}

function panel(page: Page): Locator {
  return page.locator('#rebuild-panel');
}

it('puts a fuse into a lead, duplicates a branch, connects a lamp, takes it out, and undoes all of it to the byte', async () => {
  const { page, context, complaints } = await openPage(here.browser, `${here.address}#/questions/fuses`);
  await page.locator('g[data-part=Q2]').waitFor();
  const answer = page.locator('.answer');
  await answer.waitFor();
  expect(await answer.textContent()).not.toContain('F2');

  await pointAtLead(page, 'wiring.arm#1');
  await page.getByRole('heading', { name: 'Q2 to T4' }).waitFor();
  await act(page, 'Put a part in here').click();
  await panel(page).getByLabel('rating', { exact: true }).fill('40 A');
  await panel(page).getByRole('button', { name: 'Put it in' }).click();
  await newInHand(page, 'F2');
  await page.locator('g[data-part=F2]').waitFor();
  await expect.poll(() => answer.textContent(), SOON).toContain('F2');

  await page.locator('g[data-part=Q2]').click();
  await act(page, 'Duplicate this branch').click();
  await panel(page).getByText('New parts: Q3 from Q2').waitFor();
  await panel(page).getByRole('button', { name: 'Duplicate it' }).click();
  await newInHand(page, 'Q3');
  await page.locator('g[data-part=T7]').waitFor();

  await page.locator('g.point[data-point=bar]').click();
  await page.getByRole('heading', { name: 'bar', exact: true }).waitFor();
  await act(page, 'Connect').click();
  await panel(page).getByLabel('To', { exact: true }).selectOption('new lamp');
  await panel(page).getByLabel('Its lead').fill('24 AWG 0.2 m');
  await panel(page).getByRole('button', { name: 'Connect', exact: true }).click();
  await newInHand(page, 'P4');
  await page.locator('g[data-part=P4]').waitFor();
  const text = await fileText(page);
  for (const line of ['  arm: from bar, Q2, F2, 10 AWG 0.60 m, to T4\n', '  arm 2: from bar, Q3, F3, 10 AWG 0.60 m, to T7\n', '- turn Q3 to CHARGE\n', '  indicator lamp: from bar, 24 AWG 0.2 m, to P4\n', '# "count two"']) expect(text).toContain(line);

  await takeInHand(page, 'P4');
  await act(page, 'Take out').click();
  await panel(page).getByText('P4 goes out of the machine.').waitFor();
  await panel(page).getByRole('button', { name: 'Take it out' }).click();
  await page.locator('g[data-part=P4]').waitFor({ state: 'detached' });

  const undo = page.getByRole('button', { name: 'Undo' });
  while (await undo.isEnabled()) await undo.click();
  expect(await fileText(page)).toBe(CRUSH);
  expect(complaints).toEqual([]);
  await context.close();
});

it('connects by pointing in the drawing, and tells what the new lead goes around', async () => {
  const { page, context } = await openPage(here.browser, here.address);
  await page.locator('g.point[data-point=bar]').click();
  await act(page, 'Connect').click();
  await page.getByText('Point at what the new lead goes to').waitFor();
  await page.locator('g.point[data-point=drive]').click();
  await expect.poll(() => panel(page).getByLabel('To', { exact: true }).inputValue(), SOON).toBe('at drive');
  await panel(page).getByRole('button', { name: 'Connect', exact: true }).click();
  await page.getByText('The new lead goes around Q1.').waitFor();
  await page.locator('g[data-chain="wiring.bar to drive"]').first().waitFor({ state: 'attached' });
  // Another lead is parted where it is pointed at.
  await act(page, 'Connect').click();
  await expect.poll(async () => {
    // The picture may be drawn anew between looking where a lead is and pointing there.
    await pointAtLead(page, 'wiring.services#0');
    return panel(page).getByLabel('To', { exact: true }).inputValue();
  }, SOON).toBe('in wiring.services#0');
  // A signal ground is none of the + side.
  await pointAtLead(page, 'signal grounds.right#0');
  await panel(page).getByText('This lead cannot end there. Point at something on the + side.').waitFor();
  expect(await fileText(page)).toContain('  bar to drive: from bar, to drive\n');
  await context.close();
});

it('puts a soft start beside a link, and tells the steps that come with it', async () => {
  const { page, context } = await openPage(here.browser, `${here.address}#/hand/LK1`);
  await act(page, 'Put a part in here').click();
  await panel(page).getByLabel('What comes here').selectOption('soft start');
  await panel(page).getByLabel('resistance', { exact: true }).fill('22 Ω');
  await panel(page).getByRole('button', { name: 'Put it in' }).click();
  await newInHand(page, 'R3');
  await page.getByText('The procedure gets "press S1" and "wait 2 s" before "insert LK1"').waitFor();
  await page.locator('g[data-part=S1]').waitFor();
  expect(await fileText(page)).toContain('  soft start: from before LK1, R3, S1, to behind LK1\n');
  await context.close();
});

it('turns a switch in the drawing: in hand, each click and each Enter is one position', async () => {
  const { page, context } = await openPage(here.browser, here.address);
  const q2 = page.locator('g[data-part=Q2]');
  const now = page.locator('.piece', { hasText: 'arm isolator Q2' }).locator('select');
  await q2.click();
  expect(await now.inputValue()).toBe('ON');
  await q2.click();
  await expect.poll(() => now.inputValue(), SOON).toBe('OFF');
  await page.locator('g[data-part=T4].dead').waitFor();
  // The picture is drawn anew, and the keyboard stays at the switch.
  for (const position of ['CHARGE', 'ON', 'OFF']) {
    await expect.poll(() => page.evaluate(() => document.activeElement?.getAttribute('data-part')), SOON).toBe('Q2');
    await page.keyboard.press('Enter');
    await expect.poll(() => now.inputValue(), SOON).toBe(position);
  }
  await context.close();
});

it('can be edited by keys alone', async () => {
  const { page, context } = await openPage(here.browser, here.address);
  await page.locator('g[data-part=LK1]').waitFor();
  await page.locator('g[data-part=LK1]').focus();
  await page.keyboard.press('Enter');
  await act(page, 'Put a part in here').focus();
  await page.keyboard.press('Enter');
  await expect.poll(() => page.evaluate(() => document.activeElement?.id), SOON).toBe('rebuild-panel');
  await page.keyboard.press('Tab');
  await page.keyboard.press('Tab');
  await page.keyboard.type('an iso');
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  await newInHand(page, 'Q3');
  await page.getByText('The procedure gets the step "close Q3"').waitFor();
  await act(page, 'Take out').focus();
  await page.keyboard.press('Enter');
  await panel(page).getByText('The procedure loses "close Q3".').waitFor();
  await page.keyboard.press('Escape');
  expect(await page.evaluate(() => document.activeElement?.textContent)).toContain('Take out');
  await page.keyboard.press('Enter');
  await panel(page).getByRole('button', { name: 'Take it out' }).waitFor();
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  // What is in hand then is the lead where it stood.
  await newInHand(page, 'X1 to LK1');
  expect(await fileText(page)).toBe(CRUSH);
  await context.close();
});

it('gives a lead another size, and one that has none its first', async () => {
  const { page, context } = await openPage(here.browser, `${here.address}#/hand/${encodeURIComponent('wiring.arm#1')}`);
  const section = page.getByLabel('cross-section');
  expect(await section.inputValue()).toBe('10 AWG');
  await section.fill('16 mm²');
  await section.press('Enter');
  // 16 mm² are 16e-6 m², which a person reads as they are.
  await page.locator('.understood', { hasText: '16 mm²' }).waitFor();
  await page.getByLabel('length, one way').fill('0.55 V');
  await page.locator('.lead-facts .trouble', { hasText: 'Expected' }).waitFor();
  await page.getByLabel('length, one way').fill('0.55 m');
  await page.getByLabel('length, one way').press('Enter');
  await takeInHand(page, 'wiring.left@0');
  await page.getByText('The file names no size here').waitFor();
  await page.getByLabel('cross-section').fill('10 AWG');
  await page.getByLabel('length, one way').fill('0.30 m');
  await page.getByLabel('length, one way').press('Enter');
  await page.locator('g[data-conductor="wiring.left#0"].path').waitFor();
  const text = await fileText(page);
  expect(text).toContain('  arm: from bar, Q2, 16 mm² 0.55 m, to T4\n');
  expect(text).toContain('  left: from drive, 10 AWG 0.30 m, to T1\n');
  await context.close();
});

it('says in plain words what cannot be done, and leaves the file alone', async () => {
  const { page, context } = await openPage(here.browser, `${here.address}#/hand/T3`);
  await act(page, 'Take out').click();
  await panel(page).getByText('It cannot be done: T3 feeds T5 and T6.').waitFor();
  expect(await panel(page).getByRole('button', { name: 'Take it out' }).count()).toBe(0);
  await act(page, 'Put a part in here').click();
  await panel(page).getByLabel('rating', { exact: true }).fill('30 V');
  await panel(page).getByRole('button', { name: 'Put it in' }).click();
  await panel(page).getByText('Not done: F2, rating: expected a current').waitFor();
  expect(await fileText(page)).toBe(CRUSH);
  await context.close();
});

it('works on a phone: put in, and point at the other end in the drawing', async () => {
  const { page, context, complaints } = await openPage(here.browser, `${here.address}#/hand/Q2`, { viewport: PHONE, hasTouch: true });
  await act(page, 'Put a part in here').tap();
  await panel(page).getByRole('button', { name: 'Put it in' }).tap();
  await newInHand(page, 'F2');
  await act(page, 'Connect').tap();
  await panel(page).getByRole('button', { name: 'Point at it in the drawing' }).tap();
  await page.getByText('Point at what the new lead goes to').waitFor();
  await page.locator('g[data-part=P1]').tap();
  await expect.poll(() => panel(page).getByLabel('To', { exact: true }).inputValue(), SOON).toBe('at P1+');
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  expect(wide).toBeLessThanOrEqual(PHONE.width);
  expect(complaints).toEqual([]);
  await context.close();
});

describe.each([['light', LAPTOP], ['dark', LAPTOP], ['light', PHONE], ['dark', PHONE]] as const)('in the %s theme at %o', (colorScheme, viewport) => {
  it('has nothing for axe to complain about with the menus open', async () => {
    const { page, context } = await openPage(here.browser, `${here.address}#/hand/Q2`, { colorScheme, viewport, bypassCSP: true });
    for (const [name, button] of [['Q2', 'Put a part in here'], ['Q2', 'Duplicate this branch'], ['T4', 'Connect'], ['T4', 'Take out'], ['T3', 'Take out'], ['@bar', 'Connect'], ['wiring.arm#1', 'Disconnect']] as const) {
      await takeInHand(page, name);
      await act(page, button).click();
      await panel(page).locator('.waiting').waitFor({ state: 'detached' });
      expect(await axeComplaints(page), `${button} of ${name}`).toEqual([]);
    }
    await context.close();
  });
});
