import { positionsOf } from '../../../machine/circuit/chains.ts';
import type { Part } from '../../../machine/parts.ts';
import { formatValue } from '../../../quantity/format.ts';
import { BLADE, box, dot, line, path, polyline, ring } from '../ink.ts';
import type { Shape, Stroke } from '../shapes.ts';
import { fitted, textWidth_mm, TYPE } from '../type.ts';
import { inside, THROUGH, type Glyph, type Look } from './glyph.ts';
import { resistorBody } from './in-line.ts';

type Isolator = Extract<Part, { kind: 'isolator' }>;
type Button = Extract<Part, { kind: 'button' }>;
type Contactor = Extract<Part, { kind: 'contactor' }>;

const LINKAGE: Stroke = { width_mm: 0.25, tone: 'ink', dash_mm: [1, 0.8] };
const POLE_X = 3;
const CONTACT_X = 12;

/** A switch with two positions, as a switch-disconnector; one with more, as a selector with what each leads through. */
export function isolator(part: Isolator, look: Look): Glyph {
  const positions = positionsOf(part);
  const chosen = look.positions.get(part.id) ?? positions.find(([, path]) => path.path === 'open')?.[0];
  const closed = positions.some(([name, path]) => name === chosen && path.path !== 'open') || chosen === 'closed';
  if (positions.length <= 2 && positions.every(([, path]) => path.path !== 'through')) return disconnector(closed);
  return selector(part, look, closed && chosen === 'closed' ? positions.find(([, path]) => path.path === 'direct')?.[0] : chosen);
}

function disconnector(closed: boolean): Glyph {
  return {
    width: 15, above: 4.4, below: 1.8, pins: THROUGH, words: 'over and under',
    shapes: [
      line(0, 0, POLE_X, 0), line(POLE_X, 0, closed ? 10.4 : 10, closed ? -0.75 : -4, BLADE),
      ring(11.2, 0, 0.8), line(12, -1.6, 12, 1.6), line(12, 0, 15, 0),
    ],
  };
}

/** Room under a resistor for its name and value. */
const RESISTOR_ROOM = 4.4;

function selector(part: Isolator, look: Look, chosen: string | undefined): Glyph {
  const positions = positionsOf(part);
  const names = positions.map(([name]) => fitted(name, 16, TYPE.fact, 400));
  const bodyX = CONTACT_X + 3 + Math.max(...names.map((name) => textWidth_mm(name, TYPE.fact, 700)), 6);
  const anyResistor = positions.some(([, path]) => path.path === 'through');
  const labels = positions.map(([, path]) => (path.path === 'through' ? resistorWords(path.part, look) : ''));
  const commonX = bodyX + (anyResistor ? Math.max(9, ...labels.map((label) => textWidth_mm(label, TYPE.fact, 400) + 1.5)) : 1.5);
  const heights: number[] = [];
  let y = 0;
  positions.forEach((_, k) => {
    if (k > 0) y += 5.2 + (positions[k - 1]?.[1].path === 'through' ? RESISTOR_ROOM - 1.2 : 0);
    heights.push(y);
  });
  const middle = (heights[0]! + heights.at(-1)!) / 2;
  const ys = heights.map((height) => height - middle);
  const shapes: Shape[] = [line(0, 0, POLE_X - 0.8, 0), ring(POLE_X, 0, 0.8)];
  positions.forEach(([name, path], k) => {
    const at = ys[k]!;
    const on = name === chosen;
    shapes.push(ring(CONTACT_X, at, 0.8));
    shapes.push({ shape: 'text', x: CONTACT_X + 1.6, y: at - 0.9, text: names[k]!, anchor: 'start', size_mm: TYPE.fact, weight: on ? 700 : 400, tone: 'ink' });
    if (path.path === 'direct') shapes.push(line(CONTACT_X + 0.8, at, commonX, at));
    if (path.path === 'through') {
      shapes.push({
        shape: 'group', classes: ['part'], data: { part: path.part },
        shapes: [line(CONTACT_X + 0.8, at, bodyX, at), resistorBody(bodyX, at), line(bodyX + 7, at, commonX, at), inside(bodyX - 0.2, at + 1.4 + 2.5, labels[k]!, TYPE.fact, 'start', 30)],
      });
    }
    if (on) shapes.push(line(POLE_X + 0.75, (0.75 * at) / 9, CONTACT_X - 0.75, at - (0.75 * at) / 9, BLADE));
  });
  const closedYs = ys.filter((_, k) => positions[k]?.[1].path !== 'open');
  const [top, bottom] = [Math.min(0, ...closedYs), Math.max(0, ...closedYs)];
  if (bottom > top) shapes.push(line(commonX, top, commonX, bottom));
  for (const at of closedYs) if (at > top && at < bottom && at !== 0) shapes.push(dot(commonX, at, 0.6));
  shapes.push(dot(commonX, 0, 0.6), line(commonX, 0, commonX + 2.5, 0));
  const lastResistor = positions.at(-1)?.[1].path === 'through';
  return { width: commonX + 2.5, above: -ys[0]! + 3.2, below: ys.at(-1)! + (lastResistor ? RESISTOR_ROOM : 1.2), pins: THROUGH, shapes, words: 'over and under' };
}


