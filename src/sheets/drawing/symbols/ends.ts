import { arrow, box, dot, line, PLATE, polygon, polyline, ring } from '../ink.ts';
import type { Shape } from '../shapes.ts';
import { text } from '../type.ts';
import { inside, type Glyph, type Look, type Pin } from './glyph.ts';
import { resistorBody } from './in-line.ts';

/** Depth of the − side under the axis, and of the sign under it. */
const RAIL = 6.4;
const SIGN = 8.2;

/** The sign for "joined to the common negative bar": a lead that ends on a short heavy bar. */
export function barSign(x: number, y: number, bar = y + 1.4): Shape[] {
  return [line(x, y, x, bar), { ...line(x - 2, bar, x + 2, bar), stroke: { width_mm: 0.9, tone: 'ink' } }];
}

const PLUS_IN: Pin = { name: '+', side: 'west', at: 0 };

/** Where a load's − comes out of its symbol, and what is drawn there. */
function minus(look: Look, x: number, from: number): { readonly pins: readonly Pin[]; readonly shapes: readonly Shape[] } {
  const pins: Pin[] = look.led ? [{ name: '-', side: 'south', at: x }] : [];
  const signX = look.led ? x + 4.5 : x;
  const shapes: Shape[] = [];
  if (look.led) shapes.push(line(x, from, x, SIGN + 0.6));
  if (look.barred) shapes.push(...(look.led ? [dot(x, RAIL, 0.6), line(x, RAIL, signX, RAIL)] : [line(x, from, x, RAIL)]), ...barSign(signX, RAIL, SIGN - 0.6));
  return { pins, shapes };
}

function frame(x: number, width: number): Shape {
  return box(x, -4, width, 9);
}

function framed(look: Look, contents: (x: number) => readonly Shape[], width = 11, out = false): Glyph {
  const side = minus(look, 4.5, 5);
  const pins: Pin[] = [PLUS_IN, ...side.pins, ...(out ? [{ name: 'out', side: 'east', at: 0 } as const] : [])];
  return {
    width: width + 2 + (out ? 2 : 0), above: 4.3, below: SIGN + 0.6, pins,
    shapes: [line(0, 0, 2, 0), frame(2, width), ...contents(2), ...(out ? [line(width + 2, 0, width + 4, 0)] : []), ...side.shapes],
    words: out ? 'over and under' : 'right', wordsAt: width + 3.6,
  };
}

/** The sign for direct current, about a centre. */
function direct(x: number, y: number): Shape[] {
  return [line(x - 1.6, y - 0.5, x + 1.6, y - 0.5), line(x - 1.6, y + 0.5, x - 0.8, y + 0.5), line(x - 0.4, y + 0.5, x + 0.4, y + 0.5), line(x + 0.8, y + 0.5, x + 1.6, y + 0.5)];
}

function converting(x: number, width: number): Shape[] {
  return [line(x, 5, x + width, -4), ...direct(x + 3.2, -2), ...direct(x + width - 3.2, 3.2)];
}

/** Two plates, the + one open, across a vertical lead. */
function bank(x: number, top: number): Shape[] {
  return [{ shape: 'rect', x: x - 2.2, y: top, width: 4.4, height: 0.9, stroke: { width_mm: 0.3, tone: 'ink' }, fill: 'paper' }, { shape: 'rect', x: x - 2.2, y: top + 1.6, width: 4.4, height: 0.9, fill: 'ink' }];
}

/** A converter with its input capacitors; its motor when it has one of its own. */
export function controller(look: Look): Glyph {
  const [capX, left, width] = [4, 9, 12];
  const side = minus(look, 15, RAIL);
  const shapes: Shape[] = [
    line(0, 0, left, 0), dot(capX, 0, 0.6), line(capX, 0, capX, 2.2), ...bank(capX, 2.2), polyline([[capX, 4.7], [capX, RAIL], [15, RAIL], [15, 5]]),
    frame(left, width), ...converting(left, width), ...side.shapes,
  ];
  const right = left + width;
  if (look.motor !== undefined) {
    shapes.push({ shape: 'group', classes: ['part'], data: { part: look.motor.id }, title: look.motor.id, shapes: [line(right, -1.3, right + 3.3, -1.3), line(right, 1.3, right + 3.3, 1.3), ...motorRing(right + 6.4)] });
  }
  const end = right + (look.motor === undefined ? 0 : 9.9);
  return { width: end, above: 4.3, below: SIGN + 0.6, pins: [PLUS_IN, ...side.pins], shapes, words: 'right', wordsAt: end + 1.6 };
}

function motorRing(x: number): Shape[] {
  return [ring(x, 0, 3.4), text(x, 1.15, 'M', { size: 3.2, weight: 700, anchor: 'middle' })];
}

export function motor(): Glyph {
  return { width: 8, above: 3.8, below: 3.8, pins: [], shapes: motorRing(3.8), words: 'right', wordsAt: 9 };
}

export function servo(look: Look): Glyph {
  return framed(look, (x) => [ring(x + 5.5, 0.5, 3.4), text(x + 5.5, 1.65, 'M', { size: 3.2, weight: 700, anchor: 'middle' })]);
}

export function converter(look: Look): Glyph {
  return framed(look, (x) => converting(x, 12), 12, true);
}

