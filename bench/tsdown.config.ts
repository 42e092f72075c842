import { defineConfig } from 'tsdown';

export default defineConfig({
  cwd: new URL('..', import.meta.url).pathname,
  entry: ['bench/run.ts', 'bench/measure.ts', 'bench/worker.ts', 'bench/states.ts'],
  outDir: 'node_modules/.cache/bench',
  platform: 'node',
  target: 'node20',
  dts: false,
  sourcemap: true,
  clean: true,
  logLevel: 'error',
});
