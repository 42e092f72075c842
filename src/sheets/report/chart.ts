import type { Curve, Threshold } from '../../questions/answer.ts';
import { shortValue } from './axis.ts';
import { decimate, finiteRuns, type Points } from './decimate.ts';
import { escapeText } from './escape.ts';
import { cutTo, freeSpot, spotAt, textWidth, type Box, type Spot } from './labels.ts';
import { drawable, scaleOf, type Frame, type Plot, type Scale } from './scale.ts';

const WIDE: Frame = { width: 720, height: 320, text: 13.5, gutter: 54, ticksAcross: 8, ticksUp: 5, points: 2000 };
/** Its own drawing, because a wide one shrunk to a phone cannot be read. */
const NARROW: Frame = { width: 350, height: 280, text: 13, gutter: 46, ticksAcross: 4, ticksUp: 5, points: 800 };

interface Place {
  readonly x: number;
  readonly y: number;
}

/** Height of the vertical axis's name above the plot, in text sizes. */
const NAME_ABOVE = 0.9;

/** What the labels must keep clear of. */
interface Surface {
  readonly scale: Scale;
  readonly frame: Frame;
  readonly taken: Box[];
  readonly ink: Place[];
}

/** Charts that were drawn: one stands on several papers, and each in several formats. */
const drawn = new WeakMap<Plot, string>();

/** A line chart in two sizes, of which the page's style shows the one that fits, with a description for those who cannot see it. */
export function chart(whole: Plot): string {
  const known = drawn.get(whole);
  if (known !== undefined) return known;
  const plot = drawable(whole);
  const label = escapeText(describe(plot));
  const made = `${drawing(plot, WIDE, 'chart wide', label)}\n${drawing(plot, NARROW, 'chart narrow', label)}`;
  drawn.set(whole, made);
  return made;
}

/** The chart in words: what it shows, where each curve starts, peaks and ends, each line and mark. */
export function describe(plot: Plot): string {
  const curves = plot.curves.map((curve) => {
    const ys = curve.y.filter(Number.isFinite);
    const [first, last] = [ys[0], ys.at(-1)];
    if (first === undefined || last === undefined) return `${curve.name}: no points.`;
    const [low, high] = ys.reduce(([least, most], y) => [Math.min(least, y), Math.max(most, y)], [first, first] as [number, number]);
    const show = (value: number): string => shortValue(value, plot.y.unit);
    return `${curve.name}: from ${show(first)} to ${show(last)}, between ${show(low)} and ${show(high)}.`;
  });
  const thresholds = finiteThresholds(plot).map((threshold) => `Line: ${thresholdName(threshold, plot)}.`);
  const marks = finiteMarks(plot).map((mark) => `Mark: ${mark.name} at ${shortValue(mark.x, plot.x.unit)}, ${shortValue(mark.y, plot.y.unit)}.`);
  return [`${plot.title}. Chart of ${plot.y.name} over ${plot.x.name}.`, ...curves, ...thresholds, ...marks].join(' ');
}

/** Size of one drawing of a chart and its scale, for what is put over it. */
export interface ChartScale {
  readonly frame: Frame;
  readonly scale: Scale;
}

export function chartScales(whole: Plot): Readonly<Record<'wide' | 'narrow', ChartScale>> {
  const plot = drawable(whole);
  return { wide: { frame: WIDE, scale: laid(plot, WIDE).scale }, narrow: { frame: NARROW, scale: laid(plot, NARROW).scale } };
}

function laid(plot: Plot, frame: Frame): { readonly legend: ReturnType<typeof legendOf>; readonly scale: Scale } {
  // One curve needs no key: the title says what it is.
  const legend = legendOf(plot.curves.length > 1 ? plot.curves : [], frame);
  return { legend, scale: scaleOf(plot, frame, legend.height + 2.6 * frame.text) };
}

function drawing(plot: Plot, frame: Frame, classes: string, label: string): string {
  const { legend, scale } = laid(plot, frame);
  // Circles before any name: none may lie on the circle of another mark.
  const circles = finiteMarks(plot).map((mark) => boxAround(scale.toX(mark.x), scale.toY(mark.y), 7));
  const thresholds = finiteThresholds(plot);
  const surface: Surface = { scale, frame, taken: [...circles, axisNameBox(plot, scale, frame)], ink: thresholds.flatMap((threshold) => alongLine(levelOf(threshold, scale))) };
  const lines = plot.curves.map((curve, index) => curveOf(curve, index, surface));
  return [
    `<svg class="${classes}" viewBox="0 0 ${frame.width} ${frame.height}" role="img" aria-label="${label}" font-size="${frame.text}">`,
    legend.svg,
    axesOf(plot, surface),
    ...lines,
    // Labels last and together: each keeps clear of all the lines and of the labels before it.
    ...thresholds.map((threshold) => thresholdOf(threshold, plot, surface)),
    ...marksOf(plot, surface),
    '</svg>',
  ].join('\n');
}