/** A frame with the direct current that it holds. */
export function regulator(look: Look): Glyph {
  return framed(look, (x) => [...direct(x + 6, -1), text(x + 6, 3.6, 'const', { size: 2.2, anchor: 'middle' })], 12, true);
}

/** A frame with an aerial. */
export function receiver(look: Look): Glyph {
  return framed(look, (x) => [line(x + 5.5, 4, x + 5.5, -3), polyline([[x + 2.7, -3], [x + 5.5, 0.2], [x + 8.3, -3]])]);
}

export function plainLoad(look: Look): Glyph {
  return framed(look, (x) => [line(x + 2.8, 0.5, x + 7.2, 0.5), arrow(x + 8.6, 0.5, 0, 1.8)]);
}

/** Something between a place and the return, lying in its lead: words stand over it to the right. */
function lying(look: Look, shapes: readonly Shape[], end: number): Glyph {
  const side = minus(look, end, RAIL - 2);
  return {
    width: end + (look.led && look.barred ? 6.8 : 2.3), above: 3.6, below: SIGN + 0.6, pins: [PLUS_IN, ...side.pins],
    shapes: [...shapes, polyline([[end - 2, 0], [end, 0], [end, RAIL - 2]]), ...side.shapes], words: 'right',
    wordsAt: end + (look.led && look.barred ? 7.4 : 3),
  };
}

export function bleed(look: Look): Glyph {
  return lying(look, [line(0, 0, 2, 0), resistorBody(2, 0), line(9, 0, 11, 0)], 12);
}

/** A switch that closes above a voltage, and the resistor that it feeds. */
export function brakeResistor(look: Look): Glyph {
  return lying(look, [line(0, 0, 2, 0), box(2, -2.4, 7, 4.8), inside(5.5, 0.9, 'U >', 2.5), line(9, 0, 11, 0), resistorBody(11, 0), line(18, 0, 20, 0)], 21);
}

/** A light-emitting diode behind its resistor. */
export function lamp(look: Look): Glyph {
  return lying(look, [
    line(0, 0, 2, 0), resistorBody(2, 0), line(9, 0, 11.5, 0),
    polygon([[11.5, -1.7], [14.4, 0], [11.5, 1.7]], 'paper'), line(14.4, -1.7, 14.4, 1.7), line(14.4, 0, 17, 0),
    line(12.6, -2, 13.7, -3.1), arrow(14, -3.4, -45, 0.9), line(14.2, -1.6, 15.3, -2.7), arrow(15.6, -3, -45, 0.9),
  ], 18);
}

/** A polarised bank, from its place down to the return. */
export function capacitors(look: Look): Glyph {
  const side = minus(look, 5, 4.9);
  return {
    width: 5 + (look.led && look.barred ? 6.8 : 2.4), above: 1.2, below: SIGN + 0.6, pins: [PLUS_IN, ...side.pins],
    shapes: [polyline([[0, 0], [5, 0], [5, 2.4]]), ...bank(5, 2.4), line(1.6, 2.9, 2.6, 2.9), line(2.1, 2.4, 2.1, 3.4), ...side.shapes],
    words: 'right', wordsAt: 5 + (look.led && look.barred ? 7.4 : 3.2),
  };
}

/** A pack: cells as long and short plates; + leads away at the top, − at the bottom or to the bar. */
export function pack(look: Look, lowerIn: boolean): Glyph {
  const x = 5;
  const end = 15;
  const shapes: Shape[] = [
    line(x, 0, 27, 0), line(x, 0, x, 4.5), line(x - 4, 4.5, x + 4, 4.5), { ...line(x - 2, 6.2, x + 2, 6.2), stroke: PLATE },
    { ...line(x, 6.2, x, 10.3), stroke: { width_mm: 0.35, tone: 'ink', dash_mm: [1, 0.8] } },
    line(x - 4, 10.3, x + 4, 10.3), { ...line(x - 2, 12, x + 2, 12), stroke: PLATE }, line(x, 12, x, end),
    line(x + 1.4, 2.6, x + 2.8, 2.6), line(x + 2.1, 1.9, x + 2.1, 3.3),
  ];
  return sourceOf(look, lowerIn, shapes, x, end);
}

/** A bench supply in a pack's place. */
export function benchSupply(look: Look, lowerIn: boolean): Glyph {
  const x = 5;
  return sourceOf(look, lowerIn, [line(x, 0, 27, 0), line(x, 0, x, 3.5), box(x - 4.5, 3.5, 9, 9), text(x, 7.6, 'G', { size: 3.2, weight: 700, anchor: 'middle' }), ...direct(x, 10.2), line(x, 12.5, x, 15)], x, 15);
}

function sourceOf(look: Look, lowerIn: boolean, symbol: readonly Shape[], x: number, end: number): Glyph {
  const shapes = [...symbol];
  const pins: Pin[] = [{ name: '+', side: 'east', at: 0 }];
  if (look.led) {
    pins.push({ name: '-', side: 'east', at: end });
    shapes.push(line(x, end, 27, end));
  }
  if (lowerIn) {
    pins.push({ name: '- in', side: 'west', at: end });
    shapes.push(line(0, end, x, end));
  }
  if (look.barred) shapes.push(...barSign(x, end));
  return { width: 27, above: 1.2, below: end + 2.2, pins, shapes, words: 'inside right', wordsAt: x + 5.4 };
}
