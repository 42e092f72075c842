import { describe, expect, it } from 'vitest';
import { GENERIC_RULES } from '../../src/machine/rules/generic.ts';
import { readRules } from '../../src/machine/rules/read.ts';
import { CHECK_NAMES } from '../../src/machine/rules/rule-set.ts';
import type { Item } from '../../src/questions/answer.ts';
import { inspectedLines, inspection } from '../../src/questions/inspection.ts';
import { EMPTY_BOX, tablesOf } from '../../src/sheets/document/document.ts';
import { PAPERS } from '../../src/sheets/papers.ts';
import { answerTo } from '../../src/sheets/source.ts';
import { askedSource, demoText, genericRules, sourceOf, type Demo } from './source.ts';
import { readFileSync } from 'node:fs';

const RULES = genericRules();

function line(text: string, check: string): Item {
  const found = inspectedLines(sourceOf(text).machine, RULES, () => undefined).find(({ rule }) => rule.check === check);
  if (found === undefined) throw new Error(`no line for ${check}`);
  return found.item;
}

const verdict = (demo: Demo, check: string): string => line(demoText(demo), check).verdict;

describe('the rules', () => {
  it('that are shipped are those of the file that a user copies', () => {
    expect(GENERIC_RULES).toBe(readFileSync(new URL('../../machines/rules/generic.yaml', import.meta.url), 'utf8'));
  });

  it('use every check, and name a source for each line', () => {
    expect([...new Set(RULES.lines.flatMap(({ check }) => check ?? []))].sort()).toEqual([...CHECK_NAMES].sort());
    for (const { source } of RULES.lines) expect(source.length).toBeGreaterThan(8);
  });

  it('of an event with mistakes are refused with place and nearest spelling', () => {
    const wrong = readRules('ampwright rules: 1\nname: X\ndated: 2026\nlines:\n  - { rule: A, check: nominal voltag, limit: 24 V, source: S }\n  - { rule: B, source: S, limit: 3 V }\n  - { rule: C, check: discharged, source: S }\n  - { ruel: D }\n');
    if (wrong.ok) throw new Error('taken');
    const found = wrong.issues.map(({ line: at, field, hint }) => `${at} ${field ?? ''} ${hint ?? ''}`);
    expect(found.some((one) => one.startsWith('5 lines.1.check') && one.includes('nominal voltage'))).toBe(true);
    expect(found.some((one) => one.startsWith('6 lines.2.limit'))).toBe(true);
    expect(found.some((one) => one.startsWith('7 lines.3.limit'))).toBe(true);
    expect(found.some((one) => one.startsWith('8 lines.4.ruel') && one.includes('rule'))).toBe(true);
  });

  it('that are hostile end in issues, not in a throw', () => {
    for (const text of ['', '[]', 'a', 'lines: 3', '&a [*a]', 'ampwright rules: 1\nname: {}\ndated: []\nlines: {}', `ampwright rules: 1\nname: x\ndated: x\nlines:\n${'  - { rule: a, source: b }\n'.repeat(300)}`, '__proto__: 1']) expect(readRules(text).ok).toBe(false);
  });
});

