import { describe, expect, it } from 'vitest';
import { formatValue } from '../../src/quantity/format.ts';
import type { Block, CardStep, Paper } from '../../src/sheets/document/document.ts';
import { PAPERS } from '../../src/sheets/papers.ts';
import { answerTo, type PaperSource } from '../../src/sheets/source.ts';
import { askedSource, DEMOS, demoText, sourceOf } from './source.ts';

function stepsOf(paper: Paper): CardStep[] {
  return paper.blocks.flatMap((block) => (block.type === 'steps' ? block.steps : []));
}

function card(source: PaperSource): Paper {
  const paper = PAPERS['power-card'].make(source);
  if (paper === undefined) throw new Error('no card');
  return paper;
}

/** Numbers with a unit that a text states. */
function figuresIn(text: string): string[] {
  return [...text.matchAll(/\d+(?:\.\d+)?(?:e-?\d+)? (?:[pnµmk]?(?:V|A|s|W|J|Ω)|min|h)(?![\p{L}\p{N}²])/gu)].map(([found]) => found);
}

function wordsOf(block: Block): string {
  return JSON.stringify(block);
}

describe('the power-up card', () => {
  it.each(DEMOS)('of %s states no figure that is in no answer and no step', async (demo) => {
    const source = await askedSource(demoText(demo));
    const { machine, answers } = source;
    const said = new Set<string>(['5 V']);
    for (const answer of answers) {
      for (const text of [answer.says, ...answer.items.map(({ says, where }) => `${says} ${where}`)]) for (const found of figuresIn(text)) said.add(found);
      for (const { figure, limit } of [answer, ...answer.items]) {
        if (figure === undefined) continue;
        said.add(formatValue(Math.max(0, figure.value), figure.dimension));
        if (limit !== undefined) said.add(formatValue(limit, figure.dimension));
      }
    }
    for (const step of [...machine.powerUp, ...machine.powerDown]) {
      for (const found of figuresIn(step.text)) said.add(found);
      if (step.act === 'wait' || step.act === 'hold') said.add(formatValue(step.time.value, 'time'));
    }
    const stated = card(source).blocks.flatMap((block) => figuresIn(wordsOf(block)));
    expect(stated.filter((found) => !said.has(found))).toEqual([]);
  }, 30_000);

  it('has the hold, the closing and the wait of the answers, number for number', async () => {
    const source = await askedSource(demoText('crush10s'));
    const [arm] = answerTo(source, 'hold')?.items.filter(({ parts }) => parts[0] === 'Q2') ?? [];
    const [closing] = answerTo(source, 'spark')?.items.filter(({ where, slip }) => !slip && where.endsWith('Q2 to ON')) ?? [];
    const [first] = answerTo(source, 'discharge')?.items ?? [];
    const steps = stepsOf(card(source));
    const shown = (value: number, dimension: 'time' | 'voltage'): string => formatValue(value, dimension);
    expect(steps.find(({ does }) => does.endsWith('Q2 to CHARGE'))?.detail).toBe(`count 2 s; needs ${shown(arm!.figure!.value, 'time')}`);
    const on = steps.find(({ does }) => does.endsWith('Q2 to ON'))?.expect;
    expect(on).toContain(`at most ${shown(closing!.limit!, 'voltage')} below the pack (computed ${shown(closing!.figure!.value, 'voltage')})`);
    expect(JSON.stringify(card(source).blocks)).toContain(`${first!.where}: ${shown(first!.figure!.value, 'time')}`);
  }, 30_000);

  it('says before its first step that the machine is not ready, while an answer is bad', async () => {
    const bad = card(await askedSource(demoText('crush10s')));
    expect(bad.blocks[0]).toMatchObject({ type: 'caution' });
    expect(wordsOf(bad.blocks[0]!)).toContain('not ready as it is built');
    expect(card(await askedSource(demoText('lift6s'))).blocks[0]).toMatchObject({ type: 'steps' });
  }, 30_000);

  it('changes when the machine does', () => {
    const text = demoText('crush10s');
    const before = stepsOf(card(sourceOf(text)));
    const after = stepsOf(card(sourceOf(text.replace('  - turn Q2 to CHARGE\n  - wait 2 s\n', '').replace('arm isolator', 'weapon isolator'))));
    expect(after).toHaveLength(before.length - 1);
    expect(after.some(({ does }) => does === 'Weapon isolator Q2 to ON')).toBe(true);
  });

  // From the file's own lines: P1 hangs on "drive" behind Q1, P2 on T4 behind Q2; both isolators lead through a
  // resistor on CHARGE.
  it('tells which lamp comes up, and how', () => {
    const lamps = stepsOf(card(sourceOf(demoText('crush10s')))).map(({ does, expect: shows }) => [does.split(' ').slice(-3).join(' '), shows]);
    expect(lamps.slice(1, 6)).toEqual([
      ['link LK1 in', 'no lamp changes'], ['Q1 to CHARGE', 'lamp P1 comes up'], ['Q1 to ON', 'lamp P1 full'], ['Q2 to CHARGE', 'lamp P2 comes up'], ['Q2 to ON', 'lamp P2 full'],
    ]);
    expect(lamps.slice(9, 12)).toEqual([['Q2 to OFF', 'lamp P2 fades'], ['Q1 to OFF', 'lamp P1 fades'], ['link LK1 out', '']]);
  });

  // TRK14S has its key in the negative: until it or the button across it closes, nothing is fed.
  it('follows the negative too', () => {
    const steps = stepsOf(card(sourceOf(demoText('trk14s'))));
    expect(steps.map(({ expect: shows }) => shows).slice(1, 4)).toEqual(['lamp P1 comes up', 'lamp P1 full', 'no lamp changes']);
  });

  it('takes the machine back by what is closed, the last one first', () => {
    const steps = stepsOf(card(sourceOf(demoText('lift6s'))));
    expect(steps.find(({ does }) => does === 'Main loop LK1 in')?.otherwise).toBe('LK1 out, let go of S1, LK2 out');
  });
});

