import { joinUnits } from '../sheets/report/words.ts';

/** Text from a file made harmless to a terminal: what could move the cursor or reverse the line is written out. */
export function printable(text: string): string {
  return text.replace(/[\p{Cc}\p{Cs}\u2028\u2029\u200E\u200F\u061C\u202A-\u202E\u2066-\u2069]/gu, (mark) => {
    if (mark === '\n' || mark === '\t') return ' ';
    return `\\u{${(mark.codePointAt(0) ?? 0).toString(16)}}`;
  });
}

/** Columns that a text takes on a terminal. */
export function widthOf(text: string): number {
  let width = 0;
  for (const mark of text) width += columnsOf(mark);
  return width;
}

/** Lines of at most `columns`, broken between words; a number stays with its unit, and a word longer than a line is cut. */
export function wrap(text: string, columns: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of joinUnits(printable(text).trim()).split(/ +/)) {
    if (line !== '' && widthOf(line) + 1 + widthOf(word) > columns) {
      lines.push(line);
      line = '';
    }
    line = line === '' ? word : `${line} ${word}`;
    while (widthOf(line) > columns) {
      const head = headOf(line, columns);
      lines.push(head);
      line = line.slice(head.length);
    }
  }
  const all = line === '' && lines.length > 0 ? lines : [...lines, line];
  // Plain spaces again, for those who search the output.
  return all.map((one) => one.replaceAll('\u00A0', ' '));
}

/** A paragraph with its first line after `lead` and the others under it. */
export function hang(lead: string, text: string, columns: number): string[] {
  const indent = widthOf(lead);
  return wrap(text, Math.max(8, columns - indent)).map((line, index) => (index === 0 ? lead : ' '.repeat(indent)) + line);
}

export interface Column {
  readonly head: string;
  readonly cells: readonly string[];
  /** May be narrowed by breaking its lines. */
  readonly flexible?: boolean;
  /** May be left out where there is no room. */
  readonly extra?: boolean;
}

/** An aligned table: lines of the head, and the lines of each row. Empty columns are left out. */
export function table(columns: readonly Column[], width: number): { readonly head: readonly string[]; readonly rows: readonly (readonly string[])[] } {
  const filled = columns.filter(({ cells }) => cells.some((cell) => cell !== ''));
  const { shown, widths } = fit(filled, width);
  const linesOf = (cells: readonly string[]): string[] => {
    const blocks = cells.map((cell, index) => wrap(cell, widths[index] ?? 1));
    const height = Math.max(0, ...blocks.map((block) => block.length));
    return Array.from({ length: height }, (_, line) => blocks.map((block, index) => padded(block[line] ?? '', widths[index] ?? 0)).join(GAP).trimEnd());
  };
  const count = Math.max(0, ...shown.map(({ cells }) => cells.length));
  return { head: linesOf(shown.map(({ head }) => head)), rows: Array.from({ length: count }, (_, row) => linesOf(shown.map(({ cells }) => cells[row] ?? ''))) };
}

const GAP = '  ';
const LEAST_FLEXIBLE = 8;

/** Takes from the widest flexible column, one by one, until all fit; when none can give more, leaves an extra column out. */
function fit(columns: readonly Column[], width: number): { readonly shown: readonly Column[]; readonly widths: readonly number[] } {
  const widths = columns.map(naturalWidth);
  let excess = widths.reduce((sum, one) => sum + one + GAP.length, -GAP.length) - width;
  while (excess > 0) {
    const given = columns.map(({ flexible }, index) => (flexible === true ? (widths[index] ?? 0) : 0));
    const widest = given.indexOf(Math.max(...given));
    if ((given[widest] ?? 0) <= LEAST_FLEXIBLE) break;
    widths[widest] = (given[widest] ?? 0) - 1;
    excess -= 1;
  }
  const spare = columns.findLast(({ extra }) => extra === true);
  return excess > 0 && spare !== undefined ? fit(columns.filter((column) => column !== spare), width) : { shown: columns, widths };
}

/** A head may break into three lines, so that a long one does not widen a column of short figures. */
function naturalWidth({ head, cells }: Column): number {
  let width = Math.max(1, ...cells.map((cell) => widthOf(printable(cell))));
  while (wrap(head, width).length > 3) width += 1;
  return Math.max(width, ...wrap(head, width).map(widthOf), ...printable(head).split(' ').map(widthOf));
}

function padded(text: string, width: number): string {
  return text + ' '.repeat(Math.max(0, width - widthOf(text)));
}

function headOf(line: string, columns: number): string {
  let head = '';
  let width = 0;
  for (const mark of line) {
    width += columnsOf(mark);
    if (width > columns && head !== '') break;
    head += mark;
  }
  return head;
}

function columnsOf(mark: string): number {
  if (/^[\p{Mn}\p{Me}\p{Cf}]$/u.test(mark)) return 0;
  // East Asian wide forms and pictographs take two columns (Unicode Standard Annex 11).
  return /^[\u1100-\u115F\u2E80-\u303E\u3041-\uA4CF\uAC00-\uD7A3\uF900-\uFAFF\uFE30-\uFE6F\uFF00-\uFF60\uFFE0-\uFFE6\u{1F300}-\u{1F64F}\u{1F900}-\u{1F9FF}\u{20000}-\u{3FFFD}]$/u.test(mark) ? 2 : 1;
}
