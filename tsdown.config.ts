import { existsSync } from 'node:fs';
import { defineConfig } from 'tsdown';

const entries = {
  index: 'src/index.ts',
  main: 'src/cli/main.ts',
  'sample-worker': 'src/cli/sample-worker.ts',
  'pair-worker': 'src/cli/pair-worker.ts',
  'match-worker': 'src/cli/match-worker.ts',
  'papers-worker': 'src/cli/papers-worker.ts',
};

export default defineConfig({
  entry: Object.fromEntries(Object.entries(entries).filter(([, file]) => existsSync(file))),
  outDir: 'dist',
  // The page's build stands in dist/page and is not this one's to remove.
  clean: ['dist/*.mjs', 'dist/*.mjs.map'],
  format: 'esm',
  platform: 'node',
  target: 'node20',
  sourcemap: true,
  dts: false,
  minify: false,
  // One file to read is a faster cold start than a walk through node_modules;
  // tinypool finds its own worker beside itself, so it stays where npm put it.
  deps: {
    alwaysBundle: ['yaml', 'commander', /^pure-rand/],
    neverBundle: ['tinypool'],
    onlyBundle: ['yaml', 'commander', 'pure-rand'],
  },
});
