// The long proofs in full: tens of thousands of random and mutated files, random circuits, seeded trials.
// `npm test` runs a seeded tenth of each. Words after `--` choose among the proofs and go to vitest.
import { spawnSync } from 'node:child_process';

const PROOFS = [
  'test/engine/random.test.ts',
  'test/machine/file/hostile.test.ts',
  'test/machine/starter.test.ts',
  'test/questions/hold-test.test.ts',
  'test/questions/mutated-files.test.ts',
  'test/questions/robustness.test.ts',
  'test/sheets/drawing/drawing.test.ts',
];

const words = process.argv.slice(2);
const chosen = words.some((word) => !word.startsWith('-')) ? words : [...PROOFS, ...words];
// The verbose reporter prints each block as it ends: this takes long.
const done = spawnSync(process.execPath, ['node_modules/vitest/vitest.mjs', 'run', '--reporter', 'verbose', '--testTimeout', '3600000', ...chosen], {
  stdio: 'inherit',
  env: { ...process.env, AMPWRIGHT_PROVE: '1' },
});
process.exit(done.status ?? 1);
