import { describe, expect, it } from 'vitest';
import type { Answer, Figure, Item } from '../../src/questions/answer.ts';
import type { Block, Paper } from '../../src/sheets/document/document.ts';
import { PAPERS } from '../../src/sheets/papers.ts';
import { answerTo, type PaperSource } from '../../src/sheets/source.ts';
import { askedSource, DEMOS, demoText } from './source.ts';

// A card's numbers are read from its words by the reader below, which shares nothing with the program's own printing, and
// compared with the numbers of the answers themselves.

const CARDS = ['power-card', 'pit-card', 'bench-card', 'emergency-card'] as const;
type Card = (typeof CARDS)[number];

/** Factors to SI. Source: BIPM, The International System of Units, 9th edition, Tables 4, 7 and 8. */
const PREFIX: Readonly<Record<string, number>> = { p: 1e-12, n: 1e-9, µ: 1e-6, m: 1e-3, k: 1e3, M: 1e6, '': 1 };

interface Read {
  readonly value: number;
  readonly unit: string;
  /** Half a unit of its last digit: by so much a correctly rounded number may be off. */
  readonly half: number;
}

/** Every number with a unit in a text, in SI. */
function readings(text: string): Read[] {
  const found = [...text.matchAll(/(?<![\p{L}\p{N}.])(\d+(?:\.\d+)?(?:e-?\d+)?)[ \u00A0](?:([pnµmkM]?)(V|A²s|A|s|W|J|Ω|F|Ah|N·m)|(min|h|rpm|%|°C))(?![\p{L}\p{N}²·])/gu)];
  return found.map(([, number = '', prefix = '', unit, whole]) => {
    const factor = whole === 'min' ? 60 : whole === 'h' ? 3600 : unit === 'Ah' ? 3600 : 1;
    const scale = factor * (PREFIX[prefix] ?? NaN);
    const [mantissa = '', exponent = '0'] = number.split('e');
    const decimals = mantissa.split('.')[1]?.length ?? 0;
    // Without decimals the last digit that counts is not seen: three of them are printed, or two in sentences.
    const step = decimals > 0 ? 10 ** -decimals : 10 ** Math.max(0, mantissa.replace(/0+$/, '').length === mantissa.length ? 0 : mantissa.length - Math.max(2, mantissa.replace(/0+$/, '').length));
    return { value: Number(number) * scale, half: 0.5001 * step * 10 ** Number(exponent) * scale, unit: whole === 'min' || whole === 'h' ? 's' : unit === 'Ah' ? 'C' : (whole ?? unit ?? '') };
  });
}

function wordsOf(block: Block): string[] {
  switch (block.type) {
    case 'paragraph':
    case 'caution':
      return [block.text];
    case 'list':
    case 'boxes':
      return [...block.lines];
    case 'steps':
      return block.steps.flatMap(({ does, detail, expect: shows, otherwise }) => [does, detail, shows, otherwise]);
    case 'table':
      return block.rows.flat();
    case 'verdict':
      return [block.says];
    default:
      return [];
  }
}

function card(source: PaperSource, id: Card): Paper {
  const paper = PAPERS[id].make(source);
  if (paper === undefined) throw new Error(`no ${id}`);
  return paper;
}

/** Everything that a card may state: numbers of the answers that it shows, of what they say, of the steps, of the parts. */
function allowed(source: PaperSource, id: Card): Read[] {
  const exact = (value: number, unit: string): Read => ({ value, unit, half: 0 });
  const answers = (PAPERS[id].asks ?? []).flatMap((ask) => answerTo(source, ask) ?? []);
  const numbers = answers.flatMap((answer) => [answer, ...answer.items].flatMap(({ figure, limit }) => (figure === undefined ? [] : [figure.value, figure.high, ...(limit === undefined ? [] : [limit])].map((value) => exact(Math.max(0, value), figure.unit)))));
  const said = answers.flatMap((answer) => [answer.says, ...answer.cautions, ...answer.items.flatMap(({ says, where }) => [says, where])]).flatMap(readings);
  const { machine } = source;
  const steps = [...machine.powerUp, ...machine.powerDown].flatMap((step) => [...readings(step.text), ...(step.act === 'wait' || step.act === 'hold' ? [exact(step.time.value, 's')] : [])]);
  const standby = [...machine.parts.values()].flatMap((part) => (part.kind === 'controller' && part.values.standby !== undefined ? [exact(part.values.standby.value, 'A')] : []));
  // 5 V: what the answer about discharging takes for harmless.
  return [...numbers, ...said, ...steps, ...(id === 'bench-card' ? standby : []), ...(id === 'bench-card' ? [] : [exact(5, 'V')])];
}

/** The answers with one item's numbers changed. */
function changed(source: PaperSource, id: string, at: number, change: (item: Item & { readonly figure: Figure }) => Partial<Item>): PaperSource {
  const answers = source.answers.map((answer): Answer => (answer.id !== id ? answer : {
    ...answer,
    items: answer.items.map((item, k) => (k === at && item.figure !== undefined ? { ...item, ...change({ ...item, figure: item.figure }) } : item)),
  }));
  return { ...source, answers };
}