function legendOf(curves: readonly Curve[], frame: Frame): { readonly svg: string; readonly height: number } {
  const sample = 34;
  const row = frame.text * 1.6;
  let x = 2;
  let y = row * 0.75;
  const entries = curves.map((curve, index) => {
    const name = cutTo(curve.name, frame.text, frame.width - sample - 12);
    const width = sample + 6 + textWidth(name, frame.text);
    if (x > 2 && x + width > frame.width) {
      x = 2;
      y += row;
    }
    const level = y - frame.text * 0.35;
    const entry = `<path class="${styleOf(curve, index)}" d="M${px(x)} ${px(level)}H${px(x + sample)}"/>${tagOf(index, x + sample / 2, level)}`
      + `<text x="${px(x + sample + 6)}" y="${px(y)}">${escapeText(name)}</text>`;
    x += width + 18;
    return entry;
  });
  return { svg: entries.join('\n'), height: curves.length === 0 ? 0 : y };
}

function axesOf(plot: Plot, { scale, frame }: Surface): string {
  const { area, across, up, toX, toY } = scale;
  const grid = up.ticks.map(({ at }) => `<path class="grid" d="M${px(area.left)} ${px(toY(at))}H${px(area.right)}"/>`);
  const levels = up.ticks.map(({ at, text }) => textAt(area.left - 7, toY(at) + frame.text * 0.35, 'end', text, 'tick'));
  const shown = across.ticks.filter(({ at }) => toX(at) >= area.left - 0.5 && toX(at) <= area.right + 0.5);
  const feet = shown.map(({ at, text }) => `<path class="axis" d="M${px(toX(at))} ${px(area.bottom)}v5"/>`
    + footAt(toX(at), area.bottom + 5 + frame.text, text, frame));
  const width = frame.width - 16;
  return [
    ...grid,
    `<path class="axis" d="M${px(area.left)} ${px(area.top)}V${px(area.bottom)}H${px(area.right)}"/>`,
    ...levels,
    ...feet,
    textAt(2, area.top - frame.text * NAME_ABOVE, 'start', cutTo(axisName(plot.y.name, up.unit), frame.text, width), 'name'),
    textAt(area.right, frame.height - 4, 'end', cutTo(axisName(plot.x.name, across.unit), frame.text, width), 'name'),
  ].join('\n');
}

/** A number below its tick; one that the edge would cut ends there. */
function footAt(x: number, y: number, text: string, frame: Frame): string {
  const over = x + textWidth(text, frame.text) / 2 > frame.width;
  return over ? textAt(frame.width - 2, y, 'end', text, 'tick') : textAt(x, y, 'middle', text, 'tick');
}

function curveOf(curve: Curve, index: number, { scale, frame, ink }: Surface): string {
  // Thinned where it is drawn, so that a logarithmic axis keeps its small values.
  const runs = finiteRuns(curve).map((run) => decimate({ x: run.x.map(scale.toX), y: run.y.map(scale.toY) }, frame.points));
  const paths = runs.map((run) => run.x.map((x, at) => ({ x, y: run.y[at] ?? 0 })));
  for (const path of paths) ink.push(...alongLine(path));
  const d = paths.map((path) => path.map(({ x, y }, at) => `${at === 0 ? 'M' : 'L'}${px(x)} ${px(y)}`).join('') + (path.length === 1 ? 'h0' : '')).join('');
  return `<path class="${styleOf(curve, index)}" d="${d}"/>${runs.map((run) => tagsOf(run, index, scale)).join('')}`;
}

