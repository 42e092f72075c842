import { chmodSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { HOLD, REFUSED, reportOf, SPARK, UNTOLD } from './fixture.ts';
import { run } from './run.ts';

let folder = '';
let file = '';

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'ampwright-cli-'));
  file = join(folder, 'robot.yaml');
  writeFileSync(file, 'machine: CRUSH10S\n');
});
afterAll(() => rmSync(folder, { recursive: true }));

describe('ask', () => {
  it('ends with the code of the worst known answer', async () => {
    const marginal = { ...HOLD, verdict: 'marginal' } as const;
    expect((await run(['ask', file], reportOf([HOLD, marginal]))).code).toBe(0);
    expect((await run(['ask', file], reportOf([HOLD, SPARK]))).code).toBe(1);
    expect((await run(['ask', file], reportOf([HOLD, UNTOLD]))).code).toBe(4);
    expect((await run(['ask', file], reportOf([REFUSED]))).code).toBe(4);
    expect((await run(['ask', file], reportOf([REFUSED, SPARK]))).code).toBe(1);
  });

  it('hands the text, the questions, the samples and the seed on', async () => {
    const { asked } = await run(['ask', file, '--only', 'stall,spark,stall', '--samples', '50', '--seed', '0']);
    expect(asked).toHaveLength(1);
    expect(asked[0]).toMatchObject({ text: 'machine: CRUSH10S\n', only: ['stall', 'spark'], samples: 50, seed: 0 });
  });

  it('prints one JSON object and nothing else', async () => {
    const { out, error } = await run(['ask', file, '--json']);
    expect(JSON.parse(out)).toMatchObject({ machine: 'CRUSH10S', fingerprint: expect.stringMatching(/^[0-9a-z]{10}$/), version: '9.8.7', seed: 1, samples: 200, answers: [{ id: 'spark' }, { id: 'hold' }, { id: 'stall' }, { id: 'trip' }] });
    expect(error).toBe('');
  });

  it('writes a report, into a new folder too, and says where on standard error', async () => {
    const target = join(folder, 'new', 'robot.html');
    const { error, out } = await run(['ask', file, '--json', '--report', target]);
    expect(readFileSync(target, 'utf8')).toContain('<h1>CRUSH10S</h1>');
    expect(error).toContain(`report: ${target} (made the folder ${join(folder, 'new')})`);
    const again = await run(['ask', file, '--json', '--report', target]);
    expect(again.error).not.toContain('made');
    expect(() => JSON.parse(out) as unknown).not.toThrow();
  });

  it('does not write the report over the machine, by another name neither', async () => {
    const link = join(folder, 'link.yaml');
    symlinkSync(file, link);
    for (const target of [file, link, join(folder, 'x', '..', 'robot.yaml')]) {
      const { code, error, asked } = await run(['ask', file, '--report', target]);
      expect(code).toBe(3);
      expect(error).toContain('another file');
      expect(asked).toHaveLength(0);
    }
    expect(readFileSync(file, 'utf8')).toBe('machine: CRUSH10S\n');
  });

  it('names a report that cannot be written, after the answers', async () => {
    const { code, error, out } = await run(['ask', file, '--report', folder]);
    expect(code).toBe(3);
    expect(error).toMatch(/report cannot be written: this is a directory/);
    expect(out).toContain('CRUSH10S');
  });

  it('ends with 2 and the issues when the file has errors', async () => {
    const { code, error, out, asked } = await run(['ask', file], reportOf(), {
      readMachine: () => ({ ok: false, issues: [{ line: 12, column: 18, part: 'F1', field: 'rating', expected: 'a current above 0 A like "150 A"', found: '"-30 A"', severity: 'error' }] }),
    });
    expect(code).toBe(2);
    expect(error).toContain(`${file}:12:18: parts.F1.rating: expected a current above 0 A like "150 A", found "-30 A"`);
    expect(out).toBe('');
    expect(asked).toHaveLength(0);
  });

  it('lets a fault of the program through, for main to report', async () => {
    await expect(run(['ask', file], reportOf(), { ask: () => Promise.reject(new Error('node drive is singular')) })).rejects.toThrow('singular');
  });

  it('shows progress only to somebody who looks, and only when it takes long', async () => {
    const terminal = (looks: boolean) => {
      let written = '';
      let now = 0;
      return { showsProgress: looks, columns: 80, ink: (_: unknown, text: string) => text, write: () => undefined, writeError: (text: string) => void (written += text), clock_ms: () => (now += 300), written: () => written };
    };
    for (const looks of [true, false]) {
      const screen = terminal(looks);
      await run(['ask', file], reportOf(), {
        terminal: screen,
        ask: (request) => {
          for (let done = 1; done <= 4; done += 1) request.progress?.(done, 4, 'samples');
          return Promise.resolve(reportOf().answers);
        },
      });
      expect(screen.written().includes('samples: 4 of 4')).toBe(looks);
      expect(screen.written().includes('samples: 1 of 4')).toBe(false);
      expect(screen.written().endsWith('\r\x1b[K')).toBe(looks);
    }
  });
});

describe('check', () => {
  it('counts what it finds', async () => {
    const odd = { line: 3, column: 1, expected: 'a capacity up to 100 Ah', found: '"8000 Ah"', hint: 'did you mean 8000 mAh?', severity: 'question' } as const;
    const { code, out } = await run(['check', file], reportOf(), {
      readMachine: () => ({ ok: false, issues: [odd, { line: 4, column: 2, expected: 'a name', found: 'nothing', severity: 'error' }] }),
    });
    expect(code).toBe(2);
    expect(out).toContain('robot.yaml:3:1: question: expected a capacity up to 100 Ah, found "8000 Ah"; did you mean 8000 mAh?\n');
    expect(out).toMatch(/robot\.yaml: 1 error, 1 question\n$/);
  });

  it('says that a file is in order', async () => {
    const { code, out } = await run(['check', file]);
    expect(code).toBe(0);
    expect(out).toContain('CRUSH10S, no parts, no chains, no steps: no errors, no questions');
  });
});

