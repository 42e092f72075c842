import { arrow, box, line, path, polygon, polyline, ring } from '../ink.ts';
import type { Shape } from '../shapes.ts';
import { inside, mirrored, THROUGH, type Glyph, type Look } from './glyph.ts';

function onLine(width: number, half: number, shapes: readonly Shape[]): Glyph {
  return { width, above: half, below: half, pins: THROUGH, shapes, words: 'over and under' };
}

/** Terminal: a ring on the lead. */
export function joint(): Glyph {
  return onLine(6, 1.2, [line(0, 0, 2.2, 0), ring(3, 0, 0.8), line(3.8, 0, 6, 0)]);
}

/** Fuse: the lead runs through its body. */
export function fuse(): Glyph {
  return onLine(11, 1.7, [box(2, -1.4, 7, 2.8), line(0, 0, 11, 0)]);
}

/** The body of a resistor with its left end at a point of a lead. */
export function resistorBody(x: number, y: number): Shape {
  return box(x, y - 1.4, 7, 2.8);
}

export function resistor(): Glyph {
  return onLine(11, 1.7, [line(0, 0, 2, 0), resistorBody(2, 0), line(9, 0, 11, 0)]);
}

/** Resistor that depends on temperature, falling: the stroke with a foot, and the sign of its coefficient. */
export function inrushLimiter(): Glyph {
  return {
    ...onLine(12, 3.2, [line(0, 0, 2.5, 0), resistorBody(2.5, 0), line(9.5, 0, 12, 0), polyline([[2, 2.6], [3.6, 2.6], [8.6, -2.6]]), inside(8.6, 3.4, '−t°', 2)]),
    below: 4,
  };
}

function junction(x: number, y: number, half = 1.8): Shape[] {
  return [polygon([[x, y - half], [x + 2 * half * 0.87, y], [x, y + half]], 'paper'), line(x + 2 * half * 0.87, y - half, x + 2 * half * 0.87, y + half)];
}

export function diode(look: Look): Glyph {
  const shapes = [line(0, 0, 3, 0), ...junction(3, 0), line(6.13, 0, 9.5, 0)];
  return onLine(9.5, 2.1, look.turned ? mirrored(shapes, 9.5) : shapes);
}

/** A module: its frame, the diode that it stands for, the transistor that does the work. */
export function idealDiode(look: Look): Glyph {
  const shapes = [
    line(0, 0, 2, 0), box(2, -4, 10, 7), line(12, 0, 14, 0),
    line(2, 0, 5, 0), ...junction(5, 0, 1.5), line(7.61, 0, 12, 0),
    line(4.6, -2.4, 5.7, -2.4), line(6.2, -2.4, 7.3, -2.4), line(7.8, -2.4, 8.9, -2.4), line(4.6, -3.1, 8.9, -3.1),
  ];
  return { ...onLine(14, 4.3, look.turned ? mirrored(shapes, 14) : shapes), below: 3.3 };
}

/** A switch of transistors: a frame with a field-effect transistor that lies in the lead. */
export function solidStateSwitch(): Glyph {
  return {
    ...onLine(15, 4.6, [
      line(0, 0, 2, 0), box(2, -4.2, 11, 7.2), line(13, 0, 15, 0),
      polyline([[2, 0], [5, 0], [5, -1.4]]), polyline([[10, -1.4], [10, 0], [13, 0]]), polyline([[7.5, -1.4], [7.5, 0], [10, 0]]),
      arrow(7.5, -1.2, -90, 1.1),
      line(4.2, -1.5, 5.8, -1.5), line(6.7, -1.5, 8.3, -1.5), line(9.2, -1.5, 10.8, -1.5), line(4.2, -2.3, 10.8, -2.3), line(7.5, -2.3, 7.5, -4.2),
    ]),
    below: 3.3,
  };
}

/** Opens on over-current: a frame with the condition that it acts on. */
export function protection(): Glyph {
  return onLine(13, 3.4, [line(0, 0, 2, 0), box(2, -3, 9, 6), inside(6.5, 1.1, 'I >', 3), line(11, 0, 13, 0)]);
}

/** Socket and plug; drawn apart when it is open, with the resistor of a first stage under it. */
export function connector(open: boolean, staged: boolean): Glyph {
  const gap = open ? 2.2 : 0;
  const width = 11 + 2.2;
  const mate = [
    line(0, 0, 3.6, 0), { ...line(3.6, 0, 5.8, 0), stroke: { width_mm: 1.1, tone: 'ink' } } as const,
    path([['M', 5.9 + gap, -1.6], ['A', 1.6, 1.6, 0, 1, 5.9 + gap, 1.6]]), line(7.5 + gap, 0, width, 0),
  ];
  if (!staged) return onLine(width, 2, mate);
  return { ...onLine(width, 2, [...mate, polyline([[1.2, 0], [1.2, 4], [3.1, 4]]), resistorBody(3.1, 4), polyline([[10.1, 4], [11.6, 4], [11.6, 0]])]), below: 5.7 };
}

/** A removable link: a bridge over two terminals, lifted when it is out. */
export function link(open: boolean): Glyph {
  const lift = open ? -3.4 : -1.1;
  return { ...onLine(13, 4.2, [line(0, 0, 2.2, 0), ring(3, 0, 0.8), ring(10, 0, 0.8), line(10.8, 0, 13, 0), polyline([[3, lift + 1.0], [3, lift - 0.6], [10, lift - 0.6], [10, lift + 1.0]], { width_mm: 0.7, tone: 'ink' })]), below: 1.6 };
}

/** A lead that moves about: flexible conductor. */
export function benchLead(): Glyph {
  return onLine(13, 1.4, [line(0, 0, 2.5, 0), path([['M', 2.5, 0], ['C', 3.5, -2, 4.5, -2, 5.2, 0], ['C', 5.9, 2, 7.1, 2, 7.8, 0], ['C', 8.5, -2, 9.5, -2, 10.5, 0]]), line(10.5, 0, 13, 0)]);
}
