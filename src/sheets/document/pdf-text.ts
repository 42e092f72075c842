import { joinUnits } from '../report/words.ts';
import type { PdfDocument } from './pdf-engine.ts';

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

/** Breaks a text into lines; a word wider than the line is broken where it must be. */
export function layText(pdf: PdfDocument, text: string, width: number, size: number, weight: Weight = 'regular'): TextBox {
  pdf.font(weight).fontSize(size);
  const lines = shown(text).split('\n').flatMap((paragraph) => wrapped(pdf, paragraph, width));
  return { lines, size, weight, height: lines.length * size * LEADING };
}

/** Draws a laid-out text with its top left corner at a point. */
export function drawText(pdf: PdfDocument, box: TextBox, x: number, y: number, align: 'left' | 'right' = 'left', width = 0): void {
  pdf.font(box.weight).fontSize(box.size).fillColor('#000000');
  box.lines.forEach((line, k) => {
    const left = align === 'left' ? x : x + width - pdf.widthOfString(line);
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

function wrapped(pdf: PdfDocument, paragraph: string, width: number): string[] {
  const lines: string[] = [];
  const space = pdf.widthOfString(' ');
  let line = '';
  // The library sets words one by one, so widths of words and blanks add up to that of a line.
  let used = 0;
  for (const word of paragraph.split(/ +/)) {
    const own = pdf.widthOfString(word);
    const longer = line === '' ? own : used + space + own;
    if (longer <= width) {
      [line, used] = [line === '' ? word : `${line} ${word}`, longer];
      continue;
    }
    if (line !== '') lines.push(line);
    const pieces = broken(pdf, word, width);
    lines.push(...pieces.slice(0, -1));
    line = pieces.at(-1) ?? '';
    used = pdf.widthOfString(line);
  }
  return [...lines, line];
}

function broken(pdf: PdfDocument, word: string, width: number): string[] {
  if (pdf.widthOfString(word) <= width) return [word];
  const pieces: string[] = [];
  let piece = '';
  for (const char of word) {
    if (piece !== '' && pdf.widthOfString(piece + char) > width) {
      pieces.push(piece);
      piece = '';
    }
    piece += char;
  }
  return [...pieces, piece];
}
