import { stampWords, type Paper } from './document.ts';
import type { PageFormat } from '../drawing/frame.ts';
import type { PdfDocument, PdfStructure, PdfTools } from './pdf-engine.ts';
import type { Area, Flow, Repeat, Row } from './pdf-flow.ts';
import { flowsOf } from './pdf-rows.ts';
import { drawSheet } from './pdf-shapes.ts';
import { rule } from './pdf-table.ts';
import { drawText, layText, setIn, shown, type TextBox, type Weight } from './pdf-text.ts';

/** Short and long side, points. Sources: ISO 216 (A4); ANSI/ASME Y14.1 (A, 8.5 by 11 in). */
const PAGES: Readonly<Record<PageFormat, readonly [short: number, long: number]>> = { A4: [595.28, 841.89], Letter: [612, 792] };
const MARGIN = 40;
const FOOT = 26;
const TYPE_SIZE = 9;
const PT_PER_MM = 72 / 25.4;
/** A card's type: as large as fits on one page, between these, to a tenth. */
const CARD_LEAST = 7;
const CARD_MOST = 13;

interface PlacedRow {
  readonly flow: number;
  readonly row: Row | Repeat;
}

interface Layout {
  readonly area: Area;
  readonly flows: readonly Flow[];
  readonly pages: readonly (readonly PlacedRow[])[];
}

/**
 * A paper as a tagged PDF with embedded fonts: text that can be selected and searched, headings, table heads and
 * pictures in words for those who hear it. The same paper gives the same bytes.
 */
export async function paperPdf(paper: Paper, { Document, regular, bold }: PdfTools, format: PageFormat = 'A4'): Promise<Uint8Array> {
  const [short, long] = PAGES[format];
  const size: readonly [number, number] = paper.layout === 'wide' ? [long, short] : [short, long];
  const pdf = new Document({
    autoFirstPage: false, font: '', tagged: true, displayTitle: true, lang: 'en', pdfVersion: '1.7',
    // The library asks the clock for a date unless it is given one: the user's, or one that nobody takes for true.
    info: { Title: shown(`${paper.stamp.machine}: ${paper.title}`), Subject: shown(stampWords(paper.stamp)), Creator: `Ampwright ${paper.stamp.version}`, Producer: 'pdfkit', CreationDate: dateOf(paper.stamp.date) },
  });
  pdf.registerFont('regular', regular).registerFont('bold', bold);
  setIn(pdf, regular, bold);
  const bytes = collected(pdf);
  if (paper.layout === 'drawing') drawFigures(pdf, paper);
  else draw(pdf, paper, laidOut(pdf, paper, size), size);
  pdf.end();
  return bytes;
}

function laidOut(pdf: PdfDocument, paper: Paper, [width, height]: readonly [number, number]): Layout {
  const at = (type: number): Layout => {
    const area: Area = { left: MARGIN, width: width - 2 * MARGIN, height: height - 2 * MARGIN - FOOT, size: type };
    const flows = [headFlow(pdf, paper, area), ...paper.blocks.flatMap((block) => flowsOf(pdf, block, area))];
    return { area, flows, pages: paged(flows, area.height) };
  };
  if (paper.layout !== 'card') return withoutStub(at);
  const most = at(CARD_MOST);
  if (most.pages.length === 1) return most;
  let fits = at(CARD_LEAST);
  let [low, high] = [CARD_LEAST * 10, CARD_MOST * 10];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    const layout = at(middle / 10);
    if (layout.pages.length === 1) [low, fits] = [middle, layout];
    else high = middle;
  }
  return fits;
}

/** Papers of up to so many pages are set a little smaller where that saves a last page with little on it. */
const SHORT = 5;
const SMALLER = [8.7, 8.4, 8.1];
const LITTLE = 0.35;

function withoutStub(at: (type: number) => Layout): Layout {
  const layout = at(TYPE_SIZE);
  const { pages, area } = layout;
  const last = pages.at(-1)!.reduce((sum, { row }) => sum + row.height, 0);
  if (pages.length < 2 || pages.length > SHORT || last > LITTLE * area.height) return layout;
  for (const type of SMALLER) {
    const smaller = at(type);
    if (smaller.pages.length < pages.length) return smaller;
  }
  return layout;
}

/** Fills pages with rows; rows that belong together go to the next page together. */
function paged(flows: readonly Flow[], height: number): PlacedRow[][] {
  const pages: PlacedRow[][] = [[]];
  let used = 0;
  const all = flows.flatMap((flow, at) => flow.rows.map((row) => ({ flow: at, row })));
  all.forEach(({ flow, row }, k) => {
    let needed = row.height;
    for (let next = k; all[next]?.row.keep === true && all[next + 1] !== undefined; next += 1) needed += all[next + 1]!.row.height;
    if (used > 0 && used + Math.min(needed, height) > height && !(k > 0 && all[k - 1]!.row.keep && used + row.height <= height)) {
      const page: PlacedRow[] = [];
      pages.push(page);
      used = 0;
      const repeat = flows[flow]?.repeat;
      if (repeat !== undefined && all[k - 1]?.flow === flow) {
        page.push({ flow, row: repeat });
        used = repeat.height;
      }
    }
    pages.at(-1)!.push({ flow, row });
    used += row.height;
  });
  return pages;
}

