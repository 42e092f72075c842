// `npm start`: the demo machine, from a fresh build: its answers, then the page until Ctrl-C.
// With CI set, or with --no-serve, it ends after the answers.
import { spawn } from 'node:child_process';
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
const given = process.argv.slice(2);
const serves = !given.includes('--no-serve') && !process.env.CI;
const args = [join(root, 'dist', 'main.mjs'), 'demo', ...(serves ? ['--serve'] : []), ...given.filter((word) => word !== '--no-serve')];
const child = spawn(process.execPath, args, { cwd: root, stdio: 'inherit' });
// Whoever ends this one ends the server: a terminal sends Ctrl-C to both, a supervisor only here.
for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => child.kill(signal));
child.on('exit', (code) => process.exit(code ?? 1));
