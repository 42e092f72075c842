import type { Sheet } from '../drawing/shapes.ts';
import { EMPTY_BOX, filled, type Column, type StepList, type Table } from './document.ts';
import type { PdfDocument } from './pdf-engine.ts';
import type { Area, Flow, Repeat, Row } from './pdf-flow.ts';
import { drawSheet } from './pdf-shapes.ts';
import { drawText, layText, shown, widthOf, type TextBox, type Weight } from './pdf-text.ts';

interface Cell {
  readonly text: string;
  readonly weight: Weight;
  readonly right: boolean;
  /** A second text under the first, in regular type. */
  readonly under?: string;
  readonly size?: number;
  /** In place of the text. */
  readonly picture?: Sheet;
}

/** Rows, or share of a page's height, up to which a table is not broken between pages. */
const WHOLE = 5;
const WHOLE_SHARE = 0.45;
/** Room between columns and above and below a row's text, in type sizes. */
const GAP = 1.1;
const PAD = 0.32;
/** How much wider than it likes a column may become, so that a table fills the page. */
const WIDEST = 1.5;

/** A table whose head stands again on each page. */
export function tableFlow(pdf: PdfDocument, table: Table, area: Area): Flow {
  const { title, columns, rows } = filled(table);
  // Names stand out; sentences in their place would shout.
  const named = rows.every(([first = '']) => first.length <= 28);
  const weights = (column: Column, at: number, text: string): Cell => ({ text, weight: at === 0 && named ? 'bold' : 'regular', right: column.figures === true });
  const cells = rows.map((row) => columns.map((column, at) => weights(column, at, row[at] ?? '')));
  const boxes = columns.map((_, at) => rows.length > 0 && rows.every((row) => row[at] === EMPTY_BOX));
  return gridFlow(pdf, title, columns.map(({ name, figures }, at) => ({ text: name, weight: 'bold', right: figures === true || boxes[at] === true })), cells, area);
}

/** The steps of a card: number, who, what, how things stand then, what must show, what if not, a box. */
export function stepsFlow(pdf: PdfDocument, { title, expects, otherwise, first, steps, pictured }: StepList, area: Area): Flow {
  const plain = (text: string): Cell => ({ text, weight: 'regular', right: false });
  const pictures = (sheet: Sheet | undefined): Cell[] => (pictured === undefined ? [] : [sheet === undefined ? plain('') : { ...plain(''), picture: sheet }]);
  const bold = (text: string): Cell => ({ text, weight: 'bold', right: false });
  const head = [bold(''), bold('Who'), bold('Do'), ...pictures(pictured), bold(expects), bold(otherwise), bold('')];
  const cells = steps.map((step, at): Cell[] => [
    { text: String(first + at), weight: 'bold', right: false, size: area.size * 1.35 },
    plain(step.who),
    { text: step.does, weight: 'bold', right: false, size: area.size * 1.12, ...(step.detail === '' ? {} : { under: step.detail }) },
    ...pictures(step.picture),
    plain(step.expect),
    plain(step.otherwise),
    plain(EMPTY_BOX),
  ]);
  const { size } = area;
  const picture = pictured === undefined ? [] : [pictured.width_mm * pictureScale(size)];
  const left = area.width - GAP * size * (head.length - 1) - (STEP_COUNT + STEP_WHO + STEP_BOX) * size - picture.reduce((sum, one) => sum + one, 0);
  const [does, shows, not] = STEP_SHARES.map((share) => share * left) as [number, number, number];
  return gridFlow(pdf, title, head, cells, area, [STEP_COUNT * size, STEP_WHO * size, does, ...picture, shows, not, STEP_BOX * size]);
}

/** Widths of a card's narrow columns in type sizes, and shares of the others in what they leave, so that the lists on one card stand in line. */
const STEP_COUNT = 2;
const STEP_WHO = 3.6;
const STEP_BOX = 1.6;
const STEP_SHARES = [0.4, 0.37, 0.23] as const;
/** Height of a picture of switches in type sizes. */
const PICTURE = 2.3;

/** Points per millimetre of a picture of switches, 7 mm high. */
function pictureScale(size: number): number {
  return (PICTURE * size) / 7;
}

function gridFlow(pdf: PdfDocument, title: string, head: readonly Cell[], cells: readonly (readonly Cell[])[], area: Area, given?: readonly number[]): Flow {
  const { size, width } = area;
  const room = width - GAP * size * (head.length - 1);
  const widths = given ?? columnWidths(pdf, [head, ...cells], room, size);
  const lefts = widths.map((_, at) => area.left + widths.slice(0, at).reduce((sum, one) => sum + one + GAP * size, 0));
  const headRow = gridRow(pdf, head, widths, lefts, area, true);
  const caption = layText(pdf, title, width, size * 1.2, 'bold');
  const rows: Row[] = title === '' ? [] : [{
    height: caption.height + size * 0.9,
    keep: true,
    draw: (y, structure) => structure.add(pdf.struct('Caption', {}, [() => drawText(pdf, caption, area.left, y + size * 0.7)])),
  }];
  rows.push({ ...headRow.row, keep: true });
  const body = cells.map((row) => gridRow(pdf, row, widths, lefts, area, false).row);
  // A short table stays whole; of a long one neither the first row nor the last stands alone.
  const last = body.length - 1;
  const whole = body.length <= WHOLE || body.reduce((sum, row) => sum + row.height, 0) <= WHOLE_SHARE * area.height;
  rows.push(...body.map((row, at) => (at === last ? { ...row, height: row.height + size * 0.7 } : { ...row, keep: whole || at === 0 || at === last - 1 })));
  return { structure: 'Table', rows, repeat: headRow.again };
}