describe('the other cards', () => {
  it('name the parts that the machine has, and no others', () => {
    const pit = JSON.stringify(PAPERS['pit-card'].make(sourceOf(demoText('bar3s'))));
    expect(pit).toContain('Q1');
    expect(pit).not.toContain('whole, seated');
    const emergency = JSON.stringify(PAPERS['emergency-card'].make(sourceOf(demoText('bar3s'))));
    expect(emergency).toContain('underside, hex key, two turns');
  });

  it('show what the answer about programming says, once it is asked', () => {
    const answer = { ...NOTHING, id: 'programming', question: 'Can it be programmed on the bench?', verdict: 'marginal', says: 'M1 could twitch at 0.4 A.' } as const;
    expect(JSON.stringify(PAPERS['bench-card'].make(sourceOf(demoText('bar3s'), [answer])))).toContain('M1 could twitch at 0.4 A.');
    expect(JSON.stringify(PAPERS['bench-card'].make(sourceOf(demoText('bar3s'))))).toContain('not computed yet');
  });

  it('leave out papers of answers that were not asked', () => {
    const source = sourceOf(demoText('bar3s'));
    for (const id of ['isolation', 'faults', 'match-report', 'drawing'] as const) expect(PAPERS[id].make(source)).toBeUndefined();
    expect(PAPERS['match-report'].make({ ...source, answers: [{ ...NOTHING, id: 'heat', question: 'Will anything overheat?', verdict: 'good', says: 'No.' }] })).toBeDefined();
  });
});

const NOTHING = { figure: undefined, limit: undefined, margin: undefined, passes: undefined, items: [], needs: [], refused: undefined, parts: [], evidence: [], advice: [], basis: [], cautions: [], notAProblem: [] } as const;
