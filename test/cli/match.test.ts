import { mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { readMachine } from '../../src/machine/file/read.ts';
import { fileText } from '../machine/file/demos.ts';
import { keptTerminal, run as runWithReport } from './run.ts';
import { reportOf } from './fixture.ts';
import type { MatchTask } from '../../src/cli/match-worker.ts';
import type { Services } from '../../src/cli/services.ts';

const services = { readMachine };
const run = (words: readonly string[], some: Partial<Services>) => runWithReport(words, reportOf(), some);
const folder = mkdtempSync(join(tmpdir(), 'match-'));
const file = join(folder, 'kart.yaml');
writeFileSync(file, fileText('machines/kart16s.yaml'));

describe('ampwright match', () => {
  it('says in words what the match did, each figure with its unit and moment', async () => {
    const { code, out } = await run(['match', file], services);
    expect(code).toBe(0);
    expect(out).toMatch(/^KART16S: a match of 180 s, duty ride, seed 1\n/);
    expect(out).toMatch(/ {2}pack {7}G1: [\d.]+ (m?Ah|C) used \([\d.]+ %\), weakest cell [\d.]+ V at [\d.]+ s/);
    expect(out).toMatch(/ {2}fuse {7}F1: holds/);
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  it('writes every curve in one step: time rises, names carry units, nothing else is left beside', async () => {
    const csv = join(folder, 'deep', 'curves.csv');
    const { code, error } = await run(['match', file, '--csv', csv], services);
    expect({ code, error: error.includes('curves: ') }).toEqual({ code: 0, error: true });
    const [head, ...rows]: string[][] = parse(readFileSync(csv, 'utf8'));
    expect(head![0]).toBe('time (s)');
    expect(head!.slice(1).every((name) => / \((V|A|°C|rad\/s|m\/s|%)\)$/.test(name))).toBe(true);
    const times = rows.map(([time]) => Number(time));
    expect(times.every((time, k) => k === 0 || time >= times[k - 1]!)).toBe(true);
    expect(rows.flat().every((cell) => Number.isFinite(Number(cell)))).toBe(true);
    expect(readdirSync(join(folder, 'deep'))).toEqual(['curves.csv']);
  });

  it('prints one JSON object, the same for the same seed', async () => {
    const [one, again, other] = await Promise.all([['7'], ['7'], ['8']].map(([seed]) => run(['match', file, '--json', '--seed', seed!, '--matches', '2'], services)));
    expect(again!.out).toBe(one!.out);
    expect(other!.out).not.toBe(one!.out);
    const object = JSON.parse(one!.out) as { machine: string; seed: number; match: { status: string }; matches: { sample: number }[] };
    expect(object).toMatchObject({ machine: 'KART16S', seed: 7, match: { status: 'done' }, matches: [{ sample: 0 }, { sample: 1 }] });
  });

  it('gives the pieces of many matches to threads, and the same numbers as without', async () => {
    const asked: number[][] = [];
    const threads = {
      matchThreads: () => Promise.resolve({
        fight: async ({ text, seed, samples, duty }: { text: string; seed: number; samples: readonly number[]; duty: string | undefined }) => {
          asked.push([...samples]);
          const { matches } = await import('../../src/cli/match-worker.ts');
          return matches({ text, seed, samples, duty });
        },
        close: () => Promise.resolve(),
      }),
    };
    const alone = await run(['match', file, '--json', '--matches', '6', '--duty', 'gentle'], services);
    const together = await run(['match', file, '--json', '--matches', '6', '--duty', 'gentle'], { ...services, ...threads });
    expect(together.out).toBe(alone.out);
    expect(asked).toEqual([[0, 1, 2, 3], [4, 5]]);
  });

  it('says what the match did before it begins with many, and how far those are', async () => {
    const kept = keptTerminal();
    let clock_ms = 0;
    const before: string[] = [];
    const terminal = { ...kept.terminal, showsProgress: true, clock_ms: () => (clock_ms += 300) };
    const matchThreads = () => Promise.resolve({
      fight: async (task: MatchTask) => {
        before.push(kept.out());
        const { matches } = await import('../../src/cli/match-worker.ts');
        return matches(task);
      },
      close: () => Promise.resolve(),
    });
    await run(['match', file, '--matches', '12'], { ...services, terminal, matchThreads });
    expect(before).toHaveLength(3);
    for (const out of before) expect(out).toMatch(/^KART16S: a match of 180 s, duty ride, seed 1\n[^]* {2}fuse {7}F1: holds/);
    expect(kept.out().slice(before[0]!.length)).toMatch(/^\n {2}12 matches with everything drawn from its spread:\n {2}charge used of G1: /);
    expect(kept.error()).toContain('matches: 8 of 12');
  });

  it('plays a log, and names what is wrong in one', async () => {
    const log = join(folder, 'log.csv');
    writeFileSync(log, 'time,T1 throttle\n0,1\n5,0\n10,0\n');
    expect((await run(['match', file, '--log', log], services)).out).toContain('a match of 10 s');
    writeFileSync(log, 'time,T9 throttle\n0,1\n');
    const { code, error } = await run(['match', file, '--log', log], services);
    expect(code).toBe(3);
    expect(error).toContain('expected a column of a controller or motor that is driven, found "T9 throttle"');
  });

  it.each([
    [['--duty', 'brutl'], 'did you mean brutal?'],
    [['--duty', 'hard', '--log', 'x.csv'], 'expected --duty or --log, found both'],
    [['--csv', file], 'expected another file than the machine'],
    [['--seed', '-1'], 'seed'],
  ])('refuses %j', async (words, message) => {
    const { code, error } = await run(['match', file, ...words], services);
    expect(code).toBe(3);
    expect(error).toContain(message);
  });

  it('says what is missing where there is nothing to fight with', async () => {
    const bench = join(folder, 'bench.yaml');
    writeFileSync(bench, 'ampwright: 1\nmachine: B\nparts:\n  G1: { kind: bench supply, voltage: 24 V, limit: 2 A }\n  T1: { kind: controller, motor current: 10 A }\nwiring:\n  a: from G1+, 12 AWG 0.1 m, to T1\nreturns: all negatives on one bar\n');
    const { code, error } = await run(['match', bench], services);
    expect(code).toBe(4);
    expect(error).toContain('needs a pack');
  });
});
