// The long proofs in full: tens of thousands of mutated files, random circuits, seeded trials.
// `npm test` runs a seeded tenth of each.
import { spawnSync } from 'node:child_process';

const done = spawnSync(process.execPath, ['node_modules/vitest/vitest.mjs', 'run', '--testTimeout', '3600000', ...process.argv.slice(2)], {
  stdio: 'inherit',
  env: { ...process.env, AMPWRIGHT_PROVE: '1' },
});
process.exit(done.status ?? 1);