describe('the inspection', () => {
  // Nominal voltage by hand: 10 lipo cells of 3.7 V are 37 V, 16 lfp cells of 3.2 V are 51.2 V; 48 V is the limit of the
  // set (C.R.O.W. construction rules, September 2026, 8.2). Cell voltages: cell makers' notes.
  it('adds up the nominal voltage', () => {
    expect(line(demoText('crush10s'), 'nominal voltage')).toMatchObject({ verdict: 'good', figure: { value: 37 }, limit: 48, margin: 11 });
    const kart = line(demoText('kart16s'), 'nominal voltage');
    expect(kart.verdict).toBe('bad');
    expect(kart.figure?.value).toBeCloseTo(51.2, 9);
  });

  // From the machines' own lines: CRUSH10S has a link and isolators; BOARD10S an electronic switch only; KART16S a
  // contactor and a service plug that no step pulls.
  it('wants a break that a hand makes', () => {
    expect(verdict('crush10s', 'manual break')).toBe('good');
    expect(verdict('bar3s', 'manual break')).toBe('good');
    expect(verdict('board10s', 'manual break')).toBe('bad');
    expect(verdict('kart16s', 'manual break')).toBe('bad');
  });

  it('looks for a lamp that follows the power, fed by the battery', () => {
    expect(verdict('crush10s', 'power light')).toBe('good');
    expect(verdict('board10s', 'power light')).toBe('bad');
    const always = demoText('bar3s').replace('lamp: from star, to P1', 'lamp: from G1+, to P1');
    expect(line(always, 'power light')).toMatchObject({ verdict: 'bad', parts: ['P1'] });
    const behind = demoText('crush10s').replace('drive lamp: from drive, to P1', 'drive lamp: from T3 out, to P1');
    expect(line(behind, 'light from battery')).toMatchObject({ verdict: 'bad', parts: ['P1'] });
  });

  // By hand: 60 C of 8 Ah are 480 A. The rule's own example: 80 C of 0.65 Ah are 52 A (BBB checklist, 10 March 2024).
  it('compares the fuse with what the battery can give', () => {
    expect(line(demoText('crush10s'), 'fuse below burst').says).toContain('480 A');
    expect(verdict('crush10s', 'fuse below burst')).toBe('good');
    expect(line(demoText('crush10s').replace('rating: 150 A', 'rating: 500 A'), 'fuse below burst').verdict).toBe('bad');
    expect(verdict('bar3s', 'fuse below burst')).toBe('bad');
    const example = demoText('crush10s').replace('capacity: 8 Ah', 'capacity: 0.65 Ah').replace('label rate: 60', 'label rate: 80').replace('rating: 150 A', 'rating: 50 A');
    expect(line(example, 'fuse below burst')).toMatchObject({ verdict: 'good' });
    expect(line(example, 'fuse below burst').says).toContain('52 A');
  });

  // Source: IEC 60204-1:2016, 6.2.4: 60 V within 5 s. Six lipo cells have 25.2 V at most; 16 of 4.2 V have 67.2 V, by hand.
  it('asks for discharging only where there are 60 V to lose', () => {
    expect(line(demoText('lift6s'), 'discharged')).toMatchObject({ verdict: 'good' });
    expect(line(demoText('crush10s').replace('cells: 10', 'cells: 16').replace('full voltage: 42.0 V, ', ''), 'discharged').verdict).toBe('cannot tell');
  });

  it('reads the order of the transmitter from the procedure', () => {
    expect(verdict('crush10s', 'transmitter first')).toBe('good');
    expect(line(demoText('bar3s').replace('  - crew: transmitter on\n  - crew: lock pin in\n', '  - crew: lock pin in\n  - crew: transmitter on\n'), 'transmitter first').verdict).toBe('bad');
    expect(verdict('lift6s', 'transmitter last')).toBe('good');
  });

  it('leaves what only a crew can see to the crew: cannot tell, with a box, apart from the computed lines', () => {
    const source = sourceOf(demoText('crush10s'));
    const lines = inspectedLines(source.machine, RULES, () => undefined);
    const crew = lines.filter((one) => one.crew);
    expect(crew.map(({ rule }) => rule.rule)).toEqual(expect.arrayContaining(RULES.lines.filter(({ check }) => check === undefined).map(({ rule }) => rule)));
    for (const { item } of crew) expect(item).toMatchObject({ verdict: 'cannot tell', figure: undefined });
    const answer = inspection(source.machine, RULES, () => undefined);
    expect(answer.items).toHaveLength(lines.length - crew.length);
    expect(answer.evidence[0]?.type === 'table' ? answer.evidence[0].rows : []).toHaveLength(crew.length);
    const paper = PAPERS.inspection.make(source)!;
    const [computed, ticked] = tablesOf(paper);
    expect(computed!.rows.length + ticked!.rows.length).toBe(RULES.lines.length);
    expect(ticked!.rows.every((row) => row.at(-1) === EMPTY_BOX)).toBe(true);
    expect(computed!.rows.flat()).not.toContain(EMPTY_BOX);
    expect(JSON.stringify(paper).match(/not an approval/gi)?.length).toBeGreaterThanOrEqual(1);
  });

  it('takes its numbers from the other answers', async () => {
    const source = await askedSource(demoText('lift6s'));
    const line = inspectedLines(source.machine, RULES, (id) => answerTo(source, id)).find(({ rule }) => rule.check === 'spark');
    expect(line?.item.says).toBe(answerTo(source, 'spark')?.says);
    expect(line?.item.verdict).toBe(answerTo(source, 'spark')?.verdict);
  }, 30_000);

  it('does not let the crew’s lines decide, and never calls itself an approval', () => {
    const all = readRules('ampwright rules: 1\nname: X\ndated: 2026-01\nlines:\n  - { rule: A, check: nominal voltage, limit: 60 V, source: S }\n  - { rule: B, source: S }\n');
    if (!all.ok) throw new Error('not read');
    const answer = inspection(sourceOf(demoText('crush10s')).machine, all.rules, () => undefined);
    expect(answer.verdict).toBe('good');
    expect(answer.says).toContain('not an approval');
    expect(answer.items.map((item) => item.verdict)).toEqual(['good']);
  });
});
