import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readMachine } from '../../src/machine/file/read.ts';
import { run, type Run } from './run.ts';

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'ampwright-new-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

/** A path that nothing stands at. */
function fresh(name = 'lifter.yaml'): string {
  return join(mkdtempSync(join(folder, 'x-')), name);
}

function machineIn(path: string) {
  const file = readMachine(readFileSync(path, 'utf8'));
  if (!file.ok) throw new Error(JSON.stringify(file.issues));
  return file.machine;
}

const FACTS = ['--cells', '6', '--capacity', '3.3 Ah', '--drive', '2x60A', '--weapon', '80A'] as const;

describe('new', () => {
  it('writes what it was told, says what it took and what comes next', async () => {
    const path = fresh();
    const { code, out, error } = await run(['new', path, ...FACTS, '--chemistry', 'LiPo', '--switch', 'branch', '--soft-start', 'charge', '--fuse', '100 A', '--radio', 'controller', '--name', 'Lifter 2']);
    expect({ code, error }).toEqual({ code: 0, error: '' });
    const { name, parts } = machineIn(path);
    expect(name).toBe('Lifter 2');
    expect(parts.get('G1')?.values).toMatchObject({ cells: { value: 6 }, capacity: { value: 3.3 * 3600 }, chemistry: 'lipo' });
    expect(parts.get('T2')?.values).toMatchObject({ motorCurrent: { value: 60 } });
    expect(parts.get('T3')?.values).toMatchObject({ motorCurrent: { value: 80 } });
    expect(parts.get('F1')?.values).toMatchObject({ rating: { value: 100, text: '100 A' } });
    expect(parts.get('Q2')?.kind).toBe('isolator');
    expect(out).not.toContain('Not said');
    expect(out).toMatch(/soft start: a charge position/);
    expect(out).toContain(`ampwright ask ${path}\n`);
  });

  it('takes what is usual for missing facts and lists it, where nobody can be asked', async () => {
    const path = fresh('bar two.yaml');
    const { code, out } = await run(['new', path, '--cells', '4S']);
    expect(code).toBe(0);
    expect(machineIn(path).name).toBe('BAR TWO');
    expect(machineIn(path).parts.get('G1')?.values).toMatchObject({ cells: { value: 4 }, capacity: { text: '3.3 Ah' } });
    for (const taken of ['--name BAR TWO', '--chemistry lipo', '--capacity 3.3 Ah', '--drive 2x60A', '--weapon none', '--switch main', '--soft-start suggest', '--fuse usual', '--radio converter']) expect(out).toContain(`  - ${taken}\n`);
    expect(out).not.toContain('--cells');
  });

  it.each([['3300 mAh', 3.3], ['3.3Ah', 3.3], ['12 Ah (measured)', 12]])('takes a capacity written %s', async (written, ampereHours) => {
    const path = fresh();
    expect((await run(['new', path, '--capacity', written])).code).toBe(0);
    const pack = machineIn(path).parts.get('G1');
    expect(pack?.kind === 'pack' ? pack.values.capacity.value / 3600 : NaN).toBeCloseTo(ampereHours, 9);
  });

  it.each([['2x60A', 2, 60], ['3 × 25 A', 3, 25], ['120A', 1, 120]])('takes a drive written %s', async (written, count, amps) => {
    const path = fresh();
    expect((await run(['new', path, '--drive', written, '--weapon', 'none'])).code).toBe(0);
    const controllers = [...machineIn(path).parts.values()].filter((part) => part.kind === 'controller');
    expect(controllers.map(({ values }) => values.motorCurrent.value)).toEqual(Array.from({ length: count }, () => amps));
  });
});

describe('new, on a terminal', () => {
  async function answered(words: readonly string[], answers: readonly (string | undefined)[]): Promise<Run & { readonly questions: readonly string[] }> {
    const left = [...answers];
    const questions: string[] = [];
    const prompt = (question: string): Promise<string | undefined> => {
      questions.push(question);
      return Promise.resolve(left.shift());
    };
    return { ...(await run(words, undefined, { prompt })), questions };
  }

  it('asks for each missing fact, with an example and what is usual', async () => {
    const path = fresh();
    const { code, out, questions } = await answered(['new', path, '--cells', '3', '--capacity', '650 mAh'], ['BAR', '', '1x10A', '35A', 'main', '', '', 'controller']);
    expect(code).toBe(0);
    expect(questions).toHaveLength(8);
    for (const question of questions) expect(question).toMatch(/\? .*For instance .+\.\n\[[^\]]+\] > $|For instance/s);
    const { name, parts } = machineIn(path);
    expect(name).toBe('BAR');
    expect(parts.get('T2')?.values).toMatchObject({ motorCurrent: { value: 35 } });
    expect(parts.get('T3')?.kind).toBe('regulator');
    expect(out).toMatch(/Not said, and taken:\n {2}- --chemistry lipo\n {2}- --soft-start suggest\n {2}- --fuse usual\n/);
  });

  it('asks again after a wrong answer, and says what was wrong', async () => {
    const path = fresh();
    const { code, out } = await answered(['new', path, ...FACTS, '--name', 'X', '--chemistry', 'lipo'], ['lnks', 'links', 'charge', 'button', '-5 A', '', '']);
    expect(code).toBe(0);
    expect(out).toMatch(/found "lnks"; did you mean links\?/);
    expect(out).toMatch(/a link has no charge position/);
    expect(out.replace(/\s+/g, ' ')).toMatch(/expected a current above 0 A like "150 A", or usual, found "-5 A"/);
    expect(machineIn(path).parts.get('S1')?.kind).toBe('button');
  });

  it('writes nothing when the answers end', async () => {
    const path = fresh();
    const { code, error } = await answered(['new', path], ['X', '6', undefined]);
    expect(code).toBe(3);
    expect(error).toContain('not written, because the answers ended');
    expect(existsSync(path)).toBe(false);
  });
});

