import { defineConfig } from 'vitest/config';

/** Tests in a real browser: the page is built once, apart from dist/, and every file has a browser of its own. */
export default defineConfig({
  test: {
    environment: 'node',
    include: ['test/page/**/*.browser.test.ts'],
    globalSetup: ['test/page/setup.ts'],
    pool: 'forks',
    maxWorkers: 2,
    testTimeout: 120_000,
    hookTimeout: 120_000,
  },
});