function gridRow(pdf: PdfDocument, cells: readonly Cell[], widths: readonly number[], lefts: readonly number[], area: Area, head: boolean): { readonly row: Row; readonly again: Repeat } {
  const { size } = area;
  const boxes = cells.map((cell, at): readonly TextBox[] => {
    if (cell.text === EMPTY_BOX || cell.picture !== undefined) return [];
    const own = cell.size ?? (head ? size * 0.88 : size);
    const main = layText(pdf, cell.text, widths[at] ?? 0, own, cell.weight);
    return cell.under === undefined ? [main] : [main, layText(pdf, cell.under, widths[at] ?? 0, size)];
  });
  const tall = boxes.map((stack, at) => (cells[at]?.text === EMPTY_BOX ? size * 1.5 : cells[at]?.picture !== undefined ? cells[at].picture.height_mm * pictureScale(size) : stack.reduce((sum, box) => sum + box.height, 0)));
  const height = Math.max(...tall) + 2 * PAD * size;
  const cellAt = (at: number, y: number) => (): void => drawCell(pdf, boxes[at] ?? [], cells[at]!, lefts[at] ?? 0, y + PAD * size, widths[at] ?? 0, size);
  const row: Row = {
    height,
    keep: false,
    draw: (y, structure) => {
      const tr = pdf.struct('TR');
      structure.add(tr);
      cells.forEach((cell, at) => {
        const [type, options] = head ? ['TH', { scope: 'Column', ...(cell.picture === undefined ? {} : { alt: shown(cell.picture.description) }) }] as const : at === 0 ? ['TH', { scope: 'Row' }] as const : ['TD', cell.text === EMPTY_BOX ? { alt: 'box to tick' } : cell.picture !== undefined ? { alt: shown(cell.picture.description) } : {}] as const;
        tr.add(pdf.struct(type, options, [cellAt(at, y)]));
      });
      tr.end();
      rule(pdf, area, y + height, head ? 1 : 0.4);
    },
  };
  const again: Repeat = {
    height,
    draw: (y) => {
      pdf.markContent('Artifact', { type: 'Pagination' });
      cells.forEach((_, at) => cellAt(at, y)());
      pdf.endMarkedContent();
      rule(pdf, area, y + height, 1);
    },
  };
  return { row, again };
}

function drawCell(pdf: PdfDocument, stack: readonly TextBox[], cell: Cell, x: number, y: number, width: number, size: number): void {
  if (cell.text === EMPTY_BOX) {
    pdf.lineWidth(1.1).rect(x + width - size * 1.45, y + size * 0.03, size * 1.4, size * 1.4).stroke('#000000');
    return;
  }
  if (cell.picture !== undefined) {
    drawSheet(pdf, cell.picture, x, y - PAD * size, pictureScale(size));
    return;
  }
  let top = y;
  for (const box of stack) {
    drawText(pdf, box, x, top, cell.right ? 'right' : 'left', width);
    top += box.height;
  }
}

/** A line that only separates. */
export function rule(pdf: PdfDocument, { left, width }: Area, y: number, weight: number): void {
  pdf.markContent('Artifact', { type: 'Layout' });
  pdf.undash().lineCap('butt').lineWidth(weight).path(`M${left} ${y}L${left + width} ${y}`).stroke('#000000');
  pdf.endMarkedContent();
}

/** Widths that give each column its longest word, and what is left by how much more its texts would like. */
function columnWidths(pdf: PdfDocument, rows: readonly (readonly Cell[])[], available: number, size: number): number[] {
  const columns = rows[0]?.map((_, at) => at) ?? [];
  const least: number[] = [];
  const liked: number[] = [];
  for (const at of columns) {
    let [word, whole] = [size * 0.8, size * 0.8];
    for (const row of rows) {
      const cell = row[at];
      if (cell === undefined) continue;
      if (cell.text === EMPTY_BOX) {
        [word, whole] = [Math.max(word, size * 1.5), Math.max(whole, size * 1.5)];
        continue;
      }
      for (const [text, weight, own] of [[cell.text, cell.weight, cell.size ?? size], [cell.under ?? '', 'regular', size]] as const) {
        for (const piece of shown(text).split(/[ \n]+/)) word = Math.max(word, Math.min(widthOf(pdf, piece, own, weight), available * 0.3));
        // A little more than measured, so that what fits exactly is not broken by rounding.
        whole = Math.max(whole, widthOf(pdf, text, own, weight) + 0.5);
      }
    }
    least.push(word + 0.5);
    // A sentence would like a line of its own; what it gets grows with it, up to a little over the whole width.
    liked.push(Math.max(word + 0.5, Math.min(whole, available * 1.2)));
  }
  const sum = (list: readonly number[]): number => list.reduce((total, one) => total + one, 0);
  if (sum(least) >= available) return least.map((one) => (one * available) / sum(least));
  const spare = available - sum(least);
  const wish = sum(liked) - sum(least);
  const share = wish > 0 ? Math.min(1, spare / wish) : 0;
  const widths = least.map((one, at) => one + ((liked[at] ?? one) - one) * share);
  // A narrow table is not torn apart: its columns would no longer be read as rows.
  return widths.map((one) => one * Math.min(WIDEST, available / sum(widths)));
}
