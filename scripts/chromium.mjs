// Finds a Chromium for the browser tests and the pictures; as root on Debian it installs the package when there is none.
import { existsSync } from 'node:fs';
import { spawnSync } from 'node:child_process';

const PLACES = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome-stable', '/usr/bin/google-chrome', '/snap/bin/chromium', '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome', '/Applications/Chromium.app/Contents/MacOS/Chromium', 'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe', 'C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe'];

export const TO_INSTALL = 'install Chromium (on Debian or Ubuntu: apt-get install -y chromium), or name one in the environment variable CHROMIUM';

/** Path of a Chromium, or undefined where there is none and none can be installed. */
export function chromium() {
  const found = place();
  if (found !== undefined || process.platform !== 'linux' || process.getuid?.() !== 0 || !existsSync('/usr/bin/apt-get')) return found;
  console.log('No Chromium found: installing the package chromium …');
  const apt = (...args) => spawnSync('apt-get', args, { stdio: 'inherit', env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } }).status === 0;
  if (!apt('install', '-y', '--no-install-recommends', 'chromium')) {
    apt('update');
    apt('install', '-y', '--no-install-recommends', 'chromium');
  }
  return place();
}

function place() {
  const { CHROMIUM } = process.env;
  if (CHROMIUM) return existsSync(CHROMIUM) ? CHROMIUM : undefined;
  return PLACES.find((path) => existsSync(path));
}