const textOf = (paper: Paper): string => paper.blocks.flatMap(wordsOf).join('\n');
/** A number that no machine has by chance. */
const MARK = 7.77;

describe('a number on a card', () => {
  it.each(DEMOS)('of %s is one of the answers that the card shows, of a step or of a part', async (demo) => {
    const source = await askedSource(demoText(demo));
    for (const id of CARDS) {
      const known = allowed(source, id);
      const stated = readings(textOf(card(source, id)));
      if (id !== 'bench-card') expect(stated.length, id).toBeGreaterThan(0);
      const strange = stated.filter(({ value, unit, half }) => !known.some((one) => one.unit === unit && Math.abs(one.value - value) <= Math.max(half, one.half) + 1e-12));
      expect(strange, id).toEqual([]);
    }
  }, 60_000);

  it.each(DEMOS)('of %s follows its answer: what is below 5 V, on three cards', async (demo) => {
    const source = await askedSource(demoText(demo));
    const items = answerTo(source, 'discharge')!.items;
    expect(items.length).toBeGreaterThan(0);
    items.forEach((item, k) => {
      if (item.slip || item.figure === undefined) return;
      const other = changed(source, 'discharge', k, ({ figure }) => ({ figure: { ...figure, value: MARK, low: MARK, high: MARK } }));
      for (const id of ['power-card', 'pit-card', 'emergency-card'] as const) {
        expect(readings(textOf(card(source, id))).some(({ value, half }) => Math.abs(value - item.figure!.value) <= half), id).toBe(true);
        expect(textOf(card(other, id)), id).toContain(`${item.where}: 7.77 s`);
      }
      const late = changed(source, 'discharge', k, ({ figure }) => ({ figure: { ...figure, value: MARK, high: 10 * MARK } }));
      expect(textOf(card(late, 'pit-card'))).toContain(`${item.where}: 7.77 s, at the latest 77.7 s`);
    });
  }, 60_000);

  it.each(DEMOS)('of %s follows its answer: how long to hold', async (demo) => {
    const source = await askedSource(demoText(demo));
    const items = answerTo(source, 'hold')!.items;
    items.forEach((item, k) => {
      if (item.slip || item.figure === undefined) return;
      expect(readings(textOf(card(source, 'power-card'))).some(({ value, unit, half }) => unit === 's' && Math.abs(value - item.figure!.value) <= half), item.where).toBe(true);
      const other = changed(source, 'hold', k, ({ figure }) => ({ figure: { ...figure, value: MARK } }));
      expect(textOf(card(other, 'power-card'))).toContain('needs 7.77 s');
    });
  }, 60_000);

  it.each(DEMOS)('of %s follows its answer: the voltage that may be missing as a contact closes', async (demo) => {
    const source = await askedSource(demoText(demo));
    const closed = new Set(source.machine.powerUp.flatMap((step) => ('part' in step ? [step.part] : [])));
    answerTo(source, 'spark')!.items.forEach((item, k) => {
      if (item.slip || item.figure === undefined || item.limit === undefined || !closed.has(item.parts[0] ?? '')) return;
      const other = changed(source, 'spark', k, ({ figure }) => ({ figure: { ...figure, value: MARK }, limit: 2 * MARK }));
      const [before, after] = [readings(textOf(card(source, 'power-card'))), textOf(card(other, 'power-card'))];
      expect(after, item.where).toContain('at most 15.5 V below the pack (computed 7.77 V)');
      if (item.figure.value > 0.05 * item.limit) for (const number of [item.figure.value, item.limit]) expect(before.some(({ value, unit, half }) => unit === 'V' && Math.abs(value - number) <= half), item.where).toBe(true);
    });
  }, 60_000);

  it.each(DEMOS)('of %s follows its answer: what moves on the bench, what it draws, when it fights again', async (demo) => {
    const source = await askedSource(demoText(demo));
    const bench = textOf(card(source, 'bench-card'));
    for (const { says } of answerTo(source, 'programming')!.items.filter(({ slip }) => !slip).slice(0, 6)) expect(bench).toContain(says);
    for (const part of source.machine.parts.values()) if (part.kind === 'controller') expect(readings(bench).some(({ value, unit, half }) => unit === 'A' && Math.abs(value - part.values.standby!.value) <= half), part.id).toBe(true);
    expect(textOf(card(source, 'pit-card'))).toContain(answerTo(source, 'turnaround')!.says);
    const other = { ...source, answers: source.answers.map((answer) => (answer.id === 'turnaround' ? { ...answer, says: 'It can fight again after 7.77 h.' } : answer)) };
    expect(textOf(card(other, 'pit-card'))).toContain('7.77 h');
  }, 60_000);
});