describe('new never writes over a file', () => {
  it('that exists, and asks nothing before saying so', async () => {
    const path = fresh();
    writeFileSync(path, 'mine\n');
    const { code, error, out } = await run(['new', path, ...FACTS], undefined, { prompt: () => Promise.reject(new Error('asked')) });
    expect({ code, out }).toEqual({ code: 3, out: '' });
    expect(error).toMatch(/expected a new file, found one that exists; --force/);
    expect(readFileSync(path, 'utf8')).toBe('mine\n');
  });

  it('that appears while it asks, nor through a link that leads nowhere', async () => {
    const path = fresh();
    const { code } = await run(['new', path], undefined, {
      prompt: () => {
        writeFileSync(path, 'mine\n');
        return Promise.resolve('');
      },
    });
    expect(code).toBe(3);
    expect(readFileSync(path, 'utf8')).toBe('mine\n');
    const link = fresh('link.yaml');
    symlinkSync(join(folder, 'nowhere.yaml'), link);
    expect((await run(['new', link])).code).toBe(3);
    expect(existsSync(join(folder, 'nowhere.yaml'))).toBe(false);
  });

  it('but with --force, and keeps every old one', async () => {
    const path = fresh();
    writeFileSync(path, 'first\n');
    expect((await run(['new', path, '--force'])).out).toContain('.bak');
    writeFileSync(path, 'second\n');
    expect((await run(['new', path, '--force'])).code).toBe(0);
    expect(readFileSync(`${path}.bak`, 'utf8')).toBe('first\n');
    expect(readFileSync(`${path}.bak2`, 'utf8')).toBe('second\n');
    expect(machineIn(path).name).toBe('LIFTER');
    expect(readdirSync(join(path, '..')).sort()).toEqual(['lifter.yaml', 'lifter.yaml.bak', 'lifter.yaml.bak2']);
  });

  it('with --force a broken fact leaves it as it was', async () => {
    const path = fresh();
    writeFileSync(path, 'mine\n');
    expect((await run(['new', path, '--force', '--cells', '0'])).code).toBe(3);
    expect(readFileSync(path, 'utf8')).toBe('mine\n');
    expect(existsSync(`${path}.bak`)).toBe(false);
  });
});

describe('new, used wrongly', () => {
  it.each([
    [['--capacity', '3300 Ah'], /--capacity: expected a charge.*found "3300 Ah"; did you mean "3300 mAh"/],
    [['--switch', 'mian'], /--switch: expected main, branch, links, found "mian"; did you mean main\?/],
    [['--soft-start', 'charge', '--switch', 'links'], /--soft-start: .*a link has no charge position/],
    [['--cells', '21'], /--cells: expected a whole number from 1 to 20/],
    [['--cells', '6.5'], /--cells/],
    [['--drive', '0x60A'], /--drive: expected 1 to 8 controllers/],
    [['--drive', '2x'], /--drive: expected a current.*found nothing/],
    [['--weapon', '80'], /--weapon: expected a current above 0 A like "120 A", or none, found "80"/],
    [['--weapon', 'noen'], /did you mean none\?/],
    [['--fuse', '0 A'], /--fuse/],
    [['--name', ''], /--name: expected a name.*found nothing/],
    [['--cell', '5'], /unknown option '--cell'.*Did you mean --cells\?/],
    [['--chemistry', 'a\x1b[2J'], /--chemistry: expected lipo, nca, nmc, lfp, found "a\\u\{1b\}/],
  ])('%j: says so, writes nothing and ends with 3', async (words, message) => {
    const path = fresh();
    const { code, out, error } = await run(['new', path, ...words]);
    expect({ code, out }).toEqual({ code: 3, out: '' });
    expect(error).toMatch(message);
    expect(error).not.toContain('\x1b');
    expect(existsSync(path)).toBe(false);
  });

  it('names a path that nothing can be written at', async () => {
    const file = fresh();
    writeFileSync(file, 'mine\n');
    for (const path of [join(file, 'x.yaml'), join(file, 'y', 'x.yaml')]) {
      const { code, error } = await run(['new', path]);
      expect(code).toBe(3);
      expect(error).toMatch(/cannot be written: a part of the path is not a directory/);
    }
    const { code, error } = await run(['new', join(file, '..'), '--force']);
    expect(code).toBe(3);
    expect(error).toMatch(/cannot be written: this is a directory/);
  });
});

describe('new, as a user starts it in a pipe', () => {
  it('waits for nobody, and what it writes passes check', () => {
    const path = fresh();
    const program = fileURLToPath(new URL('../../bin/ampwright.mjs', import.meta.url));
    const start = (...words: string[]) => spawnSync(process.execPath, [program, ...words], { encoding: 'utf8', input: 'never read\n' });
    const made = start('new', path, ...FACTS);
    expect(made.status).toBe(0);
    expect(made.stdout).toMatch(/Not said, and taken:/);
    const checked = start('check', path);
    expect(checked.status).toBe(0);
    expect(checked.stdout).toMatch(/LIFTER, \d+ parts, \d+ chains, \d+ steps: no errors, no questions\n$/);
  }, 120_000);
});