function resistorWords(id: string, look: Look): string {
  const part = look.parts.get(id);
  const value = part?.kind === 'resistor' ? ` ${formatValue(part.values.resistance.value, 'resistance')}` : '';
  return fitted(look.ids(id) + value, 26, TYPE.fact, 400);
}

/** Make contact with a push actuator. */
export function button(part: Button, look: Look): Glyph {
  const pressed = (look.positions.get(part.id) ?? 'open') !== 'open';
  const tip = pressed ? -0.8 : -3;
  const middle = tip / 2;
  return {
    width: 14, above: 6.6, below: 1.4, pins: THROUGH, words: 'over and under',
    shapes: [
      line(0, 0, 3, 0), line(3, 0, 10.6, tip, BLADE), line(11, 0, 14, 0), pressed ? line(10.6, -0.9, 11.6, -0.9) : line(11, 0, 11, 0),
      line(6.8, middle - 0.5, 6.8, -5.2, LINKAGE), polyline([[4.9, -4.6], [4.9, -5.6], [8.7, -5.6], [8.7, -4.6]]),
    ].filter((shape) => !(shape.shape === 'line' && shape.x1 === shape.x2 && shape.y1 === shape.y2)),
  };
}

/** Make contact with the sign of a contactor, its coil over it, and under it the relay and resistor of its soft start. */
export function contactor(part: Contactor, look: Look): Glyph {
  const position = look.positions.get(part.id) ?? 'open';
  const main = position === 'ON' || position === 'closed';
  const soft = position === 'SOFT';
  const start = part.values.softStart;
  const width = start === undefined ? 16 : 27;
  const to = width - 5;
  const shapes: Shape[] = [
    line(0, 0, 4, 0), ...contact(4, 0, main), line(12, 0, width, 0),
    line(7.6, main ? -0.6 : -1.9, 7.6, -5.4, LINKAGE), box(4.6, -8.4, 6, 3),
  ];
  if (start === undefined) return { width, above: 8.7, below: 1.8, pins: THROUGH, shapes, words: 'over and under' };
  shapes.push(dot(2, 0, 0.6), polyline([[2, 0], [2, 5.5], [4, 5.5]]), ...contact(4, 5.5, soft), line(12, 5.5, 13.5, 5.5), dot(to + 2.5, 0, 0.6), {
    shape: 'group', classes: ['part'], data: { part: start },
    shapes: [resistorBody(13.5, 5.5), polyline([[20.5, 5.5], [to + 2.5, 5.5], [to + 2.5, 0]]), inside(4, 10.4, resistorWords(start, look), TYPE.fact, 'start', 26)],
  });
  return { width, above: 8.7, below: 11.2, pins: THROUGH, shapes, words: 'over and under' };
}

function contact(x: number, y: number, closed: boolean): Shape[] {
  return [
    line(x, y, x + 7.4, closed ? y - 0.5 : y - 3.4, BLADE),
    path([['M', x + 8, y], ['A', 0.9, 0.9, 0, 0, x + 6.6, y]]), line(x + 6.6, y, x + 8, y),
  ];
}
