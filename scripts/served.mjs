// The page of a machine file, served by the built command.
import { spawn } from 'node:child_process';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));

/** `ampwright open`, and the address that it prints. It is ended with this program, whatever happens. */
export function served(path) {
  return new Promise((done, fail) => {
    const child = spawn(process.execPath, [join(root, 'dist', 'main.mjs'), 'open', path], { stdio: ['ignore', 'pipe', 'inherit'] });
    process.on('exit', () => child.kill('SIGTERM'));
    let text = '';
    child.stdout.on('data', (piece) => {
      text += piece;
      const address = /http:\S+/.exec(text)?.[0];
      if (address !== undefined) done(address);
    });
    child.on('exit', (code) => fail(new Error(`open ended with ${code}`)));
  });
}
