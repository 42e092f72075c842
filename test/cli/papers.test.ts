import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { fingerprint } from '../../src/machine/file/fingerprint.ts';
import { readMachine } from '../../src/machine/file/read.ts';
import { makePapers } from '../../src/cli/papers-making.ts';
import type { Services } from '../../src/cli/services.ts';
import type { Sheet } from '../../src/sheets/drawing/shapes.ts';
import { machineInside } from '../../src/sheets/share/share-page.ts';
import { demoText } from '../sheets/source.ts';
import { reportOf } from './fixture.ts';
import { run, type Run } from './run.ts';

let folder = '';
let file = '';

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'papers-'));
  file = join(folder, 'robot.yaml');
  writeFileSync(file, demoText('crush10s'));
});

afterEach(() => rmSync(folder, { recursive: true, force: true }));

const SHEET: Sheet = { title: 'Overview', description: 'A pack and a load.', width_mm: 100, height_mm: 50, shapes: [{ shape: 'line', x1: 0, y1: 0, x2: 90, y2: 40, stroke: { width_mm: 0.5, tone: 'ink' } }] };

function papers(words: readonly string[], services: Partial<Services> = {}): Promise<Run> {
  return run(['papers', file, ...words], reportOf(), { readMachine, draw: () => Promise.resolve([SHEET]), ...services });
}

const out = (name = ''): string => join(folder, 'out', name);
const text = (name: string): string => readFileSync(out(name), 'utf8');

