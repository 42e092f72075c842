import { chmodSync, lstatSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { readMachine } from '../../src/machine/file/read.ts';
import { parseQuantity } from '../../src/quantity/parse.ts';
import { external } from '../external.ts';
import { trueVolts, type Truth } from '../questions/held-truth.ts';
import { demoText, plainMachine } from '../questions/machines.ts';
import { run } from './run.ts';
import { schemaViolations } from './schema-check.ts';

const schema = JSON.parse(readFileSync(new URL('../../schema/hold-test.schema.json', import.meta.url), 'utf8')) as Readonly<Record<string, unknown>>;

const folder = mkdtempSync(join(tmpdir(), 'ampwright-hold-test-'));
const file = join(folder, 'robot.yaml');
const CONTROLLER = { capacitance_F: 2e-3, standby_A: 0.045, above_V: 8 };
const PLAIN = plainMachine({ cells: 10, resistance_ohm: 100, controllers: [CONTROLLER, { ...CONTROLLER, capacitance_F: 1e-3 }], converters: [] })
  .replace('  R1: {', '  # painted red\n  R1: {');
/** The plain machine as it really is: more of both than its file says. */
const TRUTH: Truth = { supply_V: 41.8, resistance_ohm: 100, capacitance_F: 4.2e-3, standby_A: 0.13, wake_V: 8 };

function words(truth: Truth, times: readonly number[], by = '±0.03 s'): string[] {
  return times.flatMap((t) => ['--reading', `${t} s ${by} ${trueVolts(truth, t).toFixed(2)} V`]);
}
const READINGS = [...words(TRUTH, [0.2, 0.4, 0.8]), '--rest', `${trueVolts(TRUTH, 1e3).toFixed(2)} V`, '--pack', '41.80 V'];

const holdTest = (...more: string[]) => run(['hold-test', file, ...more], undefined, { readMachine });

beforeEach(() => writeFileSync(file, PLAIN));
afterAll(() => rmSync(folder, { recursive: true }));

interface Told { told: boolean; value: number; low: number; high: number; atMost: number | null }

describe('hold-test', () => {
  it('tells capacitance and standby from readings, and leaves the file alone', async () => {
    const { code, out } = await holdTest(...READINGS, '--json');
    const { capacitance, standby, softStart, written } = JSON.parse(out) as { capacitance: Told; standby: Told; softStart: string; written: unknown[] };
    expect(code).toBe(0);
    expect(softStart).toBe('Q1 CHARGE');
    // Readings without errors: what is left is the rounding to 10 mV and the milliohms of the leads.
    const source = 'closed form: RC charge towards V, then towards V - I0 R';
    external({ source, what: 'hold-test: bank behind 100 Ω from three filmed readings and the rest of 41.8 V, 4.2 mF, 130 mA above 8 V', unit: 'F', relative: 2e-3, expected: 4.2e-3, got: capacitance.value });
    external({ source, what: 'hold-test: standby behind 100 Ω from three filmed readings and the rest of 41.8 V, 4.2 mF, 130 mA above 8 V', unit: 'A', relative: 2e-3, expected: 0.13, got: standby.value });
    expect(capacitance.low).toBeLessThan(4.2e-3);
    expect(capacitance.high).toBeGreaterThan(4.2e-3);
    expect(written).toEqual([]);
    expect(readFileSync(file, 'utf8')).toBe(PLAIN);
  });

  it.each([
    ['told', READINGS], ['half told', ['--reading', '0.4 s 12 V']], ['written', [...READINGS, '--write']],
    ['contradicting', ['--reading', '0.4 s 30 V', '--reading', '0.8 s 12 V', '--reading', '1.6 s 35 V']],
  ] as const)('prints JSON that fits the published schema: %s', async (_what, words) => {
    const { out } = await holdTest(...words, '--json');
    expect(schemaViolations(JSON.parse(out), schema)).toEqual([]);
  });

  it('the schema finds a wrong and a missing field', async () => {
    const { status, ...rest } = JSON.parse((await holdTest(...READINGS, '--json')).out) as Record<string, unknown>;
    expect(status).toBe('fitted');
    expect(schemaViolations({ ...rest, chiSquare: -1 }, schema).join()).toMatch(/status: missing.*chiSquare: below 0|chiSquare: below 0.*status: missing/);
  });

  it('says it in plain words beside what the file says', async () => {
    const { out } = await holdTest(...READINGS);
    expect(out).toMatch(/Bank together: 4\.2 mF, 95 %: 3\.\d to 4\.\d mF; the file says 3 mF, which is too\s+little\./);
    expect(out).toMatch(/Standby while awake: 0\.13 A, 95 %: 0\.12 to 0\.14 A;/);
    expect(out).toContain('R1 at 100 Ω, taken ±5 %');
    expect(out).toContain('Shared out');
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('writes both in proportion, keeps comments, permissions and links, and the file is in order', async () => {
    const link = join(folder, 'link.yaml');
    symlinkSync(file, link);
    chmodSync(file, 0o640);
    const { code, out } = await run(['hold-test', link, ...READINGS, '--write'], undefined, { readMachine });
    expect(code).toBe(0);
    const text = readFileSync(file, 'utf8');
    expect(text).toContain('# painted red');
    expect(lstatSync(link).isSymbolicLink()).toBe(true);
    expect(statSync(file).mode & 0o777).toBe(0o640);
    expect(readdirSync(folder).filter((name) => name.startsWith('.'))).toEqual([]);
    const read = readMachine(text);
    if (!read.ok) throw new Error('the written file has errors');
    const shares = ['T1', 'T2'].map((id) => {
      const part = read.machine.parts.get(id);
      if (part?.kind !== 'controller' || part.values.capacitance === undefined || part.values.standby === undefined) throw new Error(`${id} lost its values`);
      return { capacitance: part.values.capacitance, standby: part.values.standby };
    });
    // Two to one in the file; three digits are written.
    expect(shares.map(({ capacitance }) => capacitance.value)).toEqual([expect.closeTo(2.8e-3, 4), expect.closeTo(1.4e-3, 4)]);
    expect(shares.map(({ standby }) => standby.value)).toEqual([expect.closeTo(0.065, 3), expect.closeTo(0.065, 3)]);
    for (const { capacitance, standby } of shares) {
      expect(capacitance.origin).toBe('measured');
      expect(standby.origin).toBe('measured');
      expect(capacitance.text).toMatch(/^[\d.]+ mF ±\d+ %, measured$/);
      expect(capacitance.high).toBeGreaterThan(capacitance.value);
    }
    expect(out).toContain('Written to');
    // The same readings against the written file agree with it.
    expect((await holdTest(...READINGS)).out).toMatch(/Bank together: .*which\s+fits/s);
  });

  it('tells only what the readings tell, and writes only that', async () => {
    const early = words(TRUTH, [0.03, 0.05, 0.07], '±0.002 s');
    const { code, out } = await holdTest(...early, '--pack', '41.80 V', '--write');
    expect(code).toBe(4);
    expect(out).toMatch(/Bank together: 4\.\d mF/);
    expect(out).toMatch(/Standby while awake: cannot tell; the file says 90 mA\. To tell it, take a\s+reading at\s+rest/);
    expect(readFileSync(file, 'utf8')).toContain('standby: 45 mA');
    expect(readFileSync(file, 'utf8')).toMatch(/capacitance: 2\.\d+ mF ±\d+ %, measured|capacitance: "2\.\d+ mF ±\d+ %, measured"/);
  });

  it('says that no values explain readings that contradict each other, with likely causes, and writes nothing', async () => {
    // The bus still held 20 V when the hold began.
    const left = [0.05, 0.2, 0.6, 1.2].flatMap((t) => ['--reading', `${t} s ±0.02 s ${(28.8 - 8.8 * Math.exp(-t / 0.42)).toFixed(2)} V`]);
    const { code, out } = await holdTest(...left, '--rest', '28.80 V', '--pack', '41.80 V', '--write');
    expect(code).toBe(4);
    expect(out).toMatch(/no capacitance and standby current explain these\s+readings/);
    expect(out).toMatch(/Likely\s+causes:\s+the\s+bus\s+was\s+not\s+empty/);
    expect(readFileSync(file, 'utf8')).toBe(PLAIN);
  });

  it('says that a load which starts and stops for ever keeps anything from being told', async () => {
    writeFileSync(file, demoText('crush10s'));
    const { code, out } = await holdTest('--at', 'Q1', '--reading', '1 s 8.5 V', '--reading', '2 s 8.1 V', '--reading', '3 s 8.3 V');
    expect(code).toBe(4);
    expect(out).toMatch(/T3\s+starts\s+and\s+stops\s+again\s+and\s+again/);
  });

  it('speaks of no sharing where one controller stands behind the soft start', async () => {
    writeFileSync(file, demoText('crush10s'));
    const { out } = await holdTest('--at', 'Q2', '--reading', '0.15 s ±0.03 s 25.4 V', '--rest', '36.60 V', '--pack', '41.80 V');
    expect(out).toContain('parts, T4, capacitance:');
    expect(out).not.toContain('Shared out');
  });

  it('names the soft starts when none or a wrong one is named', async () => {
    writeFileSync(file, demoText('crush10s'));
    const some = ['--reading', '0.5 s 30 V'];
    expect(await holdTest(...some)).toMatchObject({ code: 3, error: 'ampwright: --at: expected one of Q1 CHARGE, Q2 CHARGE, found nothing\n' });
    expect(await holdTest(...some, '--at', 'q2')).toMatchObject({ code: 3, error: 'ampwright: --at: expected one of Q1 CHARGE, Q2 CHARGE, found "q2"; did you mean Q2?\n' });
    writeFileSync(file, demoText('bar3s'));
    expect((await holdTest(...some)).error).toContain('found none');
  });

  it.each([
    [['--reading', '12.3 V'], 'expected a time and a voltage like "0.5 s 12.3 V", found "12.3 V"'],
    [['--reading', '0.5 s 12.3'], 'expected a time and a voltage'],
    [['--reading', '0.5 s 12.3 mA'], 'expected a time and a voltage'],
    [['--reading', '-1 s 12.3 V'], 'expected a time of at least 0 s'],
    [['--rest', 'soon'], '--rest: expected a voltage'],
    [['--rest', '30 V', '--pack', '0 V'], '--pack: expected a voltage above 0 V'],
    [['--rest', '52 V'], 'expected at most the pack\'s 42 V, found 52 V'],
    [[], 'expected readings like'],
    [['--readin', '1 s 3 V'], '--reading'],
  ])('refuses %j', async (options, message) => {
    const { code, error, out } = await holdTest(...options);
    expect(code).toBe(3);
    expect(error).toContain(message);
    expect(out).toBe('');
  });

  it('reads a reading in the ways people write it', async () => {
    for (const written of ['0.5 s 12.3 V', '500 ms, 12.3 V', '0.5 s ±0.05 s 12.3 V ±0.1 V', '0.5s 12.3V'])
      expect((await holdTest('--reading', written, '--json')).out).toContain('"volts_V": 12.3');
    expect((await holdTest('--reading', 'rest 30.1 V', '--json')).out).toContain('"time_s": null');
  });

  it('ends with 2 and the issues when the file has errors', async () => {
    writeFileSync(file, 'ampwright: 1\n');
    expect((await holdTest('--rest', '30 V')).code).toBe(2);
    expect(parseQuantity('2.8 mF ±6 %, measured', 'capacitance').ok).toBe(true);
  });
});
