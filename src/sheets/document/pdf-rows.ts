import { chartSheet } from './chart-shapes.ts';
import type { Block } from './document.ts';
import type { Sheet } from '../drawing/shapes.ts';
import type { PdfDocument, PdfStructure } from './pdf-engine.ts';
import type { Area, Flow, Row } from './pdf-flow.ts';
import { drawSheet } from './pdf-shapes.ts';
import { rule, stepsFlow, tableFlow } from './pdf-table.ts';
import { drawText, layText, type TextBox } from './pdf-text.ts';

/** Lays a block out for an area; several flows where it has a heading. */
export function flowsOf(pdf: PdfDocument, block: Block, area: Area): Flow[] {
  switch (block.type) {
    case 'heading':
      return headed(pdf, block.text, area);
    case 'paragraph':
      return [textFlow(pdf, block.text, area, block.strong === true)];
    case 'list':
      return [...headed(pdf, block.title, area), listFlow(pdf, block.lines, area)];
    case 'boxes':
      return [...headed(pdf, block.title, area), boxesFlow(pdf, block.lines, area)];
    case 'facts':
      return [tableFlow(pdf, { type: 'table', title: block.title, columns: [{ name: 'What' }, { name: 'Value' }], rows: block.facts.map(({ name, value }) => [name, value]) }, area)];
    case 'table':
      return [{ ...tableFlow(pdf, block, area), heading: block.title }];
    case 'steps':
      return [{ ...stepsFlow(pdf, block, area), heading: block.title }];
    case 'caution':
      return [cautionFlow(pdf, block.text, area)];
    case 'verdict':
      return [...headed(pdf, block.question, area), textFlow(pdf, `${block.verdict.toUpperCase()}. ${block.says}`, area, false)];
    case 'labels':
      return [...headed(pdf, block.title, area), labelsFlow(pdf, block.labels, area)];
    case 'figure':
      return [...headed(pdf, block.sheet.title, area), figureFlow(pdf, block.sheet, area, 1, 1)];
    case 'chart':
      return [...headed(pdf, block.plot.title, area), figureFlow(pdf, chartSheet(block.plot), area, 0.85, 0.5)];
    case 'blanks':
      return [blanksFlow(pdf, block.names, area)];
  }
}

function headed(pdf: PdfDocument, text: string, area: Area): Flow[] {
  if (text === '') return [];
  const { size } = area;
  const box = layText(pdf, text, area.width, size * 1.25, 'bold');
  const row: Row = {
    height: box.height + size * 1.1, keep: true,
    draw: (y, structure) => structure.add(() => drawText(pdf, box, area.left, y + size * 0.8)),
  };
  return [{ structure: 'H2', rows: [row], heading: text }];
}

/** A paragraph; one that is long may be cut between pages after any line. */
function textFlow(pdf: PdfDocument, text: string, area: Area, strong: boolean): Flow {
  const { size } = area;
  const box = layText(pdf, text, area.width, size, strong ? 'bold' : 'regular');
  const rows = box.lines.map((line, at): Row => {
    const one: TextBox = { ...box, lines: [line], height: box.height / box.lines.length };
    const last = at === box.lines.length - 1;
    return { height: one.height + (at === 0 ? size * 0.2 : 0) + (last ? size * 0.35 : 0), keep: at === 0 && !last, draw: (y, structure) => structure.add(() => drawText(pdf, one, area.left, y + (at === 0 ? size * 0.2 : 0))) };
  });
  return { structure: 'P', rows };
}

function listFlow(pdf: PdfDocument, lines: readonly string[], area: Area): Flow {
  const { size } = area;
  const indent = size * 1.2;
  const rows = lines.map((line): Row => {
    const box = layText(pdf, line, area.width - indent, size);
    const dot = layText(pdf, '\u2013', indent, size);
    return {
      height: box.height + size * 0.3, keep: false,
      draw: (y, structure) => item(pdf, structure, () => drawText(pdf, dot, area.left, y), () => drawText(pdf, box, area.left + indent, y)),
    };
  });
  return { structure: 'L', rows };
}

function boxesFlow(pdf: PdfDocument, lines: readonly string[], area: Area): Flow {
  const { size } = area;
  const indent = size * 2.2;
  const rows = lines.map((line): Row => {
    const box = layText(pdf, line, area.width - indent, size * 1.05);
    return {
      height: Math.max(box.height, size * 1.4) + size * 0.6, keep: false,
      draw: (y, structure) => item(pdf, structure,
        () => pdf.undash().lineWidth(1.1).rect(area.left, y, size * 1.35, size * 1.35).stroke('#000000'),
        () => drawText(pdf, box, area.left + indent, y + size * 0.05)),
    };
  });
  return { structure: 'L', rows };
}

