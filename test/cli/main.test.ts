import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { schemaViolations } from './schema-check.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const program = join(root, 'bin', 'ampwright.mjs');
const demo = join(root, 'machines', 'crush10s.yaml');
/** The smallest machine: answered fastest. */
const small = join(root, 'machines', 'bar3s.yaml');

// The variables by which a terminal asks for colour are taken out, so that the tests mean the same everywhere.
const { FORCE_COLOR: _force, NO_COLOR: _no, NODE_DISABLE_COLORS: _disable, ...plainEnvironment } = process.env;

interface Ended {
  readonly code: number | null;
  readonly out: string;
  readonly error: string;
}

function ampwright(words: readonly string[], environment: Readonly<Record<string, string>> = {}, nodeWords: readonly string[] = []): Ended {
  const { status, stdout, stderr } = spawnSync(process.execPath, [...nodeWords, program, ...words], { encoding: 'utf8', env: { ...plainEnvironment, ...environment }, maxBuffer: 1e8 });
  return { code: status, out: stdout, error: stderr };
}

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'ampwright-main-'));
  // Builds when a source is newer, and says so: before the tests that expect silence.
  ampwright(['--version']);
}, 120_000);
afterAll(() => rmSync(folder, { recursive: true }));

describe('the program as a user starts it', () => {
  it('says its version', () => {
    const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string };
    expect(ampwright(['--version'])).toEqual({ code: 0, out: `${version}\n`, error: '' });
  });

  it('checks the demo machine', () => {
    const { code, out, error } = ampwright(['check', demo]);
    expect({ code, error }).toEqual({ code: 0, error: '' });
    expect(out).toMatch(/CRUSH10S, \d+ parts, \d+ chains, \d+ steps: no errors/);
  });

  it('answers in JSON that fits the published schema, on standard output alone', () => {
    const { code, out, error } = ampwright(['ask', demo, '--json', '--samples', '3']);
    expect({ code, error }).toEqual({ code: 1, error: '' });
    const schema = JSON.parse(readFileSync(join(root, 'schema', 'answers.schema.json'), 'utf8')) as Readonly<Record<string, unknown>>;
    expect(schemaViolations(JSON.parse(out), schema)).toEqual([]);
  });

  it('gives the same bytes twice', () => {
    const words = ['ask', small, '--json', '--samples', '3', '--seed', '7'];
    expect(ampwright(words).out).toBe(ampwright(words).out);
  });

  it('ends with 2 and the places of the errors in a broken file', () => {
    const broken = join(folder, 'broken.yaml');
    writeFileSync(broken, readFileSync(demo, 'utf8').replace(/rating: [^\n,}]+/, 'rating: -30 A'));
    for (const command of ['check', 'ask']) {
      const { code, out, error } = ampwright([command, broken]);
      expect(code).toBe(2);
      expect(out + error).toMatch(/broken\.yaml:\d+:\d+: parts\.\w+\.rating: expected/);
    }
  });

  it('shows no stack for a mistake of the user', () => {
    for (const words of [['ask', join(folder, 'none.yaml')], ['check', folder], ['ask', demo, '--samples', 'x'], ['aks']]) {
      const { code, error } = ampwright(words, { AMPWRIGHT_DEBUG: '1' });
      expect([2, 3]).toContain(code);
      expect(error).toMatch(/^ampwright: /);
      expect(error).not.toMatch(/^\s+at /m);
    }
  });

  it('says in one line that a fault is its own, and shows the stack only on request', () => {
    // A fault planted from outside: sorting an empty list of issues is the first thing that breaks.
    const planted = ['--import', 'data:text/javascript,Array.prototype.toSorted=function(){throw new TypeError("planted\\u001b[2J")}'];
    const quiet = ampwright(['check', demo], {}, planted);
    expect({ code: quiet.code, out: quiet.out }).toEqual({ code: 4, out: '' });
    expect(quiet.error).toMatch(/^ampwright \d+\.\d+\.\d+: a fault of the program, not of your machine: planted.*report it.*\n$/);
    expect(quiet.error).not.toContain('\x1b');
    expect(ampwright(['check', demo], { AMPWRIGHT_DEBUG: '1' }, planted).error).toMatch(/^\s+at /m);
  });

  it.skipIf(process.platform === 'win32')('keeps quiet, and its verdict, when the reader closes the pipe', () => {
    const line = `"${process.execPath}" "${program}" ask "${demo}" --json --samples 0 | head -c 1; echo " code \${PIPESTATUS[0]}"`;
    const { stdout, stderr } = spawnSync('bash', ['-c', line], { encoding: 'utf8', env: plainEnvironment });
    expect({ stdout, stderr }).toEqual({ stdout: '{ code 1\n', stderr: '' });
  });

  it('uses colour only where it is wanted', () => {
    const words = ['ask', small, '--samples', '0'];
    const plain = ampwright(words);
    expect(plain.out).not.toContain('\x1b');
    const coloured = ampwright(words, { FORCE_COLOR: '1' });
    expect(coloured.out).toContain('\x1b[32m');
    // eslint-disable-next-line no-control-regex -- the colours looked for are control sequences
    expect(coloured.out.replace(/\x1b\[\d+m/g, '')).toBe(plain.out);
    expect(ampwright(words, { NO_COLOR: '1' }).out).toBe(plain.out);
  });
});