/** A text on one line, smaller where it must be; on several when even the least size does not do. */
function oneLine(pdf: PdfDocument, text: string, width: number, most: number, least: number, weight: Weight = 'bold'): TextBox {
  for (let size = most; size > least; size *= 0.95) {
    const box = layText(pdf, text, width, size, weight);
    if (box.lines.length === 1) return box;
  }
  return layText(pdf, text, width, least, weight);
}

function headFlow(pdf: PdfDocument, { title, stamp, lead }: Paper, area: Area): Flow {
  const { size, width, left } = area;
  const name = oneLine(pdf, `${stamp.machine}: ${title}`, width, Math.min(26, size * 2), size * 1.4);
  const mark = layText(pdf, stampWords(stamp), width, size * 0.9);
  const says = lead === '' ? undefined : layText(pdf, lead, width, size * 1.05);
  const top = name.height + mark.height + size * 0.7;
  const row: Row = {
    height: top + (says === undefined ? 0 : says.height + size * 0.5) + size * 0.4,
    keep: true,
    draw: (y, structure) => {
      structure.add(pdf.struct('H1', {}, [() => drawText(pdf, name, left, y)]));
      structure.add(pdf.struct('P', {}, [() => drawText(pdf, mark, left, y + name.height)]));
      rule(pdf, area, y + top - size * 0.2, 2.5);
      if (says !== undefined) structure.add(pdf.struct('P', {}, [() => drawText(pdf, says, left, y + top + size * 0.3)]));
    },
  };
  return { structure: 'Sect', rows: [row], heading: title };
}

function draw(pdf: PdfDocument, paper: Paper, { area, flows, pages }: Layout, size: readonly [number, number]): void {
  const root = pdf.struct('Document');
  pdf.addStructure(root);
  const structures = new Map<number, PdfStructure>();
  const lastOf = new Map<number, PlacedRow>();
  for (const placed of pages.flat()) lastOf.set(placed.flow, placed);
  pages.forEach((page, number) => {
    pdf.addPage({ size, margin: 0 });
    let y = MARGIN;
    for (const placed of page) {
      const flow = flows[placed.flow]!;
      let structure = structures.get(placed.flow);
      if (structure === undefined) {
        structure = pdf.struct(flow.structure);
        root.add(structure);
        structures.set(placed.flow, structure);
        if (flow.heading !== undefined) pdf.outline.addItem(shown(flow.heading));
      }
      placed.row.draw(y, structure);
      y += placed.row.height;
      if (lastOf.get(placed.flow) === placed) structure.end();
    }
    footer(pdf, paper, area, size[1] - MARGIN - FOOT + 8, `${number + 1} of ${pages.length}`);
  });
  root.end();
}

/** A page for each figure, as large as the figure. */
function drawFigures(pdf: PdfDocument, { blocks }: Paper): void {
  const root = pdf.struct('Document');
  pdf.addStructure(root);
  for (const block of blocks) {
    if (block.type !== 'figure') continue;
    const { sheet } = block;
    pdf.addPage({ size: [sheet.width_mm * PT_PER_MM, sheet.height_mm * PT_PER_MM], margin: 0 });
    pdf.outline.addItem(shown(sheet.title));
    root.add(pdf.struct('Figure', { alt: shown(`${sheet.title}. ${sheet.description}`) }, [() => drawSheet(pdf, sheet, 0, 0, PT_PER_MM)]));
  }
  root.end();
}

function footer(pdf: PdfDocument, { title, stamp }: Paper, area: Area, y: number, page: string): void {
  rule(pdf, area, y, 0.6);
  pdf.markContent('Artifact', { type: 'Pagination' });
  const says = oneLine(pdf, `${stamp.machine}, ${title.toLowerCase()}, ${stampWords(stamp)}. Computed by Ampwright ${stamp.version}, not an approval.`, area.width - 40, 7, 5.5, 'regular');
  drawText(pdf, says, area.left, y + 4);
  drawText(pdf, layText(pdf, page, 60, 7), area.left + area.width - 60, y + 4, 'right', 60);
  pdf.endMarkedContent();
}

/** The user's date where it is written year first, as ISO 8601 has it; the year 2000 otherwise. */
function dateOf(text: string | undefined): Date {
  const [day = '2000-01-01'] = /^\d{4}-\d{2}-\d{2}/.exec(text ?? '') ?? [];
  const date = new Date(`${day}T00:00:00Z`);
  return Number.isNaN(date.getTime()) ? new Date(Date.UTC(2000, 0, 1)) : date;
}

function collected(pdf: PdfDocument): Promise<Uint8Array> {
  const pieces: Uint8Array[] = [];
  return new Promise((resolve, reject) => {
    pdf.on('data', (piece) => pieces.push(piece));
    pdf.on('error', (error) => reject(error instanceof Error ? error : new Error(String(error))));
    pdf.on('end', () => {
      const whole = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, 0));
      let at = 0;
      for (const piece of pieces) {
        whole.set(piece, at);
        at += piece.length;
      }
      resolve(whole);
    });
  });
}
