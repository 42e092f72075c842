import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { tableCsv } from '../../src/sheets/document/csv.ts';
import { paperHtml } from '../../src/sheets/document/html.ts';
import { PAPER_IDS, PAPERS } from '../../src/sheets/papers.ts';
import { randomMachine } from './drawing/random-machine.ts';
import { sourceOf } from './source.ts';

function everything(text: string): string[] {
  const source = sourceOf(text);
  return PAPER_IDS.flatMap((id) => {
    const paper = PAPERS[id].make(source);
    const table = PAPERS[id].table?.(source);
    return [...(paper === undefined ? [] : [paperHtml(paper)]), ...(table === undefined ? [] : [tableCsv(table, source.stamp)])];
  });
}

/** What a number that went wrong looks like in words. */
const BROKEN = /\b(NaN|undefined|Infinity|null)\b|\[object/;

describe('papers of any machine, before any question was asked', () => {
  it('are made of 40 random machines of 3 to 40 parts, seeds 1 to 40', () => {
    for (let seed = 1; seed <= 40; seed++) for (const made of everything(randomMachine(seed, 3 + ((seed * 7) % 38)))) expect(made, `seed ${seed}`).not.toMatch(BROKEN);
  }, 60_000);

  it('are made of machines with flaws', () => {
    const folder = new URL('../../machines/flawed/', import.meta.url);
    const files = readdirSync(folder).filter((name) => name.endsWith('.yaml'));
    expect(files.length).toBeGreaterThan(0);
    for (const name of files) for (const made of everything(readFileSync(new URL(name, folder), 'utf8'))) expect(made, name).not.toMatch(BROKEN);
  }, 60_000);

  it('are made of a pack with a lamp on it, and nothing else', () => {
    expect(everything('ampwright: 1\nmachine: ALONE\nparts:\n  G1: { kind: pack, chemistry: lipo, cells: 3, capacity: 1 Ah }\n  X1: { kind: connector }\n  P1: { kind: lamp, resistance: 1 kΩ }\nwiring:\n  a: from G1+, 12 AWG 0.1 m, X1, to P1\nreturns: all negatives on one bar\n').length).toBeGreaterThan(5);
  });
});