/** A few shapes along a curve after the first, so that curves are told apart without colour. */
function tagsOf(run: Points, index: number, { area }: Scale): string {
  if (index === 0 || run.x.length < 2) return '';
  // Each curve has its tags at other places, so that they show where curves run on top of each other.
  const shares = [0.22, 0.52, 0.82].map((share) => share + 0.05 * (index % 4));
  const wanted = shares.map((share) => area.left + share * (area.right - area.left));
  return wanted.map((x) => {
    const next = run.x.findIndex((value) => value >= x);
    if (next < 1) return '';
    const [x0, x1, y0, y1] = [run.x[next - 1] ?? 0, run.x[next] ?? 0, run.y[next - 1] ?? 0, run.y[next] ?? 0];
    const y = x1 > x0 ? y0 + ((y1 - y0) * (x - x0)) / (x1 - x0) : y1;
    return x0 <= x ? tagOf(index, x, y) : '';
  }).join('');
}

function thresholdOf(threshold: Threshold, plot: Plot, surface: Surface): string {
  const { scale, frame, taken, ink } = surface;
  const { area } = scale;
  const upright = threshold.axis === 'x';
  const axis = upright ? scale.across : scale.up;
  const beyond = threshold.at > axis.high || threshold.at < axis.low;
  const name = cutTo(thresholdName(threshold, plot) + (beyond ? ', beyond the chart' : ''), frame.text, area.right - area.left - 12);
  const [from, to] = levelOf(threshold, scale);
  const at = upright ? from.x : from.y;
  const spots = upright ? besideUpright(name, at, surface) : besideLevel(name, at, surface);
  const drawn = beyond ? '' : `<path class="threshold" d="M${px(from.x)} ${px(from.y)}L${px(to.x)} ${px(to.y)}"/>`;
  const near = freeSpot(spots, { ...area, top: area.top - 2, right: area.right + 2 }, taken, ink);
  const spot = near ?? nearestFree(name, at, upright, surface);
  taken.push(spot.box);
  // A name that found no room beside its line is tied to it.
  const leader = near === undefined && !beyond ? leaderOf(spot, upright ? { x: at, y: spot.y } : { x: (spot.box.left + spot.box.right) / 2, y: at }) : '';
  return drawn + leader + textAt(spot.x, spot.y, spot.anchor, name, 'threshold-name');
}

/** Ends of a threshold's line; one beyond the chart lies on its edge. */
function levelOf({ axis, at }: Threshold, { across, up, area, toX, toY }: Scale): readonly [Place, Place] {
  if (axis === 'x') {
    const x = toX(Math.min(across.high, Math.max(across.low, at)));
    return [{ x, y: area.top }, { x, y: area.bottom }];
  }
  const y = toY(Math.min(up.high, Math.max(up.low, at)));
  return [{ x: area.left, y }, { x: area.right, y }];
}

/** From a label to what it names, by the shortest way. */
function leaderOf({ box }: Spot, { x, y }: Place): string {
  const startX = Math.min(box.right + 2, Math.max(box.left - 2, x));
  const startY = Math.min(box.bottom, Math.max(box.top + 2, y));
  return `<path class="leader" d="M${px(startX)} ${px(startY)}L${px(x)} ${px(y)}"/>`;
}

function axisNameBox(plot: Plot, { area, up }: Scale, frame: Frame): Box {
  return spotAt(axisName(plot.y.name, up.unit), frame.text, 2, area.top - frame.text * NAME_ABOVE, 'start').box;
}

function besideLevel(name: string, y: number, { scale: { area }, frame }: Surface): Spot[] {
  const above = y - frame.text * 0.45;
  const below = y + frame.text * 1.15;
  return [above, below].flatMap((level) => [
    spotAt(name, frame.text, area.right - 4, level, 'end'),
    spotAt(name, frame.text, area.left + 6, level, 'start'),
    spotAt(name, frame.text, (area.left + area.right) / 2, level, 'middle'),
  ]);
}

function besideUpright(name: string, x: number, { scale: { area }, frame }: Surface): Spot[] {
  const rows = [0, 1, 2, 3, 4, 5, 6, 7].map((row) => area.top + frame.text * (1.1 + 1.4 * row));
  return rows.flatMap((y) => [spotAt(name, frame.text, x + 6, y, 'start'), spotAt(name, frame.text, x - 6, y, 'end')]);
}

