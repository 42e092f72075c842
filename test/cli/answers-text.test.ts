import { stripVTControlCharacters } from 'node:util';
import { describe, expect, it } from 'vitest';
import { answersText } from '../../src/cli/answers-text.ts';
import { widthOf } from '../../src/cli/layout.ts';
import type { Answer } from '../../src/questions/answer.ts';
import { HOLD, REFUSED, reportOf, SPARK, STALL, UNTOLD } from './fixture.ts';
import { keptTerminal } from './run.ts';

const ALL = [HOLD, UNTOLD, SPARK, REFUSED, STALL, { ...HOLD, id: 'stall', verdict: 'marginal' } as const];
const options = { fileName: 'machines/crush10s.yaml', openAll: false };

function textOf(answers: readonly Answer[], columns = 80, openAll = false): string {
  return answersText(reportOf(answers), keptTerminal(columns).terminal, { ...options, openAll });
}

describe('the answers in a terminal', () => {
  it('put the worst first', () => {
    const marks = [...textOf(ALL).matchAll(/^\[[^\]]+\]/gm)].map(([mark]) => mark);
    expect(marks).toEqual(['[BAD]', '[BAD]', '[MARGINAL]', '[?]', '[?]', '[good]']);
  });

  it('say mark, question and figure against limit when closed', () => {
    const text = textOf([HOLD]);
    expect(text).toContain('[good]     How long must the soft start be held?\n           arm branch: 2 s held, at least 0.62 s\n');
    expect(text).not.toContain(HOLD.says);
  });

  it('open bad answers with all that mends them', () => {
    const text = textOf([SPARK, HOLD]);
    const flat = text.replace(/\s+/g, ' ');
    for (const words of ['drive isolator Q1 to ON: 33.7 V missing when it closes, at most 4 V', '31.2 to 34.4 V', 'removable link LK1', '[good] asked again: 2.7 V missing after two seconds',
      'parts, R1, resistance: 10 Ω', 'R1 takes 176 W', 'costs nothing', 'Lock the arm', 'The fuse F1 does not see', 'class default, 1 to 5 ms', 'Passes in 0 % of 200']) {
      expect(flat).toContain(words);
    }
  });

  it('print a change once in full, and refer to it under the next question that it helps', () => {
    const [change] = SPARK.advice;
    const text = textOf([SPARK, { ...STALL, advice: [{ ...change!, says: 'Finishes at 39.3 V.' }] }]);
    const flat = text.replace(/\s+/g, ' ');
    expect(flat.match(/parts, R1, resistance: 10 Ω/g)).toHaveLength(1);
    expect(flat.match(/R1 takes 176 W/g)).toHaveLength(1);
    expect(flat).toContain(`asked again: Finishes at 39.3 V. what to write stands under “${SPARK.question}”`);
  });

  it('do not let 0 % stand beside marginal without a word', () => {
    const [item] = SPARK.items;
    const marginal: Answer = { ...SPARK, verdict: 'marginal', passes: 0, items: [{ ...item!, verdict: 'marginal', passes: 0 }] };
    const flat = textOf([marginal], 100, true).replace(/\s+/g, ' ');
    expect(flat).toContain('Good in none of 200 spread samples: marginal is the best that it gets without a change.');
    expect(flat).toContain('marginal at best');
    expect(flat).not.toMatch(/ 0 %/);
  });

  it('open every answer that was asked for by name', () => {
    expect(textOf([HOLD], 80, true).replace(/\s+/g, ' ')).toContain(HOLD.says);
  });

  it('open five bad answers and count the rest', () => {
    const many = Array.from({ length: 8 }, (_, index) => ({ ...SPARK, id: `bad${index}`, question: `Question number ${index}?` }));
    const text = textOf([...many, HOLD]);
    expect(text.match(/^\[BAD\]/gm)).toHaveLength(5);
    expect(text).toContain('3 more bad answers: Question number 5? Question number 6? Question number 7?');
    expect(text).toContain('ampwright ask machines/crush10s.yaml --only bad5,bad6,bad7');
    expect(text.indexOf('3 more')).toBeLessThan(text.indexOf('\n[good]'));
    expect(textOf(many, 80, true).match(/^\[BAD\]/gm)).toHaveLength(5);
  });

  it('say what is missing and what was refused', () => {
    const text = textOf([UNTOLD, REFUSED]);
    expect(text).toContain('needs short-circuit trip of B1');
    expect(text).toContain('refused: the energy balance missed 1e-6 at node drive');
  });

  it('keep within every width from 44 to 100', () => {
    for (let columns = 44; columns <= 100; columns += 1) {
      const lines = textOf(ALL, columns, true).split('\n');
      expect(Math.max(...lines.map(widthOf))).toBeLessThanOrEqual(columns);
    }
  });

  it('differ by words without colour, and only by colour with it', () => {
    const plain = keptTerminal().terminal;
    const coloured = { ...plain, ink: (ink: string, text: string) => `\x1b[${ink.length}m${text}\x1b[0m` };
    const report = reportOf(ALL);
    expect(stripVTControlCharacters(answersText(report, coloured, options))).toBe(answersText(report, plain, options));
  });

  it('pass no control sequence from the machine file on to the terminal', () => {
    const evil = '\x1b]0;owned\x07\x1b[2J\u202E';
    const hostile: Answer = {
      ...SPARK, question: evil, says: evil, basis: [evil], cautions: [evil], notAProblem: [evil],
      items: SPARK.items.map((item) => ({ ...item, where: evil, measure: evil, says: evil })),
      advice: SPARK.advice.map((advice) => ({ ...advice, what: evil, says: evil, caution: evil, edits: [{ path: [evil], text: evil }] })),
    };
    const untold: Answer = { ...UNTOLD, question: evil, needs: [evil] };
    const text = answersText(reportOf([hostile, untold, { ...REFUSED, refused: evil }], evil), keptTerminal().terminal, { fileName: evil, openAll: true });
    expect(stripVTControlCharacters(text)).toBe(text);
    expect(text).not.toContain('\u202E');
    expect(text).toContain('\\u{1b}');
  });

  it('take figures that have no number', () => {
    const endless = { ...HOLD, figure: { ...HOLD.figure!, value: Infinity, high: Infinity, low: NaN } };
    expect(textOf([endless])).toContain('without end');
  });
});
