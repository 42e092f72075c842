import { createServer, type Server } from 'node:http';
import { copyFileSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { AddressInfo } from 'node:net';
import { chromium, type Browser, type BrowserContext, type BrowserContextOptions, type Page } from 'playwright-core';
import { afterAll, beforeAll, inject } from 'vitest';
import { pageFiles } from '../../src/cli/server/page-files.ts';
import { servePage, type BoundPage } from '../../src/cli/server/server.ts';

export const LAPTOP = { width: 1440, height: 900 };
export const PHONE = { width: 390, height: 844 };

export function launch(): Promise<Browser> {
  return chromium.launch({ executablePath: inject('chromium'), args: ['--no-sandbox', '--disable-gpu'] });
}

/** A page with everything that it complained about, and every address that it asked for. */
export interface Watched {
  readonly context: BrowserContext;
  readonly page: Page;
  readonly complaints: string[];
  readonly addresses: string[];
}

export async function openPage(browser: Browser, address: string, options: BrowserContextOptions = {}): Promise<Watched> {
  const context = await browser.newContext({ viewport: LAPTOP, reducedMotion: 'reduce', ...options });
  const page = await context.newPage();
  const complaints: string[] = [];
  const addresses: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(String(error)));
  context.on('request', (request) => addresses.push(request.url()));
  await page.goto(address);
  return { context, page, complaints, addresses };
}

/** A copy of a demo machine in a folder of its own, served bound to the page. */
export async function bindDemo(name: string): Promise<{ readonly path: string; readonly served: BoundPage; close(): Promise<void> }> {
  const folder = mkdtempSync(join(tmpdir(), 'ampwright-page-'));
  const path = join(folder, name);
  copyFileSync(new URL(`../../machines/${name}`, import.meta.url), path);
  const served = await servePage({ path, folder: inject('page'), port: 0 });
  return {
    path,
    served,
    async close() {
      await served.close();
      rmSync(folder, { recursive: true });
    },
  };
}

/** The static page as any web host would serve it. */
export async function hostStatic(): Promise<{ readonly address: string; close(): Promise<void> }> {
  const files = pageFiles(inject('page'));
  const server: Server = createServer((request, response) => {
    const path = new URL(request.url ?? '/', 'http://x').pathname;
    const file = files?.get(path === '/' ? '/index.html' : path);
    if (file === undefined) response.writeHead(404).end();
    else response.writeHead(200, { 'content-type': file.type }).end(file.body);
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  return {
    address: `http://127.0.0.1:${(server.address() as AddressInfo).port}/`,
    close: () => new Promise((closed) => {
      server.close(() => closed());
      server.closeAllConnections();
    }),
  };
}

export function demo(name: string): string {
  return readFileSync(new URL(`../../machines/${name}`, import.meta.url), 'utf8');
}

/** The row of a question in the list. */
export function row(page: Page, question: string) {
  return page.locator('.row', { hasText: question });
}

/** A browser and the static page for the tests of one file; both are there once its tests run. */
export function forThisFile(): { readonly browser: Browser; readonly address: string } {
  let browser: Browser | undefined;
  let host: Awaited<ReturnType<typeof hostStatic>> | undefined;
  beforeAll(async () => {
    browser = await launch();
    host = await hostStatic();
  });
  afterAll(async () => {
    await browser?.close();
    await host?.close();
  });
  return {
    get browser() {
      if (browser === undefined) throw new Error('the browser is there only while tests run');
      return browser;
    },
    get address() {
      if (host === undefined) throw new Error('the page is there only while tests run');
      return host.address;
    },
  };
}