describe('files that cannot be read', () => {
  const cases: readonly (readonly [string, () => string, RegExp])[] = [
    ['missing', () => join(folder, 'none.yaml'), /none\.yaml: there is no such file/],
    ['a directory', () => folder, /this is a directory/],
    ['below a file', () => join(file, 'x.yaml'), /a part of the path is not a directory/],
    ['not UTF-8', () => written('latin1.yaml', Buffer.from('about: 60 \xb0C\n', 'latin1')), /expected UTF-8 text, found the byte 0xb0 at offset 10/],
    ['UTF-16', () => written('utf16.yaml', Buffer.from('\ufeffmachine: X\n', 'utf16le')), /looks like UTF-16/],
    ['over 1 MB', () => written('large.yaml', Buffer.alloc(1_000_001, 0x20)), /at most 1 MB/],
    ['without end', () => '/dev/zero', /at most 1 MB/],
  ];

  it.each(cases)('%s: a named error and 2', async (_, path, message) => {
    for (const command of ['ask', 'check']) {
      const { code, error, out } = await run([command, path()]);
      expect(code).toBe(2);
      expect(error).toMatch(message);
      expect(error.split('\n')).toHaveLength(2);
      expect(out).toBe('');
    }
  });

  // The superuser reads everything.
  it.skipIf(process.getuid?.() === 0)('unreadable: a named error and 2', async () => {
    const path = written('secret.yaml', Buffer.from('x'));
    chmodSync(path, 0);
    const { code, error } = await run(['ask', path]);
    expect(code).toBe(2);
    expect(error).toContain('no permission');
  });

  it('takes a byte order mark and exactly 1 MB', async () => {
    const { asked } = await run(['ask', written('bom.yaml', Buffer.from('\ufeffmachine: X\n'))]);
    expect(asked[0]?.text).toBe('machine: X\n');
    expect((await run(['check', written('full.yaml', Buffer.alloc(1_000_000, 0x20))])).code).toBe(0);
  });

  function written(name: string, bytes: Uint8Array): string {
    const path = join(folder, name);
    writeFileSync(path, bytes);
    return path;
  }
});

describe('wrong use', () => {
  const cases: readonly (readonly [readonly string[], RegExp])[] = [
    [['aks', 'robot.yaml'], /unknown command 'aks'.*Did you mean ask\?/],
    [['robot.yaml'], /To ask about a file: ampwright ask robot\.yaml/],
    [['ask', 'robot.yaml', '--sampels', '3'], /unknown option '--sampels'.*Did you mean --samples\?/],
    [['ask'], /missing required argument 'FILE'/],
    [['ask', 'a.yaml', 'b.yaml'], /too many arguments/],
    [['ask', 'a.yaml', '--only', 'sprak'], /found "sprak"; did you mean spark\?/],
    [['ask', 'a.yaml', '--only', ','], /found nothing/],
    [['ask', 'a.yaml', '--samples', '100001'], /whole number from 0 to 100000/],
    [['ask', 'a.yaml', '--samples', '1e3'], /whole number/],
    [['ask', 'a.yaml', '--seed', '-1'], /whole number from 0|argument missing/],
    [['ask', 'a.yaml', '--seed'], /argument missing/],
    [['check', '--json', 'a.yaml'], /unknown option '--json'/],
    [['demo', 'x'], /too many arguments/],
    [[], /Usage: ampwright/],
  ];

  it.each(cases)('%j: says so and ends with 3', async (words, message) => {
    const { code, error, out, asked } = await run(words);
    expect(error).toMatch(message);
    expect(code).toBe(3);
    expect(out).toBe('');
    expect(asked).toHaveLength(0);
  });

  it('writes no control characters of a hostile word to the terminal', async () => {
    for (const words of [['ask', 'a\x1b[2J.yaml'], ['\x1b[2J'], ['ask', 'a', '--only', '\x1b[2J'], ['ask', 'a', '--\x1b[2J']]) {
      const { error } = await run(words);
      expect(error).not.toContain('\x1b');
      expect(error).toContain('\\u{1b}');
    }
  });
});

describe('help and version', () => {
  it('print and end with 0', async () => {
    expect(await run(['--version'])).toMatchObject({ code: 0, out: '9.8.7\n', error: '' });
    const { code, out } = await run(['--help']);
    expect(code).toBe(0);
    expect(out).toContain('ampwright ask robot.yaml --only spark,hold');
    for (const digit of [0, 1, 2, 3, 4]) expect(out).toMatch(new RegExp(`^  ${digit}  \\S`, 'm'));
  });

  it('keep within the width', async () => {
    for (const words of [['--help'], ['ask', '--help'], ['help', 'check']]) {
      const { code, out } = await run(words);
      expect(code).toBe(0);
      expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
    }
  });
});

describe('demo', () => {
  it('asks about the demo machine, writes the report and ends with 0 though answers are bad', async () => {
    const machines = join(folder, 'machines');
    mkdirSync(machines);
    writeFileSync(join(machines, 'crush10s.yaml'), 'machine: CRUSH10S\n');
    const { code, out, asked } = await run(['demo'], reportOf(), { packageFolder: folder, workFolder: folder });
    expect(asked).toHaveLength(1);
    expect(code).toBe(0);
    expect(out).toContain(join('out', 'crush10s.html'));
    expect(existsSync(join(folder, 'out', 'crush10s.html'))).toBe(true);
  });
});
