// Builds dist/ when a source is newer. Used by `npm start` and by bin/ampwright.mjs in a working copy.
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { dirname, join } from 'node:path';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const built = join(root, 'dist', 'main.mjs');
const cache = join(root, 'node_modules', '.cache');
const lock = join(cache, 'build.lock');

/** Makes dist/ current; says so on stderr only when there is something to do. Throws with the builder's words when it fails. */
export function ensureBuild() {
  if (isCurrent()) return;
  mkdirSync(cache, { recursive: true });
  takeLock();
  try {
    // Another process may have built while this one waited.
    if (!isCurrent()) build();
  } finally {
    rmSync(lock, { force: true });
  }
}

function isCurrent() {
  return existsSync(built) && statSync(built).mtimeMs >= newestSource();
}

/** Folders count as well as files: removing a source touches only its folder. */
function newestSource() {
  const sources = readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' }).map((path) => join('src', path));
  return Math.max(...['src', 'tsdown.config.ts', 'package-lock.json', ...sources].map((path) => statSync(join(root, path)).mtimeMs));
}

function build() {
  const builder = join(root, 'node_modules', 'tsdown', 'dist', 'run.mjs');
  if (!existsSync(builder)) throw new Error('This working copy has no packages yet: run npm ci, then try again.');
  process.stderr.write('ampwright: building from source …\n');
  const started = new Date();
  const { status, stdout, stderr, error } = spawnSync(process.execPath, [builder, '--log-level', 'error'], { cwd: root, encoding: 'utf8' });
  if (status !== 0 || !existsSync(built)) {
    rmSync(built, { force: true });
    throw new Error(`The build failed.\n${error?.message ?? ''}${stdout ?? ''}${stderr ?? ''}`);
  }
  // A source saved during the build must count as newer than the build.
  utimesSync(built, started, started);
}

/** One build at a time: the builder empties dist/ first, under the feet of any other. */
function takeLock() {
  for (;;) {
    try {
      writeFileSync(lock, String(process.pid), { flag: 'wx' });
      return;
    } catch (error) {
      if (error.code !== 'EEXIST') throw error;
    }
    if (!holderIsAlive()) rmSync(lock, { force: true });
    else Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 50);
  }
}

function holderIsAlive() {
  try {
    const text = readFileSync(lock, 'utf8');
    // Empty for the instant between making the file and writing to it.
    if (text !== '') process.kill(Number(text), 0);
    return true;
  } catch (error) {
    return error.code === 'EPERM' || error.code === 'ENOENT';
  }
}
