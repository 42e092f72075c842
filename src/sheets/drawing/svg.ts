import { escapeText } from '../report/escape.ts';
import type { GroupData, PathStep, Shape, Sheet, Stroke, Tone } from './shapes.ts';

/** Colours of a drawing on paper. A page sets its own by the custom properties of the same names: `--live`. */
const COLOURS: Readonly<Record<Tone, string>> = { ink: '#15202B', second: '#4B5661', live: '#B94700', warn: '#98103F', dead: '#6B747B', rule: '#D3CFC3', paper: '#FFFFFF' };

const FONT = "'DejaVu Sans', 'Atkinson Hyperlegible Next', Arial, Helvetica, sans-serif";

export interface SvgOptions {
  /** For ids inside a page that holds several drawings; letters, digits and hyphens. */
  readonly id?: string;
  /** No width and height: fills what it stands in. */
  readonly fluid?: boolean;
}

/** A sheet as an SVG document: no script, no style from outside, every name escaped. */
export function svgOf(sheet: Sheet, options: SvgOptions = {}): string {
  const id = (options.id ?? 'sheet').replace(/[^A-Za-z0-9-]/g, '-');
  const size = options.fluid === true ? '' : ` width="${number(sheet.width_mm)}mm" height="${number(sheet.height_mm)}mm"`;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${number(sheet.width_mm)} ${number(sheet.height_mm)}"${size} role="img" aria-labelledby="${id}-title ${id}-desc" class="drawing" font-family="${FONT}">`,
    `<title id="${id}-title">${escapeText(sheet.title)}</title>`,
    `<desc id="${id}-desc">${escapeText(sheet.description)}</desc>`,
    `<rect width="${number(sheet.width_mm)}" height="${number(sheet.height_mm)}" fill="${colour('paper')}"/>`,
    ...sheet.shapes.map(shapeSvg),
    '</svg>',
    '',
  ].join('\n');
}

/** One shape as SVG, for a page that puts a drawing together itself. */
export function shapeSvg(shape: Shape): string {
  switch (shape.shape) {
    case 'group':
      return `<g class="${shape.classes.map((name) => escapeText(name)).join(' ')}"${dataOf(shape.data)}>${shape.title === undefined ? '' : `<title>${escapeText(shape.title)}</title>`}${shape.shapes.map(shapeSvg).join('')}</g>`;
    case 'line':
      return `<line x1="${number(shape.x1)}" y1="${number(shape.y1)}" x2="${number(shape.x2)}" y2="${number(shape.y2)}"${inked(shape.stroke, undefined)}/>`;
    case 'polyline':
      return `<${shape.closed === true ? 'polygon' : 'polyline'} points="${shape.points.map(([x, y]) => `${number(x)},${number(y)}`).join(' ')}"${inked(shape.stroke, shape.fill)}/>`;
    case 'path':
      return `<path d="${shape.steps.map(stepText).join('')}"${inked(shape.stroke, shape.fill)}/>`;
    case 'circle':
      return `<circle cx="${number(shape.cx)}" cy="${number(shape.cy)}" r="${number(shape.r)}"${inked(shape.stroke, shape.fill)}/>`;
    case 'rect':
      return `<rect x="${number(shape.x)}" y="${number(shape.y)}" width="${number(shape.width)}" height="${number(shape.height)}"${inked(shape.stroke, shape.fill)}/>`;
    case 'text': {
      const turn = shape.rotate_deg === undefined ? '' : ` transform="rotate(${shape.rotate_deg} ${number(shape.x)} ${number(shape.y)})"`;
      const anchor = shape.anchor === 'start' ? '' : ` text-anchor="${shape.anchor}"`;
      const weight = shape.weight === 400 ? '' : ` font-weight="${shape.weight}"`;
      return `<text x="${number(shape.x)}" y="${number(shape.y)}" font-size="${number(shape.size_mm)}"${anchor}${weight} fill="${colour(shape.tone)}"${turn}>${escapeText(shape.text)}</text>`;
    }
  }
}

function dataOf(data: GroupData | undefined): string {
  return Object.entries(data ?? {}).map(([name, value]) => ` data-${name}="${escapeText(value as string)}"`).join('');
}

function inked(stroke: Stroke | undefined, fill: Tone | undefined): string {
  const inside = ` fill="${fill === undefined ? 'none' : colour(fill)}"`;
  if (stroke === undefined) return inside;
  const dash = stroke.dash_mm === undefined ? '' : ` stroke-dasharray="${stroke.dash_mm.map(number).join(' ')}"`;
  const cap = stroke.cap === undefined || stroke.cap === 'butt' ? '' : ` stroke-linecap="${stroke.cap}"`;
  return `${inside} stroke="${colour(stroke.tone)}" stroke-width="${number(stroke.width_mm)}"${dash}${cap}`;
}

function colour(tone: Tone): string {
  return `var(--${tone}, ${COLOURS[tone]})`;
}

function stepText(step: PathStep): string {
  switch (step[0]) {
    case 'A':
      return `A${number(step[1])} ${number(step[2])} 0 ${step[3]} ${step[4]} ${number(step[5])} ${number(step[6])}`;
    case 'Z':
      return 'Z';
    default:
      return `${step[0]}${step.slice(1).map((value) => number(value as number)).join(' ')}`;
  }
}

/** Hundredths of a millimetre. */
function number(value: number): string {
  return String(Math.round(value * 100) / 100);
}
