import { inkOf, placed, type PathStep, type Shape, type Sheet, type Stroke, type Tone } from '../drawing/shapes.ts';
import type { PdfDocument } from './pdf-engine.ts';
import { shown, widthOf } from './pdf-text.ts';

/** Ink on paper: weight, dash and words carry the meaning, so that black and greys will do. */
const TONES = { ink: '#000000', second: '#444444', live: '#000000', warn: '#000000', dead: '#777777', rule: '#bbbbbb', paper: '#ffffff' } as const satisfies Record<Tone, string>;

/** Draws a sheet with its upper left corner at a point; `scale` in points per millimetre of the sheet. */
export function drawSheet(pdf: PdfDocument, { shapes }: Sheet, x: number, y: number, scale: number): void {
  for (const shape of inkOf(placed(shapes, x, y, scale))) draw(pdf, shape);
}

function draw(pdf: PdfDocument, shape: Exclude<Shape, { shape: 'group' }>): void {
  if (shape.shape !== 'text' && shape.stroke === undefined && (shape.shape === 'line' || shape.fill === undefined)) return;
  switch (shape.shape) {
    case 'text':
      drawLabel(pdf, shape);
      return;
    case 'line':
      pdf.path(pathWords([['M', shape.x1, shape.y1], ['L', shape.x2, shape.y2]]));
      break;
    case 'polyline':
      pdf.path(`${pathWords(shape.points.map(([px, py], at) => [at === 0 ? 'M' : 'L', px, py]))}${shape.closed === true ? 'Z' : ''}`);
      break;
    case 'path':
      pdf.path(pathWords(shape.steps));
      break;
    case 'circle':
      pdf.circle(shape.cx, shape.cy, shape.r);
      break;
    case 'rect':
      pdf.rect(shape.x, shape.y, shape.width, shape.height);
      break;
  }
  ink(pdf, shape.stroke, shape.shape === 'line' ? undefined : shape.fill);
}

function ink(pdf: PdfDocument, stroke: Stroke | undefined, fill: keyof typeof TONES | undefined): void {
  if (stroke !== undefined) {
    pdf.lineWidth(stroke.width_mm).lineCap(stroke.cap ?? 'butt');
    // A mark of no length has no ink in PDF without a round cap, and a dash of zeros is not allowed.
    if (stroke.dash_mm !== undefined && stroke.dash_mm.some((length) => length > 0)) pdf.dash(stroke.dash_mm.map((length) => Math.max(length, 0.01)));
    else pdf.undash();
  }
  if (stroke !== undefined && fill !== undefined) pdf.fillAndStroke(TONES[fill], TONES[stroke.tone]);
  else if (stroke !== undefined) pdf.stroke(TONES[stroke.tone]);
  else if (fill !== undefined) pdf.fill(TONES[fill]);
  pdf.undash();
}

function drawLabel(pdf: PdfDocument, label: Extract<Shape, { shape: 'text' }>): void {
  if (label.text === '') return;
  const weight = label.weight === 700 ? 'bold' : 'regular';
  const text = shown(label.text);
  const width = label.anchor === 'start' ? 0 : widthOf(pdf, text, label.size_mm, weight);
  pdf.font(weight).fontSize(label.size_mm).fillColor(TONES[label.tone]);
  const left = label.x - (label.anchor === 'end' ? width : label.anchor === 'middle' ? width / 2 : 0);
  if (label.rotate_deg !== undefined) pdf.save().rotate(label.rotate_deg, { origin: [label.x, label.y] });
  pdf.text(text, left, label.y, { lineBreak: false, baseline: 'alphabetic' });
  if (label.rotate_deg !== undefined) pdf.restore();
}

/** A path in the words of SVG, which the PDF library reads too. */
function pathWords(steps: readonly PathStep[]): string {
  return steps.map((step) => {
    if (step[0] === 'A') return `A${[step[1], step[2], 0, step[3], step[4], step[5], step[6]].map(number).join(' ')}`;
    return `${step[0]}${step.slice(1).map((value) => number(Number(value))).join(' ')}`;
  }).join('');
}

/** Thousandths of a point. */
function number(value: number): string {
  return String(Math.round(value * 1000) / 1000);
}
