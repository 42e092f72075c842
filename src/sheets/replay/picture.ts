import { indexAt, valueAt, type Replay, type ReplayColumn, type ReplayQuantity } from '../../questions/replay/replay.ts';
import { axisOver, shortValue, type Axis } from '../report/axis.ts';
import { decimate, type Points } from '../report/decimate.ts';
import { escapeText } from '../report/escape.ts';
import type { Span } from './csv.ts';

/** Curves of one quantity over a span, one panel of a picture. */
export interface Panel {
  readonly quantity: ReplayQuantity;
  readonly unit: string;
  readonly curves: readonly ReplayColumn[];
}

/** Size of a picture of panels under each other, px. */
export interface PanelSize {
  readonly width: number;
  /** Of one panel, axis numbers included. */
  readonly height: number;
}

/** Where the curves of every panel begin and end, px from the left. */
export const PLOT = { left: 58, right: 12 } as const;
const TEXT = 12.5;
const FOOT = 20;
const HEAD = 26;
/** Curves in a panel that can still be told apart. */
const MOST_CURVES = 4;

const QUANTITY_ORDER: readonly ReplayQuantity[] = ['voltage', 'current', 'power', 'temperature', 'angular speed', 'speed'];

/** Curves put together by what they measure; those that no line could still be told from are left out. */
export function panelsOf(columns: readonly ReplayColumn[]): Panel[] {
  return QUANTITY_ORDER.flatMap((quantity): Panel[] => {
    const curves = columns.filter((column) => column.quantity === quantity).slice(0, MOST_CURVES);
    return curves.length === 0 ? [] : [{ quantity, unit: curves[0]!.unit, curves }];
  });
}

export interface PictureRequest {
  readonly replay: Pick<Replay, 'time_s' | 'marks'>;
  readonly panels: readonly Panel[];
  readonly span: Span;
  readonly size: PanelSize;
  /** For a file of its own: a title, names of the curves, the cursor with the values at it. */
  readonly alone?: { readonly title: string; readonly at_s: number; readonly at: string };
}

/** Panels of curves that share their time axis, as SVG without style or script; colours are custom properties with a value for paper. */
export function curvesSvg({ replay, panels, span, size, alone }: PictureRequest): string {
  const top = alone === undefined ? 0 : 30;
  const legend = (panel: Panel): number => (alone === undefined ? 0 : 16 * panel.curves.length);
  let y = top;
  const drawn = panels.map((panel, k) => {
    const head = y + legend(panel);
    const body = panelSvg(replay, panel, span, { ...size, top: head, last: k === panels.length - 1 });
    const key = alone === undefined ? '' : panel.curves.map((curve, c) => keyLine(replay, curve, c, y + 13 + 16 * c, alone.at_s)).join('');
    y = head + size.height;
    return `${key}${body}`;
  });
  const height = y + 4;
  const open = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${size.width} ${height}" width="${size.width}" height="${height}" font-family="'Atkinson Hyperlegible Next', 'DejaVu Sans', Arial, sans-serif" font-size="${TEXT}"`;
  if (alone === undefined) return `${open} aria-hidden="true">${drawn.join('')}</svg>`;
  const x = xOf(span, size, alone.at_s);
  const cursor = x < PLOT.left || x > size.width - PLOT.right ? '' : `<path d="M${px(x)} ${top}V${px(y - FOOT)}" stroke="#15202B" stroke-width="1.4" fill="none"/>`;
  return `${open} role="img"><title>${escapeText(alone.title)}</title><rect width="${size.width}" height="${height}" fill="#FFFFFF"/>${words(PLOT.left, 18, 'start', `${alone.title}. ${alone.at}`, 'ink', true)}${drawn.join('')}${cursor}</svg>\n`;
}

function keyLine(replay: Pick<Replay, 'time_s'>, curve: ReplayColumn, index: number, y: number, at_s: number): string {
  return `<path d="M${PLOT.left} ${y - 4}h30" ${STYLES[index]!} fill="none"/>${words(PLOT.left + 38, y, 'start', `${curve.name}: ${shortValue(valueAt(replay, curve, at_s), curve.unit)}`)}`;
}

/** Weight and dash tell curves apart, colour helps. */
export const STYLES: readonly string[] = [
  `stroke="${tone('ink')}" stroke-width="2.2"`,
  `stroke="${tone('live')}" stroke-width="2" stroke-dasharray="8 4"`,
  `stroke="${tone('second')}" stroke-width="2.6" stroke-dasharray="2 4"`,
  `stroke="${tone('warn')}" stroke-width="1.6" stroke-dasharray="10 3 2 3"`,
];

