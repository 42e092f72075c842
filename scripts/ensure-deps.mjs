// Installs the locked dependencies when they are missing or the lock file has changed.
// Plain Node with no imports from node_modules: it runs before there are any.
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { execSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import { dirname, join } from 'node:path';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const stamp = join(root, 'node_modules', '.lock-sha');
const lock = createHash('sha256').update(readFileSync(join(root, 'package-lock.json'))).digest('hex');

if (!existsSync(stamp) || readFileSync(stamp, 'utf8') !== lock) {
  // NODE_ENV=production would make npm drop the build tools that both commands need.
  execSync('npm ci --no-audit --no-fund', { cwd: root, stdio: 'inherit', env: { ...process.env, NODE_ENV: 'development' } });
  writeFileSync(stamp, lock);
}
