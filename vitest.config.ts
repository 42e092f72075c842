import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    environment: 'node',
    include: ['test/**/*.test.ts'],
    exclude: ['test/**/*.browser.test.ts'],
    pool: 'forks',
    maxWorkers: 2,
    testTimeout: 60_000,
  },
});
