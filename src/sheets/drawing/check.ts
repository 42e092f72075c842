import { inkOf, type Group, type Point, type Shape, type Sheet } from './shapes.ts';
import { textBox, type Box } from './type.ts';

/** Something on a sheet that a reader would stumble over. */
export interface Finding {
  readonly fault: 'text over text' | 'line through text' | 'line through a symbol' | 'leads on one line' | 'outside the sheet' | 'lead out of square';
  readonly what: string;
  readonly x: number;
  readonly y: number;
}

/** Touching by less than this is not seen, mm. */
const SLACK = 0.12;
/** Nothing may come nearer to the edge of the paper, mm. */
const EDGE = 5;

type Segment = readonly [Point, Point];

/** Looks a sheet over: what overlaps, runs through something, or leaves the paper. Nothing found is an empty list. */
export function checkSheet(sheet: Sheet): Finding[] {
  return checkShapes(sheet.shapes, { left: EDGE, top: EDGE, right: sheet.width_mm - EDGE, bottom: sheet.height_mm - EDGE });
}

export function checkShapes(shapes: readonly Shape[], paper: Box): Finding[] {
  const ink = [...inkOf(shapes)];
  const texts = ink.filter((shape) => shape.shape === 'text' && shape.text !== '').map((shape) => ({ words: shape.shape === 'text' ? shape.text : '', box: shape.shape === 'text' ? textBox(shape) : NOWHERE }));
  const lines = ink.flatMap((shape) => segmentsOf(shape));
  const groups = [...groupsOf(shapes)];
  const conductors = groups.filter(({ classes }) => classes.includes('conductor')).map((group) => ({ name: group.data?.conductor ?? '', segments: group.shapes.filter(({ shape }) => shape !== 'circle').flatMap(segmentsOf) }));
  return [
    ...pairs(texts).flatMap(([a, b]): Finding[] => (meet(a.box, b.box) ? [finding('text over text', `${a.words} / ${b.words}`, a.box)] : [])),
    ...texts.flatMap(({ words, box }): Finding[] => [
      ...(lines.some((segment) => enters(segment, box)) ? [finding('line through text', words, box)] : []),
      ...(box.left < paper.left || box.top < paper.top || box.right > paper.right || box.bottom > paper.bottom ? [finding('outside the sheet', words, box)] : []),
    ]),
    ...throughSymbols(groups, conductors),
    ...pairs(conductors).flatMap(([a, b]) => onOneLine(a, b)),
    ...conductors.flatMap(({ name, segments }) => segments.flatMap(([p, q]): Finding[] => (Math.abs(p[0] - q[0]) > 1e-6 && Math.abs(p[1] - q[1]) > 1e-6 ? [{ fault: 'lead out of square', what: name, x: p[0], y: p[1] }] : []))),
    ...lines.flatMap(([p]): Finding[] => (p[0] < 0 || p[1] < 0 || p[0] > paper.right + EDGE || p[1] > paper.bottom + EDGE || !(p[0] + p[1] < Infinity) ? [{ fault: 'outside the sheet', what: 'a line', x: p[0], y: p[1] }] : [])),
  ];
}

/** How often leads cross each other. */
export function crossingsOf(shapes: readonly Shape[]): number {
  const conductors = [...groupsOf(shapes)].filter(({ classes }) => classes.includes('conductor')).map((group) => group.shapes.filter(({ shape }) => shape !== 'circle').flatMap(segmentsOf));
  return pairs(conductors).reduce((sum, [a, b]) => sum + a.reduce((count, one) => count + b.filter((other) => crosses(one, other)).length, 0), 0);
}

const NOWHERE: Box = { left: 0, top: 0, right: 0, bottom: 0 };

function throughSymbols(groups: readonly Group[], conductors: readonly { readonly name: string; readonly segments: readonly Segment[] }[]): Finding[] {
  return groups.filter(({ classes }) => classes.includes('part') || classes.includes('sign')).flatMap((group) => {
    const box = extentOf(group.shapes);
    return box === undefined ? [] : conductors.flatMap(({ name, segments }) => (segments.some((segment) => enters(segment, box)) ? [finding('line through a symbol', `${name} / ${group.data?.part ?? 'sign'}`, box)] : []));
  });
}

function onOneLine(a: { readonly name: string; readonly segments: readonly Segment[] }, b: typeof a): Finding[] {
  for (const [p, q] of a.segments) {
    for (const [r, s] of b.segments) {
      for (const along of [0, 1] as const) {
        const across = along === 0 ? 1 : 0;
        if (![q, r, s].every((point) => Math.abs(point[across] - p[across]) < SLACK)) continue;
        const overlap = Math.min(Math.max(p[along], q[along]), Math.max(r[along], s[along])) - Math.max(Math.min(p[along], q[along]), Math.min(r[along], s[along]));
        if (overlap > SLACK) return [{ fault: 'leads on one line', what: `${a.name} / ${b.name}`, x: p[0], y: p[1] }];
      }
    }
  }
  return [];
}

