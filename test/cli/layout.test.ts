import { stripVTControlCharacters } from 'node:util';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hang, printable, table, widthOf, wrap } from '../../src/cli/layout.ts';

const SEED = 20260;

describe('printable', () => {
  it('writes out what could move the cursor or turn the line', () => {
    expect(printable('a\x1b[2Jb\x07\x9bc\u202Ed')).toBe('a\\u{1b}[2Jb\\u{7}\\u{9b}c\\u{202e}d');
    expect(printable('two\nlines\tand a tab')).toBe('two lines and a tab');
    expect(printable('10 Ω ±5 %, 2.2 µF, 16 mm² 一 😀')).toBe('10 Ω ±5 %, 2.2 µF, 16 mm² 一 😀');
  });

  it(`leaves nothing for a terminal to obey (seed ${SEED})`, () => {
    fc.assert(fc.property(fc.string({ unit: 'binary' }), (text) => {
      const shown = printable(text);
      // Node's own list of control sequences is the outside judge.
      expect(stripVTControlCharacters(shown)).toBe(shown);
      // eslint-disable-next-line no-control-regex -- the characters looked for are control characters
      expect(shown).not.toMatch(/[\u0000-\u001f\u007f-\u009f]/);
    }), { seed: SEED });
  });
});

describe('widthOf', () => {
  // Source: Unicode Standard Annex 11, East Asian Width: W and F take two columns; combining marks none.
  it.each([['abc', 3], ['Ω µ', 3], ['e\u0301', 1], ['一二', 4], ['ＡＢ', 4], ['한', 2], ['😀', 2], ['', 0]])('%j takes %i', (text, width) => {
    expect(widthOf(text)).toBe(width);
  });
});

describe('wrap', () => {
  it('keeps a number with its unit', () => {
    for (let columns = 10; columns < 40; columns += 1) {
      const text = wrap('holds 34 V for 20 ms and 5 % of 100 Ω', columns).join('\n');
      for (const whole of ['34 V', '20 ms', '5 %', '100 Ω']) expect(text).toContain(whole);
    }
  });

  it(`loses no letter and keeps the width (seed ${SEED})`, () => {
    const words = fc.array(fc.string({ unit: fc.constantFrom('a', 'b', '一', '7', 'V', ' ') }), { maxLength: 30 }).map((list) => list.join(' '));
    fc.assert(fc.property(words, fc.integer({ min: 2, max: 30 }), (text, columns) => {
      const lines = wrap(text, columns);
      expect(lines.join('').replace(/ /g, '')).toBe(text.replace(/ /g, ''));
      for (const line of lines) expect(widthOf(line)).toBeLessThanOrEqual(columns);
    }), { seed: SEED });
  });

  it('hangs a paragraph under its lead', () => {
    expect(hang('- ', 'one two three', 9)).toEqual(['- one two', '  three']);
  });
});

describe('table', () => {
  const columns = (place: string) => [
    { head: 'where', cells: [place, 'Q2'], flexible: true },
    { head: 'missing when it closes', cells: ['33.7 V', '5.6 V'] },
    { head: 'spread', cells: ['31 to 34 V', ''], extra: true },
    { head: 'empty', cells: ['', ''] },
  ];

  it('aligns its columns and leaves empty ones out', () => {
    const { head, rows } = table(columns('Q1'), 60);
    expect(head).toEqual(['where  missing  spread', '       when it', '       closes']);
    expect(rows).toEqual([['Q1     33.7 V   31 to 34 V'], ['Q2     5.6 V']]);
  });

  it('breaks the flexible column first, and then leaves out what is extra', () => {
    const { head, rows } = table(columns('drive isolator Q1 to ON'), 40);
    expect(rows[0]).toEqual(['drive isolator Q1    33.7 V   31 to 34 V', 'to ON']);
    expect(head[0]).toContain('spread');
    expect(table(columns('drive isolator Q1 to ON'), 22).head[0]).not.toContain('spread');
  });

  it('keeps every width down to 22 columns', () => {
    for (let width = 22; width < 90; width += 1) {
      const { head, rows } = table(columns('drive isolator Q1 to ON by a long road'), width);
      for (const line of [...head, ...rows.flat()]) expect(widthOf(line)).toBeLessThanOrEqual(width);
    }
  });
});
