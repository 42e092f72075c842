import { describe, expect, it } from 'vitest';
import { formatValue } from '../../src/quantity/format.ts';
import type { Block, CardStep, Paper } from '../../src/sheets/document/document.ts';
import { PAPERS } from '../../src/sheets/papers.ts';
import { answerTo, type PaperSource } from '../../src/sheets/source.ts';
import { askedSource, DEMOS, demoText, sourceOf, type Demo } from './source.ts';

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

describe('the pictures on the power-up card', () => {
  // By hand, from the file: LK1 in, Q1 to CHARGE and ON, Q2 to CHARGE and ON; then Q2, Q1 to OFF, LK1 out.
  it('show how each switch stands after the step, and which one moves', () => {
    const pictures = stepsOf(card(sourceOf(demoText('crush10s')))).map(({ picture }) => picture?.description);
    expect(pictures).toEqual([
      'LK1 open, Q1 OFF, Q2 OFF', 'LK1 closed, Q1 OFF, Q2 OFF; now: LK1', 'LK1 closed, Q1 CHARGE, Q2 OFF; now: Q1', 'LK1 closed, Q1 ON, Q2 OFF; now: Q1', 'LK1 closed, Q1 ON, Q2 CHARGE; now: Q2',
      'LK1 closed, Q1 ON, Q2 ON; now: Q2', ...Array.from({ length: 3 }, () => 'LK1 closed, Q1 ON, Q2 ON'), 'LK1 closed, Q1 ON, Q2 OFF; now: Q2', 'LK1 closed, Q1 OFF, Q2 OFF; now: Q1', 'LK1 open, Q1 OFF, Q2 OFF; now: LK1',
      ...Array.from({ length: 2 }, () => 'LK1 open, Q1 OFF, Q2 OFF'),
    ]);
  });

  it('follow what falls open with a key: KART16S drops its contactor', () => {
    const steps = stepsOf(card(sourceOf(demoText('kart16s'))));
    expect(steps.at(-1)?.picture?.description).toMatch(/K1 open.*; now: S1, K1$/);
  });

  it('are left out where there are more switches than a card has room for', () => {
    const text = demoText('crush10s').replace('  - turn Q2 to ON\n', '  - turn Q2 to ON\n  - connect X1\n  - insert LK2\n  - insert LK3\n').replace('parts:\n', 'parts:\n  LK2: { kind: link }\n  LK3: { kind: link }\n').replace(', LK1,', ', LK1, LK2, LK3,');
    const steps = stepsOf(card(sourceOf(text)));
    expect(steps.some(({ does }) => does.startsWith('LK3'))).toBe(true);
    expect(steps.every(({ picture }) => picture === undefined)).toBe(true);
  });
});

describe('the emergency card', () => {
  // By hand, from the files: Q2 of CRUSH10S feeds T4 with M3 and lamp P2 alone, LK2 of LIFT6S the lifter M5; TRK14S has two
  // packs side by side, either of which goes on feeding; KART16S has no lamp.
  it('says what each thing that is opened stops, and what goes on', () => {
    const stops = (demo: Demo): string[] => stepsOf(PAPERS['emergency-card'].make(sourceOf(demoText(demo)))!).slice(1, -1).map(({ does, expect: shows }) => `${does}: ${shows}`);
    expect(stops('crush10s')).toEqual([
      'Arm isolator Q2 OFF: stops: crusher motor M3, lamp P2 fades; the rest goes on', 'Drive isolator Q1 OFF: stops: left drive motor M1, right drive motor M2, lamp P1 fades; the rest goes on',
      'Pull main link LK1: all stops, lamps fade', 'Pull pack connector X1: all stops, lamps fade',
    ]);
    expect(stops('lift6s')[1]).toBe('Pull lifter loop LK2: stops: lifter motor M5; the rest goes on');
    expect(stops('trk14s').slice(1)).toEqual(['Pull connector of pack 1 X1: nothing by itself: go on', 'Pull connector of pack 2 X2: all stops, lamp fades']);
    expect(stops('kart16s').every((line) => line.endsWith(': all stops'))).toBe(true);
  });

  it('locks what the machine has, and names no weapon that it has not', () => {
    const first = (demo: Demo): string => JSON.stringify(PAPERS['pit-card'].make(sourceOf(demoText(demo)))!.blocks[0]);
    expect(first('bar3s')).toContain('Weapon locked, wheels off the ground');
    expect(first('crush10s')).toContain('Crusher locked, wheels off the ground');
    expect(first('kart16s')).toContain('Wheels off the ground');
    for (const id of ['power-card', 'pit-card', 'emergency-card'] as const) expect(JSON.stringify(PAPERS[id].make(sourceOf(demoText('kart16s'))))).not.toMatch(/weapon|lamps? fade|the lamp/i);
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
