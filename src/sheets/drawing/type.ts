import type { Shape, Text, Tone } from './shapes.ts';

/** Sizes of type before a sheet is scaled to fit, mm. */
export const TYPE = { name: 2.9, fact: 2.5, line: 3.4 } as const;

// Advance widths, thousandths of an em, of DejaVu Sans and DejaVu Sans Bold 2.37 for U+0020 to U+007E, read from the
// fonts. Sheets may be shown in a narrower face; laid out for this wide one, text then never meets its neighbour.
const REGULAR = '318 401 460 838 636 950 780 275 390 390 500 838 318 361 318 337 636 636 636 636 636 636 636 636 636 636 337 337 838 838 838 531 1000 684 686 698 770 632 575 775 752 295 295 656 557 863 748 787 603 787 695 635 611 732 684 989 685 611 685 390 337 390 838 500 500 613 635 550 635 615 352 635 634 278 278 579 278 974 634 612 635 635 411 521 392 634 592 818 592 592 525 636 337 636 838'.split(' ').map(Number);
const BOLD = '348 456 521 838 696 1002 872 306 457 457 523 838 380 415 380 365 696 696 696 696 696 696 696 696 696 696 400 400 838 838 838 580 1000 774 762 734 830 683 683 821 837 372 372 775 637 995 837 850 733 850 770 720 682 812 774 1103 771 724 725 457 365 457 838 500 500 675 716 593 716 678 435 716 712 343 343 665 343 1042 712 687 716 716 493 595 478 712 652 924 645 652 582 712 365 712 838'.split(' ').map(Number);
const OTHERS: Readonly<Record<string, number>> = { 'Ω': 850, 'µ': 736, 'μ': 736, '²': 438, '³': 438, '°': 500, '–': 500, '−': 838, '±': 838, '·': 380, '→': 838, '…': 1000 };
/** What is not listed counts as the widest letter of the font that scripts in use have. */
const WIDEST = 1240;

/** Width of a text on paper, never less than what a renderer will use. */
export function textWidth_mm(text: string, size_mm: number, weight: 400 | 700): number {
  const table = weight === 700 ? BOLD : REGULAR;
  let thousandths = 0;
  for (const letter of text) thousandths += table[letter.codePointAt(0)! - 32] ?? OTHERS[letter] ?? WIDEST;
  return (thousandths / 1000) * size_mm;
}

/** The text, or as much of it as fits with an ellipsis. */
export function fitted(text: string, width_mm: number, size_mm: number, weight: 400 | 700): string {
  const clean = oneLine(text);
  if (textWidth_mm(clean, size_mm, weight) <= width_mm) return clean;
  let letters = [...clean];
  while (letters.length > 1 && textWidth_mm(`${letters.join('')}…`, size_mm, weight) > width_mm) letters = letters.slice(0, -1);
  return `${letters.join('').trimEnd()}…`;
}

/** The text broken at spaces into at most so many lines; the last is cut with an ellipsis. */
export function wrapped(text: string, width_mm: number, lines: number, size_mm: number, weight: 400 | 700): string[] {
  const words = oneLine(text).split(' ').filter((word) => word !== '');
  const broken: string[] = [];
  while (words.length > 0 && broken.length < lines) {
    let line = words.shift()!;
    while (words.length > 0 && textWidth_mm(`${line} ${words[0]!}`, size_mm, weight) <= width_mm) line += ` ${words.shift()!}`;
    if (broken.length === lines - 1 && words.length > 0) line = `${line} ${words.join(' ')}`;
    broken.push(fitted(line, width_mm, size_mm, weight));
  }
  return broken;
}

/** Text from a file on one line, without what would be obeyed instead of shown. */
export function oneLine(text: string): string {
  return text.replace(/[\s\p{Cc}]+/gu, ' ').trim();
}

export function text(x: number, y: number, words: string, style: { readonly size?: number; readonly weight?: 400 | 700; readonly tone?: Tone; readonly anchor?: Text['anchor'] } = {}): Text {
  return { shape: 'text', x, y, text: words, anchor: style.anchor ?? 'start', size_mm: style.size ?? TYPE.fact, weight: style.weight ?? 400, tone: style.tone ?? 'ink' };
}

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** The rectangle that a text fills; capitals and figures reach 0.73 em up, letters like g 0.24 em down. */
export function textBox(shape: Text): Box {
  const width = textWidth_mm(shape.text, shape.size_mm, shape.weight);
  const before = shape.anchor === 'start' ? 0 : shape.anchor === 'end' ? width : width / 2;
  const up = 0.76 * shape.size_mm;
  const down = 0.24 * shape.size_mm;
  if (shape.rotate_deg === 90) return { left: shape.x - down, right: shape.x + up, top: shape.y - before, bottom: shape.y - before + width };
  if (shape.rotate_deg === -90) return { left: shape.x - up, right: shape.x + down, top: shape.y + before - width, bottom: shape.y + before };
  return { left: shape.x - before, right: shape.x - before + width, top: shape.y - up, bottom: shape.y + down };
}

export function isText(shape: Shape): shape is Text {
  return shape.shape === 'text';
}