describe('ampwright papers', () => {
  it('writes every paper in every format that it has', async () => {
    const { code, out: said } = await papers(['--out', out()]);
    expect(code).toBe(0);
    const names = readdirSync(out()).filter((name) => !name.startsWith('.'));
    expect(names).toEqual(expect.arrayContaining([
      'drawing.pdf', 'drawing.svg', 'wire-list.pdf', 'wire-list.html', 'wire-list.csv', 'cutting-list.csv', 'wire-labels.pdf', 'parts-list.csv', 'power-card.pdf', 'pit-card.pdf', 'bench-card.pdf',
      'emergency-card.pdf', 'inspection.pdf', 'design-report.pdf', 'share.html',
    ]));
    for (const name of names) {
      expect(said).toContain(name);
      const bytes = readFileSync(out(name));
      const start = bytes.subarray(0, 16).toString('latin1');
      expect(start, name).toMatch(name.endsWith('.pdf') ? /^%PDF-1\.7/ : name.endsWith('.html') ? /^<!doctype html/ : name.endsWith('.svg') ? /^<svg/ : /^(Wire|Part|Line)/);
    }
  });

  it('puts machine, revision, date and file id on every paper, and asks no clock', async () => {
    await papers(['--out', out(), '--date', '2026-11-25', '--revision', 'B7', '--format', 'html,csv']);
    const id = fingerprint(demoText('crush10s'));
    for (const name of readdirSync(out()).filter((one) => /\.(html|csv)$/.test(one))) for (const mark of ['CRUSH10S', 'B7', '2026-11-25', id]) expect(text(name), name).toContain(mark);
    await papers(['--out', out(), '--format', 'html']);
    expect(text('wire-list.html')).not.toMatch(/20\d\d-\d\d-\d\d/);
  });

  it('writes only what is asked for, and names the nearest word for what is not there', async () => {
    await papers(['--out', out(), '--only', 'wire-list,power-card', '--format', 'csv,pdf']);
    expect(readdirSync(out()).filter((name) => !name.startsWith('.')).sort()).toEqual(['power-card.pdf', 'wire-list.csv', 'wire-list.pdf']);
    const { code, error } = await papers(['--out', out(), '--only', 'wire-lst']);
    expect(code).toBe(3);
    expect(error).toContain('did you mean wire-list?');
    expect((await papers(['--out', out(), '--format', 'doc'])).code).toBe(3);
    expect((await papers([])).code).toBe(3);
  });

  it('asks only what its papers show', async () => {
    const asked = async (only: string): Promise<unknown> => (await papers(['--out', out(), '--only', only])).asked.map(({ only: ids }) => ids);
    expect(await asked('drawing,cutting-list')).toEqual([]);
    expect(await asked('power-card')).toEqual([['spark', 'hold']]);
    expect(await asked('power-card,design-report')).toEqual([['spark', 'hold', 'stall']]);
  });

  it('takes the size of the pages, and says on the papers how many samples stand behind them', async () => {
    const drawn: string[] = [];
    const draw: Services['draw'] = (_machine, _stamp, format) => {
      drawn.push(format);
      return Promise.resolve([SHEET]);
    };
    expect((await papers(['--out', out(), '--paper', 'letter', '--only', 'drawing,wire-list,design-report', '--samples', '7'], { draw })).code).toBe(0);
    expect(drawn).toEqual(['Letter']);
    // Source: ANSI/ASME Y14.1 (A, 8.5 in by 11 in), a point being 1/72 in; a wire list lies on its side.
    expect(readFileSync(out('wire-list.pdf')).toString('latin1')).toContain('/MediaBox [0 0 792 612]');
    expect(text('wire-list.html')).toContain('@page { size: Letter;');
    expect(text('design-report.html')).toContain('7 samples of the spreads');
    const wrong = await papers(['--out', out(), '--paper', 'a5']);
    expect([wrong.code, wrong.error.includes('--paper: expected one or more of a4, letter')]).toEqual([3, true]);
  });

  it('writes again over its own files, and over no others unless told', async () => {
    const words = ['--out', out(), '--only', 'wire-list', '--format', 'csv'];
    expect((await papers(words)).code).toBe(0);
    expect((await papers(words)).code).toBe(0);
    writeFileSync(out('power-card.pdf'), 'mine');
    const refused = await papers(['--out', out(), '--only', 'power-card,parts-list', '--format', 'pdf']);
    expect(refused.code).toBe(3);
    expect(refused.error).toContain('--force');
    expect(text('power-card.pdf')).toBe('mine');
    expect(existsSync(out('parts-list.pdf'))).toBe(false);
    expect((await papers(['--out', out(), '--only', 'power-card', '--format', 'pdf', '--force'])).code).toBe(0);
    expect(text('power-card.pdf').startsWith('%PDF')).toBe(true);
    expect(readdirSync(out()).some((name) => name.endsWith('.new'))).toBe(false);
  });

  it('does not write through a link to somebody else’s file', async () => {
    await papers(['--out', out(), '--only', 'wire-list', '--format', 'csv']);
    writeFileSync(join(folder, 'precious'), 'precious');
    rmSync(out('wire-list.csv'));
    symlinkSync(join(folder, 'precious'), out('wire-list.csv'));
    await papers(['--out', out(), '--only', 'wire-list', '--format', 'csv', '--force']);
    expect(readFileSync(join(folder, 'precious'), 'utf8')).toBe('precious');
  });

  it('says what is wrong with the file, the rules, or where it cannot write', async () => {
    writeFileSync(file, 'ampwright: 1\n');
    expect((await papers(['--out', out()])).code).toBe(2);
    writeFileSync(file, demoText('crush10s'));
    const rules = join(folder, 'rules.yaml');
    writeFileSync(rules, 'ampwright rules: 1\nname: Ours\ndated: 2026-11\nlines:\n  - { rule: Half of it, check: nominal voltage, limit: 24 V, source: our hall }\n');
    expect((await papers(['--out', out(), '--only', 'inspection', '--format', 'html', '--rules', rules])).code).toBe(0);
    expect(text('inspection.html')).toContain('our hall');
    expect(text('inspection.html')).toContain('NOT MET');
    writeFileSync(rules, 'rules: none\n');
    const wrong = await papers(['--out', out(), '--rules', rules]);
    expect([wrong.code, wrong.error.includes('ampwright rules')]).toEqual([2, true]);
    expect((await papers(['--out', join(file, 'below')])).code).toBe(3);
  });

  it('gives each of several machines a folder of its own', async () => {
    const other = join(folder, 'second.yaml');
    writeFileSync(other, demoText('bar3s'));
    await run(['papers', file, other, '--out', out(), '--only', 'wire-list', '--format', 'csv'], reportOf(), { readMachine });
    expect(text(join('robot', 'wire-list.csv'))).toContain('CRUSH10S');
    expect(text(join('second', 'wire-list.csv'))).toContain('BAR3S');
  });

  it('makes several machines on threads where there are some: the same files, told in the order of the machines', async () => {
    const other = join(folder, 'second.yaml');
    writeFileSync(other, demoText('bar3s'));
    const words = (to: string): string[] => ['papers', other, file, '--out', out(to), '--only', 'wire-list,cutting-list', '--format', 'csv,html', '--date', '2026-11-25'];
    const alone = await run(words('alone'), reportOf(), { readMachine });
    const begun: string[] = [];
    let closed = 0;
    const threads: Services['papersThreads'] = () => Promise.resolve({
      make: (job) => {
        begun.push(job.text);
        // The machine that was begun first is the last to be ready.
        return new Promise<void>((ready) => setTimeout(ready, begun.length === 1 ? 40 : 1)).then(() => makePapers(structuredClone(job), { readMachine, ask: () => Promise.resolve(reportOf().answers) }));
      },
      close: () => Promise.resolve(void (closed += 1)),
    });
    const together = await run(words('together'), reportOf(), { readMachine, papersThreads: threads });
    expect(begun.map((text) => text.length)).toEqual([demoText('crush10s').length, demoText('bar3s').length]);
    expect(together.out.replaceAll('together', 'alone')).toBe(alone.out);
    for (const name of ['robot', 'second']) for (const one of readdirSync(out(join('alone', name)))) expect(text(join('together', name, one)), one).toBe(text(join('alone', name, one)));
    expect(closed).toBe(1);
    const failing: Services['papersThreads'] = () => Promise.resolve({ make: () => Promise.reject(new Error('no more memory')), close: () => Promise.resolve(void (closed += 1)) });
    await expect(run(words('failing'), reportOf(), { readMachine, papersThreads: failing })).rejects.toThrow('no more memory');
    expect(closed).toBe(2);
  });

  it('makes nothing while one of several files has errors', async () => {
    const broken = join(folder, 'broken.yaml');
    writeFileSync(broken, 'ampwright: 1\n');
    const { code, error } = await run(['papers', file, broken, '--out', out(), '--only', 'wire-list'], reportOf(), { readMachine });
    expect(code).toBe(2);
    expect(error).toContain('broken.yaml');
    expect(existsSync(out())).toBe(false);
  });

  it('takes a share page wherever a machine file is taken, and makes the same papers of it', async () => {
    await papers(['--out', out(), '--only', 'wire-list,share', '--format', 'csv,html']);
    const page = join(folder, 'sent.html');
    writeFileSync(page, text('share.html'));
    const again = join(folder, 'again');
    expect((await run(['papers', page, '--out', again, '--only', 'wire-list', '--format', 'csv'], reportOf(), { readMachine })).code).toBe(0);
    expect(readFileSync(join(again, 'wire-list.csv'), 'utf8')).toBe(text('wire-list.csv'));
    expect((await run(['check', page], reportOf(), { readMachine })).out).toContain('no errors');
    writeFileSync(page, '<!doctype html><p>nothing</p>');
    const refused = await run(['check', page], reportOf(), { readMachine });
    expect([refused.code, refused.error.includes('found a web page without a machine in it')]).toEqual([2, true]);
  });

  it('opens a share page as the machine file that it holds, put beside it, and over no other file', async () => {
    await papers(['--out', out(), '--only', 'share']);
    const page = out('share.html');
    const opened: string[] = [];
    const serve: Services['serve'] = { page: ({ path }) => Promise.resolve({ address: opened[opened.push(path) - 1] ?? '', close: () => Promise.resolve() }), untilEnded: () => Promise.resolve() };
    for (const [time, code] of [[1, 0], [2, 0], [3, 3]] as const) {
      if (time === 3) writeFileSync(out('share.yaml'), 'mine');
      expect((await run(['open', page], reportOf(), { readMachine, serve })).code, `${time}`).toBe(code);
    }
    expect(opened).toEqual([out('share.yaml'), out('share.yaml')]);
    expect(text('share.yaml')).toBe('mine');
    expect(machineInside(text('share.html'))).toBe(demoText('crush10s'));
  });

  it('makes a share page that holds the file, or the file without what is personal, and compares with an older one', async () => {
    await papers(['--out', out(), '--only', 'share']);
    expect(machineInside(text('share.html'))).toBe(demoText('crush10s'));
    await papers(['--out', out(), '--only', 'share', '--impersonal']);
    const inside = machineInside(text('share.html')) ?? '';
    expect(inside).not.toContain('#');
    expect(inside).not.toContain('notes:');
    const older = join(folder, 'older.yaml');
    writeFileSync(older, demoText('crush10s').replace('resistance: 100 Ω', 'resistance: 47 Ω'));
    await papers(['--out', out(), '--only', 'share', '--before', older]);
    expect(text('share.html')).toContain('What has changed');
    expect(text('share.html')).toMatch(/47\u00A0Ω/);
  });
});
