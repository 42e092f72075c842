import { joinUnits } from '../report/words.ts';
import type { PdfDocument } from './pdf-engine.ts';
import type { OpenedFont } from './pdf-font.ts';

export type Weight = 'regular' | 'bold';

/** A text laid out in lines of at most a width. */
export interface TextBox {
  readonly lines: readonly string[];
  readonly size: number;
  readonly weight: Weight;
  readonly height: number;
}

/** Distance from line to line, in type sizes. */
const LEADING = 1.28;
/** Height of what stands above the baseline, in type sizes, so that a first line begins at the top of its box. */
const ASCENT = 0.95;

const fonts = new WeakMap<PdfDocument, Readonly<Record<Weight, Uint8Array | OpenedFont>>>();

/** Tells what a document's texts are set in, so that they can be measured without the library. */
export function setIn(pdf: PdfDocument, regular: Uint8Array | OpenedFont, bold: Uint8Array | OpenedFont): void {
  fonts.set(pdf, { regular, bold });
}

/** Width of a text as the document sets it, points. */
export function widthOf(pdf: PdfDocument, text: string, size: number, weight: Weight): number {
  const font = fonts.get(pdf)?.[weight];
  const units = font === undefined || font instanceof Uint8Array ? undefined : font.widthOf?.(text);
  if (units !== undefined) return (units * size) / (font as OpenedFont).unitsPerEm;
  return pdf.font(weight).fontSize(size).widthOfString(text);
}

/** Breaks a text into lines; a word wider than the line is broken where it must be. */
export function layText(pdf: PdfDocument, text: string, width: number, size: number, weight: Weight = 'regular'): TextBox {
  const measure = (word: string): number => widthOf(pdf, word, size, weight);
  const lines = shown(text).split('\n').flatMap((paragraph) => wrapped(measure, paragraph, width));
  return { lines, size, weight, height: lines.length * size * LEADING };
}

/** Draws a laid-out text with its top left corner at a point. */
export function drawText(pdf: PdfDocument, box: TextBox, x: number, y: number, align: 'left' | 'right' = 'left', width = 0): void {
  pdf.font(box.weight).fontSize(box.size).fillColor('#000000');
  box.lines.forEach((line, k) => {
    const left = align === 'left' ? x : x + width - widthOf(pdf, line, box.size, box.weight);
    pdf.text(line === '' ? ' ' : line, left, y + (k * LEADING + ASCENT) * box.size, { lineBreak: false, baseline: 'alphabetic' });
  });
}

/**
 * What a page can show of a text: marks that reverse the direction of reading and control characters become U+FFFD,
 * as in the other formats.
 */
export function shown(text: string): string {
  return joinUnits(text).replace(/[\p{Cc}\p{Cs}\u2028\u2029\u200E\u200F\u061C\u202A-\u202E\u2066-\u2069\uFFFE\uFFFF]/gu, (mark) => (mark === '\n' ? '\n' : mark === '\t' || mark === '\r' ? ' ' : '\uFFFD'));
}

function wrapped(measure: (word: string) => number, paragraph: string, width: number): string[] {
  const lines: string[] = [];
  const space = measure(' ');
  let line = '';
  // The library sets words one by one, so widths of words and blanks add up to that of a line.
  let used = 0;
  for (const word of paragraph.split(/ +/)) {
    const own = measure(word);
    const longer = line === '' ? own : used + space + own;
    if (longer <= width) {
      [line, used] = [line === '' ? word : `${line} ${word}`, longer];
      continue;
    }
    if (line !== '') lines.push(line);
    const pieces = broken(measure, word, width);
    lines.push(...pieces.slice(0, -1));
    line = pieces.at(-1) ?? '';
    used = measure(line);
  }
  return [...lines, line];
}

function broken(measure: (word: string) => number, word: string, width: number): string[] {
  if (measure(word) <= width) return [word];
  const pieces: string[] = [];
  let piece = '';
  for (const char of word) {
    if (piece !== '' && measure(piece + char) > width) {
      pieces.push(piece);
      piece = '';
    }
    piece += char;
  }
  return [...pieces, piece];
}