function tone(name: 'ink' | 'live' | 'second' | 'warn' | 'rule'): string {
  return `var(--${name}, ${{ ink: '#15202B', live: '#B94700', second: '#4B5661', warn: '#98103F', rule: '#D3CFC3' }[name]})`;
}

/** Where a moment lies, px from the left. */
export function xOf({ from_s, until_s }: Span, { width }: Pick<PanelSize, 'width'>, moment_s: number): number {
  return PLOT.left + ((moment_s - from_s) / (until_s - from_s)) * (width - PLOT.left - PLOT.right);
}

function panelSvg(replay: Pick<Replay, 'time_s' | 'marks'>, panel: Panel, span: Span, size: PanelSize & { readonly top: number; readonly last: boolean }): string {
  const lines = panel.curves.map((curve) => pointsWithin(replay, curve, span));
  const up = heightAxis(lines, panel.unit, size);
  const [ceiling, floor] = [size.top + HEAD, size.top + size.height - FOOT];
  const right = size.width - PLOT.right;
  const toY = (value: number): number => floor - ((value - up.low) / (up.high - up.low)) * (floor - ceiling);
  const across = axisOver(span.from_s, span.until_s, 's', Math.max(2, size.width / 130), false);
  const grid = up.ticks.map(({ at, text }) => `<path d="M${PLOT.left} ${px(toY(at))}H${right}" stroke="${tone('rule')}" fill="none"/>${words(PLOT.left - 7, toY(at) + 4.4, 'end', text, 'second')}`);
  const feet = size.last ? across.ticks.map(({ at, text }) => words(Math.min(xOf(span, size, at), size.width - 4), floor + 15, xOf(span, size, at) > right - 20 ? 'end' : 'middle', text, 'second')) : [];
  const steps = replay.marks.filter(({ sort, from_s }) => sort === 'step' && from_s > span.from_s && from_s < span.until_s).map(({ from_s }) => `<path d="M${px(xOf(span, size, from_s))} ${ceiling}V${floor}" stroke="${tone('rule')}" stroke-dasharray="2 3" fill="none"/>`);
  const curves = lines.map(({ x, y }, c) => `<path d="${x.map((time, k) => `${k === 0 ? 'M' : 'L'}${px(xOf(span, size, time))} ${px(toY(y[k]!))}`).join('')}" ${STYLES[c]!} fill="none" stroke-linejoin="round"/>`);
  return [
    ...grid, ...new Set(steps),
    `<path d="M${PLOT.left} ${ceiling}V${floor}H${right}" stroke="${tone('second')}" stroke-width="1.2" fill="none"/>`,
    ...feet,
    words(2, size.top + 12, 'start', `${panel.quantity === 'power' ? 'heat' : panel.quantity}, ${up.unit}`, 'second'),
    ...(size.last ? [words(2, floor + 15, 'start', 's', 'second')] : []),
    ...curves.reverse(),
  ].join('');
}

/** The curve's points of a span and its ends, about two for each pixel; peaks stay. */
function pointsWithin(replay: Pick<Replay, 'time_s'>, curve: ReplayColumn, { from_s, until_s }: Span): Points {
  const [first, last] = [indexAt(replay.time_s, from_s), indexAt(replay.time_s, until_s)];
  const x = [from_s, ...replay.time_s.subarray(first + 1, last + 1), until_s];
  const y = [valueAt(replay, curve, from_s), ...curve.values.subarray(first + 1, last + 1), valueAt(replay, curve, until_s)];
  return decimate({ x, y }, 2000);
}

function heightAxis(lines: readonly Points[], unit: string, { height }: PanelSize): Axis {
  let low = Infinity;
  let high = -Infinity;
  for (const { y } of lines)
    for (const value of y) {
      low = Math.min(low, value);
      high = Math.max(high, value);
    }
  // Below a hundredth of a unit there is only rounding to see.
  const span = Math.max(high - low, unit === '°C' ? 1 : 0.01);
  // A temperature has no zero to be judged from.
  const from = unit !== '°C' && low >= 0 && low < 0.7 * high ? 0 : high - low < span ? low - span / 2 : low;
  return axisOver(Math.min(from, high), Math.max(high, from + span), unit, Math.max(2, height / 34), true);
}

function words(x: number, y: number, anchor: 'start' | 'middle' | 'end', text: string, colour: 'ink' | 'second' = 'ink', bold = false): string {
  return `<text x="${px(x)}" y="${px(y)}" text-anchor="${anchor}" fill="${tone(colour)}"${bold ? ' font-weight="700"' : ''}>${escapeText(text)}</text>`;
}

function px(value: number): string {
  return String(Math.round(value * 10) / 10);
}
