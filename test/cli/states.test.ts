import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { readMachine } from '../../src/machine/file/read.ts';
import { run } from './run.ts';
import { schemaViolations } from './schema-check.ts';

const machine = (name: string): string => fileURLToPath(new URL(`../../machines/${name}.yaml`, import.meta.url));
const schema = JSON.parse(readFileSync(new URL('../../schema/states.schema.json', import.meta.url), 'utf8')) as Readonly<Record<string, unknown>>;
const states = (name: string, ...more: string[]) => run(['states', machine(name), ...more], undefined, { readMachine });

interface Row {
  readonly switches: readonly { readonly switch: string; readonly position: string | null }[];
  readonly standsFor: number;
  readonly loads: readonly { readonly load: string; readonly class: string; readonly voltage: number; readonly meant: boolean; readonly hiccups: boolean }[];
}

describe('states', () => {
  it('shows every state that differs, with how many it stands for', async () => {
    const { code, out } = await states('crush10s');
    expect(code).toBe(0);
    // Two connectors of two positions and two isolators of three: 36. With the pack connector open nothing else matters
    // (18), nor with the link out (9); the nine positions of the isolators are left.
    expect(out).toContain('CRUSH10S: 36 states of 4 switches, 11 that differ (packs in, motors at rest)');
    expect(out).toMatch(/open +any +any +any +18 +d +d/);
    expect(out).toMatch(/closed +open +any +any +9 +d +d/);
    expect(out).toMatch(/closed +closed +ON +OFF +1 +M\* 42 +M\* 42 +d +a\* 42\n/);
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('marks the converter that starts and stops on CHARGE', async () => {
    const { out } = await states('crush10s');
    expect(out).toMatch(/closed +closed +CHARGE +OFF +1 +M\* \S+ +M\* \S+ +d +a\*~ /);
  });

  it('shows in one state what bridges to what, and on which way', async () => {
    const { code, out } = await states('flawed/spin8s-missing-diode', '--state', 'the drum isolator q3 Closed');
    expect(code).toBe(0);
    expect(out).toContain('SPIN8S: X1 closed, Q1 OFF, Q2 OFF, Q3 ON, S1 open (packs in, motors at rest)');
    expect(out.replace(/\s+/g, ' ')).toMatch(/T1 \(controller\): can move, not meant to be fed: Q1 open\. 33\.2 V; to be had: [\d.]+ k?A, [\d.]+ k?W\. by way of pack G1 → .*switch Q3 → lead of charge drum → lead of charge left → diode D1 → T1 →/);
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('takes packs out and turns motors', async () => {
    const without = await states('crush10s', '--out', 'g1', '--json');
    const rows = (JSON.parse(without.out) as { rows: Row[] }).rows;
    expect(rows.flatMap(({ loads }) => loads.map((load) => load.class)).every((name) => name === 'dead')).toBe(true);
    const { out } = await states('crush10s', '--out', 'G1', '--spinning', 'm3', '--json');
    const turning = JSON.parse(out) as { out: string[]; spinning: string[]; rows: Row[] };
    expect(turning).toMatchObject({ out: ['G1'], spinning: ['M3'] });
    // The arm's motor feeds its own controller, whatever is open.
    expect(turning.rows.every(({ loads }) => loads.find(({ load }) => load === 'T4')!.class === 'can move')).toBe(true);
  });

  it.each([['crush10s', []], ['crush10s', ['--spinning', 'all']], ['flawed/spin8s-missing-diode', ['--state', 'Q3 ON']], ['trk14s', ['--state', 'S1 held']]] as const)('prints JSON of %s that fits its schema (%j)', async (name, more) => {
    const { out, code } = await states(name, ...more, '--json');
    expect(code).toBe(0);
    expect(schemaViolations(JSON.parse(out), schema)).toEqual([]);
  });

  it('counts every state once in the JSON', async () => {
    const { out } = await states('lift6s', '--json');
    const { rows, states: all } = JSON.parse(out) as { rows: Row[]; states: number };
    expect(all).toBe(2 ** 4);
    expect(rows.reduce((sum, row) => sum + row.standsFor, 0)).toBe(all);
    for (const row of rows) expect(row.standsFor).toBe(2 ** row.switches.filter(({ position }) => position === null).length);
  });

  it.each([
    [['--state', 'Q1 CHRAGE'], '--state: expected Q1 with one of OFF, CHARGE, ON, found "Q1 CHRAGE"; did you mean CHARGE?'],
    [['--state', 'Q11 ON'], '--state: expected a switch and its position, of X1, LK1, Q1, Q2, found "Q11 ON"; did you mean Q1?'],
    [['--state', 'Q1 ON, q1 OFF'], '--state: expected each switch once, found "q1 OFF"'],
    [['--spinning', 'M9'], '--spinning: expected one or more of M1, M2, M3, found "M9"; did you mean M1?'],
    [['--out', 'M1'], '--out: expected one or more of G1, found "M1"'],
    [['--state', 'Q1 \u001b[31m'], '--state: expected Q1 with one of OFF, CHARGE, ON, found "Q1 \\\\u{1b}[31m"'],
  ] as const)('says what is wrong with %j, and ends with 3', async (more, message) => {
    const { code, error, out } = await states('crush10s', ...more);
    expect(code).toBe(3);
    expect(error).toContain(message);
    expect(out).toBe('');
  });

  it.each([['Q1 on, Q2 off, LK1 in, X1 plugged in', 'X1 closed, LK1 closed, Q1 ON, Q2 OFF'], ['lk1 inserted; q2 charge', 'X1 closed, LK1 closed, Q1 OFF, Q2 CHARGE'], ['X1 pulled', 'X1 open, LK1 open, Q1 OFF, Q2 OFF']])('understands %j', async (text, meant) => {
    const { out } = await states('crush10s', '--state', text);
    expect(out).toContain(meant);
  });
});