function finding(fault: Finding['fault'], what: string, box: Box): Finding {
  return { fault, what, x: box.left, y: box.top };
}

function* groupsOf(shapes: readonly Shape[]): Generator<Group> {
  for (const shape of shapes) {
    if (shape.shape !== 'group') continue;
    yield shape;
    yield* groupsOf(shape.shapes);
  }
}

/** Straight pieces of ink; a curve is followed by its ends and its box's sides. A highlight under a lead is no line. */
function segmentsOf(shape: Shape): Segment[] {
  switch (shape.shape) {
    case 'line':
      return [[[shape.x1, shape.y1], [shape.x2, shape.y2]]];
    case 'polyline': {
      if (shape.stroke?.tone === 'rule') return [];
      const points = shape.closed === true ? [...shape.points, shape.points[0]!] : shape.points;
      return points.slice(1).map((point, k) => [points[k]!, point]);
    }
    case 'rect':
      return sides({ left: shape.x, top: shape.y, right: shape.x + shape.width, bottom: shape.y + shape.height });
    case 'circle':
      return Array.from({ length: 8 }, (_, k) => [onCircle(shape, k), onCircle(shape, k + 1)]);
    case 'path': {
      const points = shape.steps.flatMap((step): Point[] => (step[0] === 'Z' ? [] : [[step.at(-2) as number, step.at(-1) as number]]));
      return points.slice(1).map((point, k) => [points[k]!, point]);
    }
    default:
      return [];
  }
}

function onCircle({ cx, cy, r }: { readonly cx: number; readonly cy: number; readonly r: number }, eighth: number): Point {
  return [cx + r * Math.cos((eighth * Math.PI) / 4), cy + r * Math.sin((eighth * Math.PI) / 4)];
}

function sides({ left, top, right, bottom }: Box): Segment[] {
  return [[[left, top], [right, top]], [[right, top], [right, bottom]], [[right, bottom], [left, bottom]], [[left, bottom], [left, top]]];
}

function extentOf(shapes: readonly Shape[]): Box | undefined {
  const boxes = [...inkOf(shapes)].flatMap((shape): Box[] => {
    if (shape.shape === 'text') return shape.text === '' ? [] : [textBox(shape)];
    return segmentsOf(shape).map(([p, q]) => ({ left: Math.min(p[0], q[0]), right: Math.max(p[0], q[0]), top: Math.min(p[1], q[1]), bottom: Math.max(p[1], q[1]) }));
  });
  if (boxes.length === 0) return undefined;
  return { left: Math.min(...boxes.map(({ left }) => left)), right: Math.max(...boxes.map(({ right }) => right)), top: Math.min(...boxes.map(({ top }) => top)), bottom: Math.max(...boxes.map(({ bottom }) => bottom)) };
}

function meet(a: Box, b: Box): boolean {
  return a.left < b.right - SLACK && b.left < a.right - SLACK && a.top < b.bottom - SLACK && b.top < a.bottom - SLACK;
}

/** Whether a segment enters a box: clipped against its four sides something remains (Liang and Barsky, 1984). */
function enters([[x1, y1], [x2, y2]]: Segment, box: Box): boolean {
  const [left, top, right, bottom] = [box.left + SLACK, box.top + SLACK, box.right - SLACK, box.bottom - SLACK];
  if (!(left < right && top < bottom)) return false;
  let [from, to] = [0, 1];
  for (const [step, room] of [[x1 - x2, x1 - left], [x2 - x1, right - x1], [y1 - y2, y1 - top], [y2 - y1, bottom - y1]] as const) {
    if (step === 0) {
      if (room < 0) return false;
    } else if (step < 0) from = Math.max(from, room / step);
    else to = Math.min(to, room / step);
  }
  return from < to;
}

function crosses([p, q]: Segment, [r, s]: Segment): boolean {
  const level = p[1] === q[1];
  if (level === (r[1] === s[1])) return false;
  const [[a, b], [c, d]] = level ? [[p, q], [r, s]] : [[r, s], [p, q]];
  return c[0] > Math.min(a[0], b[0]) + SLACK && c[0] < Math.max(a[0], b[0]) - SLACK && a[1] > Math.min(c[1], d[1]) + SLACK && a[1] < Math.max(c[1], d[1]) - SLACK;
}

function pairs<T>(list: readonly T[]): [T, T][] {
  return list.flatMap((one, k) => list.slice(k + 1).map((other): [T, T] => [one, other]));
}
