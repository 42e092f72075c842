import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { tablesOf, type Block, type Paper } from '../../src/sheets/document/document.ts';
import { PAPERS } from '../../src/sheets/papers.ts';
import { answerTo, type PaperSource } from '../../src/sheets/source.ts';
import { askQuestions } from '../../src/questions/ask.ts';
import { DEMOS, demoText, sourceOf } from './source.ts';

async function asked(text: string): Promise<PaperSource> {
  const source = sourceOf(text);
  return { ...source, answers: await askQuestions({ machine: source.machine, text, samples: 0, seed: 1, only: ['isolation', 'faults'] }) };
}

function paper(source: PaperSource, id: 'isolation' | 'faults'): Paper {
  const made = PAPERS[id].make(source);
  if (made === undefined) throw new Error(`no ${id}`);
  return made;
}

/** What the table's legend explains. */
function explained({ blocks }: Paper): string[] {
  return blocks.flatMap((block: Block) => (block.type === 'facts' ? block.facts.flatMap(({ name }) => name.split('; ')) : []));
}

const flawed = (name: string): string => readFileSync(new URL(`../../machines/flawed/${name}.yaml`, import.meta.url), 'utf8');

describe('the isolation table', () => {
  // Positions counted by hand in the files: CRUSH10S has X1 and LK1 (in, out) and two isolators with three positions;
  // BAR3S has X1 (in, out) and Q1 (open, closed).
  it.each([['crush10s', 2 * 2 * 3 * 3], ['bar3s', 2 * 2]] as const)('has every state of the switches of %s, each in one row', async (demo, states) => {
    const [table] = tablesOf(paper(await asked(demoText(demo)), 'isolation')).filter(({ title }) => title.startsWith('Packs in'));
    const at = table!.columns.findIndex(({ name }) => name === 'States');
    expect(table!.rows.reduce((sum, row) => sum + Number(row[at]), 0)).toBe(states);
    expect(table!.title).toContain(`${states} states`);
    for (const row of table!.rows) expect(row).toHaveLength(table!.columns.length);
  });

  it.each(DEMOS)('explains every word in that of %s', async (demo) => {
    const made = paper(await asked(demoText(demo)), 'isolation');
    const words = explained(made);
    for (const table of tablesOf(made).filter(({ title }) => title.startsWith('Packs in'))) {
      const at = table.columns.findIndex(({ name }) => name === 'States');
      for (const cell of table.rows.flatMap((row) => row.slice(at + 1))) expect(words, cell).toContain(cell.replace(/,? starts and stops again and again/, '').replace(/ [\d.e-]+ [mµ]?V$/, ''));
    }
  });

  it('writes in capitals what wakes over a bridge, and not on a machine without one', async () => {
    const cells = async (text: string): Promise<string> => JSON.stringify(tablesOf(paper(await asked(text), 'isolation'))[0]?.rows);
    expect(await cells(flawed('spin8s-missing-diode'))).toMatch(/WAKES|CAN MOVE/);
    expect(await cells(demoText('crush10s'))).not.toMatch(/WAKES|CAN MOVE/);
  });
});

describe('the fault table', () => {
  it.each(DEMOS)('has every failure of %s once: those that do something in the table, the others in a list', async (demo) => {
    const source = await asked(demoText(demo));
    const every = answerTo(source, 'faults')?.evidence.find(({ type }) => type === 'table');
    const made = paper(source, 'faults');
    const shown = tablesOf(made)[0]!.rows.map(([failure]) => failure);
    const silent = made.blocks.flatMap((block) => (block.type === 'list' && /nobody would feel or see/.test(block.title) ? block.lines.join(' ').replace(/\.$/, '').split(', ') : []));
    expect([...shown, ...silent].sort((a, b) => (a! < b! ? -1 : 1))).toEqual(every?.type === 'table' ? every.rows.map(([failure]) => failure).sort((a, b) => (a! < b! ? -1 : 1)) : []);
    const words = explained(made);
    for (const [, does = '', , , noticed = ''] of tablesOf(made)[0]!.rows) {
      expect(words).toContain(does);
      expect(words).toContain(noticed === 'nothing starts' ? noticed : `noticed ${noticed}`);
    }
  });
});