/** When lines crowd: the nearest height at which the name touches no other, even if it crosses a curve. */
function nearestFree(name: string, at: number, upright: boolean, { scale: { area }, frame, taken }: Surface): Spot {
  const anchor: [number, Spot['anchor']] = upright && at < (area.left + area.right) / 2 ? [area.left + 6, 'start'] : [area.right - 4, 'end'];
  const from = upright ? area.top + frame.text * 1.1 : Math.min(area.bottom - 4, Math.max(area.top + frame.text, at - 4));
  const steps = Array.from({ length: 40 }, (_, index) => (index % 2 === 0 ? 1 : -1) * Math.ceil(index / 2) * frame.text * 0.7);
  const spots = steps.map((step) => spotAt(name, frame.text, anchor[0], from + step, anchor[1]));
  return freeSpot(spots, area, taken, []) ?? spotAt(name, frame.text, anchor[0], from, anchor[1]);
}

function marksOf(plot: Plot, surface: Surface): string[] {
  const { scale: { area, toX, toY }, frame, taken, ink } = surface;
  return finiteMarks(plot).map((mark) => {
    const [x, y] = [toX(mark.x), toY(mark.y)];
    const name = cutTo(mark.name, frame.text, (area.right - area.left) * 0.7);
    const beside = [spotAt(name, frame.text, x + 11, y + frame.text * 0.35, 'start'), spotAt(name, frame.text, x - 11, y + frame.text * 0.35, 'end')];
    const around = [10, 22, 38, 56].flatMap((away) => [
      spotAt(name, frame.text, x + away, y - away + 4, 'start'), spotAt(name, frame.text, x + away, y + away + 6, 'start'),
      spotAt(name, frame.text, x - away, y - away + 4, 'end'), spotAt(name, frame.text, x - away, y + away + 6, 'end'),
      spotAt(name, frame.text, x, y - away - 4, 'middle'), spotAt(name, frame.text, x, y + away + 12, 'middle'),
    ]);
    const spot = freeSpot([...around.slice(0, 4), ...beside, ...around.slice(4)], { ...area, top: area.top - 12 }, taken, ink) ?? nearestFree(name, y, false, surface);
    taken.push(spot.box);
    return `${leaderOf(spot, { x, y })}<circle class="mark-point" cx="${px(x)}" cy="${px(y)}" r="5"/>${textAt(spot.x, spot.y, spot.anchor, name, 'mark-name')}`;
  });
}

function finiteThresholds(plot: Plot): Plot['thresholds'] {
  return plot.thresholds.filter(({ at }) => Number.isFinite(at));
}

function finiteMarks(plot: Plot): Plot['marks'] {
  return plot.marks.filter((mark) => Number.isFinite(mark.x) && Number.isFinite(mark.y));
}

function thresholdName({ name, at, axis }: Threshold, plot: Plot): string {
  const value = shortValue(at, axis === 'x' ? plot.x.unit : plot.y.unit);
  return name.includes(value) ? name : `${name}, ${value}`;
}

function axisName(name: string, unit: string): string {
  return unit === '' ? name : `${name}, ${unit}`;
}

function styleOf(curve: Curve, index: number): string {
  return `curve c${index % 4}${curve.dashed === true ? ' dashed' : ''}`;
}

function tagOf(index: number, x: number, y: number): string {
  const shapes = ['', 'm-4.5-4.5h9v9h-9z', 'm0-6l5.5 10h-11z', 'm0-6l6 6l-6 6l-6-6z'];
  const shape = shapes[index % 4] ?? '';
  return shape === '' ? '' : `<path class="tag c${index % 4}" d="M${px(x)} ${px(y)}${shape}"/>`;
}

/** The cells of a grid that a line passes through: a line that swings to and fro counts once in each. */
function alongLine(path: readonly Place[]): Place[] {
  const cell = 4;
  const cells = new Map<string, Place>();
  path.forEach((to, index) => {
    const from = path[index - 1] ?? to;
    const steps = Math.max(1, Math.ceil(Math.hypot(to.x - from.x, to.y - from.y) / cell));
    for (let step = 1; step <= steps; step += 1) {
      const share = step / steps;
      const x = Math.round((from.x + (to.x - from.x) * share) / cell) * cell;
      const y = Math.round((from.y + (to.y - from.y) * share) / cell) * cell;
      cells.set(`${x} ${y}`, { x, y });
    }
  });
  return [...cells.values()];
}

function boxAround(x: number, y: number, radius: number): Box {
  return { left: x - radius, top: y - radius, right: x + radius, bottom: y + radius };
}

function textAt(x: number, y: number, anchor: Spot['anchor'], text: string, classes: string): string {
  return `<text class="${classes}" x="${px(x)}" y="${px(y)}" text-anchor="${anchor}">${escapeText(text)}</text>`;
}

function px(value: number): string {
  return String(Math.round(value * 10) / 10);
}
