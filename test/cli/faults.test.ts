import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Services } from '../../src/cli/services.ts';
import { pairRow } from '../../src/cli/pair-worker.ts';
import { readMachine } from '../../src/machine/file/read.ts';
import { run, type Run } from './run.ts';
import { schemaViolations } from './schema-check.ts';

const demo = 'machines/crush10s.yaml';
const schema = JSON.parse(readFileSync('schema/faults.schema.json', 'utf8')) as Readonly<Record<string, unknown>>;

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'ampwright-faults-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

function faults(words: readonly string[], services: Partial<Services> = {}): Promise<Run> {
  return run(['faults', ...words], undefined, { readMachine, ...services });
}

interface Told {
  readonly failures: readonly { readonly failures: readonly { readonly words: string }[]; readonly verdict: string; readonly consequence: string }[];
  readonly covered: number;
  readonly states: number;
  readonly pairs: { readonly done: number; readonly of: number; readonly complete: boolean; readonly covered: number; readonly found: readonly unknown[] } | null;
}

describe('faults', () => {
  it('shows every failure once, the gravest first, and ends with 1 where one is bad', async () => {
    const { code, out, error } = await faults([demo]);
    expect({ code, error }).toEqual({ code: 1, error: '' });
    expect(out).toMatch(/^CRUSH10S: 59 single failures\n/);
    expect(out).toContain('return of T1 lost: burns, at full drive');
    expect(out.indexOf('isolator Q1 welded')).toBeLessThan(out.indexOf('return of T1 lost'));
    expect(out).toMatch(/33 change nothing that anybody would notice/);
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  it('prints one JSON object that fits the published schema; cases are failures times states and full drive', async () => {
    const { out } = await faults([demo, '--json']);
    const told = JSON.parse(out) as Told;
    expect(schemaViolations(told, schema)).toEqual([]);
    expect(told.covered).toBe(told.failures.length * (told.states + 1));
    expect(told.pairs).toBeNull();
  });

  it('tries one state only, by the words of its switches', async () => {
    const { out } = await faults([demo, '--state', 'link LK1 in, Q1 off, q2 off', '--json']);
    const told = JSON.parse(out) as Told & { readonly state: string };
    expect(told.state).toBe('X1 closed, LK1 closed, Q1 OFF, Q2 OFF');
    expect(told.covered).toBe(2 * told.failures.length);
    expect(told.failures.filter((one) => one.consequence === 'can move').map((one) => one.failures[0]!.words).sort()).toEqual(['Q1 stuck on CHARGE', 'Q2 stuck on CHARGE', 'isolator Q1 welded', 'isolator Q2 welded']);
    expect((await faults([demo, '--state', 'Q9 off'])).code).toBe(3);
    expect((await faults([demo, '--state', 'Q1 off', '--pairs'])).code).toBe(3);
  });

  it('ends with 2 where the file has errors', async () => {
    const file = join(folder, 'broken.yaml');
    writeFileSync(file, 'ampwright: 1\nmachine: X\nparts:\n  F1: { kind: fuse, rating: -30 A }\n');
    const { code, out } = await faults([file]);
    expect({ code, out }).toEqual({ code: 2, out: '' });
  });
});

describe('faults --pairs', () => {
  it('gives the same with two threads as with one, and covers every pair', async () => {
    const text = readFileSync(demo, 'utf8');
    const alone = await faults([demo, '--pairs', '--json']);
    let closed = 0;
    // Two threads that answer in turn, later rows first.
    const late = (row: number): Promise<ReturnType<typeof pairRow>> => new Promise((resolve) => setTimeout(() => { resolve(pairRow({ text, row })); }, row % 3));
    const threaded = await faults([demo, '--pairs', '--json'], {
      pairThreads: (cases) => {
        expect(cases).toBeGreaterThan(1000);
        return Promise.resolve({ count: 2, row: ({ row }) => late(row), close: () => Promise.resolve(void closed++) });
      },
    });
    expect(threaded.out).toBe(alone.out);
    expect(closed).toBe(1);
    const told = JSON.parse(alone.out) as Told;
    expect(schemaViolations(told, schema)).toEqual([]);
    expect(told.pairs).toMatchObject({ complete: true, done: told.pairs!.of, covered: told.pairs!.of * 7 });
    expect(told.pairs!.found.length).toBeGreaterThan(0);
  });

  it('stops at Ctrl-C, shows what it has and how far it came, and ends with 130', async () => {
    let restored = 0;
    const { code, out } = await faults([demo, '--pairs'], {
      onInterrupt: (stop) => {
        setTimeout(stop, 20);
        return () => void restored++;
      },
    });
    expect(code).toBe(130);
    expect(out).toMatch(/Stopped after \d+ of 1673 pairs of failures/);
    expect(out).toContain('59 single failures');
    expect(restored).toBe(1);
  });
});
