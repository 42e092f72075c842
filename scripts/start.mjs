// `npm start`: the demo machine, from a fresh build.
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { dirname, join } from 'node:path';
import { ensureBuild } from './ensure-build.mjs';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
try {
  ensureBuild();
} catch (error) {
  console.error(error.message);
  process.exit(1);
}
const { status } = spawnSync(process.execPath, [join(root, 'dist', 'main.mjs'), 'demo', ...process.argv.slice(2)], { cwd: root, stdio: 'inherit' });
process.exit(status ?? 1);
