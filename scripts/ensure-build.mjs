// Builds dist/ when a source is newer. Used by `npm start` and by bin/ampwright.mjs in a working copy.
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { dirname, join } from 'node:path';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const built = join(root, 'dist', 'main.mjs');
const page = join(root, 'dist', 'page', 'index.html');
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
  return existsSync(page) && existsSync(built) && statSync(built).mtimeMs >= newestSource();
}

/** Folders count as well as files: removing a source touches only its folder. */
function newestSource() {
  const sources = readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' }).map((path) => join('src', path));
  return Math.max(...['src', 'tsdown.config.ts', 'vite.config.ts', 'package-lock.json', ...sources].map((path) => statSync(join(root, path)).mtimeMs));
}

function build() {
  const builders = [
    ['tsdown/dist/run.mjs', '--log-level', 'error'],
    ['vite/bin/vite.js', 'build', '--logLevel', 'error'],
  ];
  if (!builders.every(([program]) => existsSync(join(root, 'node_modules', program)))) throw new Error('This working copy has no packages yet: run npm ci, then try again.');
  process.stderr.write('ampwright: building from source …\n');
  const started = new Date();
  for (const [program, ...args] of builders) {
    const { status, stdout, stderr, error } = spawnSync(process.execPath, [join(root, 'node_modules', program), ...args], { cwd: root, encoding: 'utf8' });
    if (status === 0) continue;
    rmSync(built, { force: true });
    throw new Error(`The build failed.\n${error?.message ?? ''}${stdout ?? ''}${stderr ?? ''}`);
  }
  if (!existsSync(built) || !existsSync(page)) throw new Error('The build made nothing.');
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