function item(pdf: PdfDocument, structure: PdfStructure, label: () => void, body: () => void): void {
  const li = pdf.struct('LI');
  structure.add(li);
  li.add(pdf.struct('Lbl', { alt: 'item' }, [label]));
  li.add(pdf.struct('LBody', {}, [body]));
  li.end();
}

function cautionFlow(pdf: PdfDocument, text: string, area: Area): Flow {
  const { size } = area;
  const pad = size * 0.8;
  const box = layText(pdf, `Caution: ${text}`, area.width - 2 * pad, size * 1.05, 'bold');
  const tall = box.height + 2 * pad;
  const row: Row = {
    height: tall + size * 1.1, keep: false,
    draw: (y, structure) => {
      pdf.markContent('Artifact', { type: 'Layout' });
      pdf.undash().lineWidth(2).rect(area.left + 1, y + size * 0.6, area.width - 2, tall).stroke('#000000');
      pdf.endMarkedContent();
      structure.add(() => drawText(pdf, box, area.left + pad, y + size * 0.6 + pad));
    },
  };
  return { structure: 'P', rows: [row] };
}

/** Stickers in rows of a width that a label printer's strip has too, dashed to cut along. */
function labelsFlow(pdf: PdfDocument, labels: readonly { readonly head: string; readonly text: string }[], area: Area): Flow {
  const { size } = area;
  const across = Math.max(1, Math.floor(area.width / 170));
  const width = area.width / across;
  const pad = size * 0.6;
  const laid = labels.map(({ head, text }) => [layText(pdf, head, width - 2 * pad, size * 1.2, 'bold'), layText(pdf, text, width - 2 * pad, size * 0.85)] as const);
  const height = Math.max(0, ...laid.map(([head, text]) => head.height + text.height)) + 2 * pad;
  const rows: Row[] = [];
  for (let k = 0; k < laid.length; k += across) {
    const some = laid.slice(k, k + across);
    rows.push({
      height, keep: false,
      draw: (y, structure) => some.forEach(([head, text], at) => {
        const left = area.left + at * width;
        pdf.markContent('Artifact', { type: 'Layout' });
        // Each line once: two dashed ones on top of each other would look whole.
        const above = k === 0 ? `M${left} ${y}h${width}` : '';
        pdf.lineWidth(0.5).dash([3, 3]).path(`${above}M${left} ${y + height}h${width}${at === 0 ? `M${left} ${y}v${height}` : ''}M${left + width} ${y}v${height}`).stroke('#000000').undash();
        pdf.endMarkedContent();
        const li = pdf.struct('LI');
        structure.add(li);
        li.add(pdf.struct('LBody', {}, [() => {
          drawText(pdf, head, left + pad, y + pad);
          drawText(pdf, text, left + pad, y + pad + head.height);
        }]));
        li.end();
      }),
    });
  }
  return { structure: 'L', rows };
}

/** @param share  of the text's width, and @param tallest of the page's height, that the figure may take */
function figureFlow(pdf: PdfDocument, sheet: Sheet, area: Area, share: number, tallest: number): Flow {
  const scale = Math.min((area.width * share) / sheet.width_mm, (area.height * tallest - area.size * 4) / sheet.height_mm);
  const tall = sheet.height_mm * scale;
  const row: Row = {
    height: tall + area.size, keep: false,
    draw: (y, structure) => {
      structure.add(pdf.struct('Figure', { alt: `${sheet.title}. ${sheet.description}` }, [() => drawSheet(pdf, sheet, area.left, y, scale)]));
    },
  };
  return { structure: 'Sect', rows: [row] };
}

function blanksFlow(pdf: PdfDocument, names: readonly string[], area: Area): Flow {
  const { size } = area;
  const gap = size * 1.6;
  const width = (area.width - gap * (names.length - 1)) / names.length;
  const boxes = names.map((name) => layText(pdf, name, width, size * 0.85));
  const tall = Math.max(0, ...boxes.map((box) => box.height));
  const row: Row = {
    height: size * 3 + tall, keep: false,
    draw: (y, structure) => boxes.forEach((box, at) => {
      const left = area.left + at * (width + gap);
      rule(pdf, { ...area, left, width }, y + size * 2.8, 0.7);
      structure.add(() => drawText(pdf, box, left, y + size * 2.9));
    }),
  };
  return { structure: 'P', rows: [row] };
}
