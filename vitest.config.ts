import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    environment: 'node',
    include: ['test/**/*.test.ts'],
    exclude: ['test/**/*.browser.test.ts'],
    pool: 'forks',
    // Nothing here replaces a module or keeps a state that another test could see: loading everything anew for each file took a third of the time.
    isolate: false,
    maxWorkers: 2,
    testTimeout: 60_000,
  },
});
