import type { Part } from '../../../machine/parts.ts';
import type { Shape } from '../shapes.ts';
import { fitted, text, TYPE } from '../type.ts';

/** Which way a symbol's terminal faces, and where it is; the lead from the west enters at y = 0. */
export interface Pin {
  readonly name: 'in' | 'through' | '+' | '-' | '- in' | 'out';
  readonly side: 'west' | 'east' | 'south';
  readonly at: number;
}

/**
 * A symbol at rest on its lead: x from 0 to `width`, the lead's axis at y = 0, ink from −`above` to `below`. The
 * shapes are own drawings after IEC 60617 (from memory: shapes of the database's symbols, not its files).
 */
export interface Glyph {
  readonly width: number;
  readonly above: number;
  readonly below: number;
  readonly pins: readonly Pin[];
  readonly shapes: readonly Shape[];
  /** Where the words go: over and under a symbol that leads on, to the right of one that ends a line. */
  readonly words: 'over and under' | 'right' | 'inside right';
  /** Where words at the right begin, when not at the width. */
  readonly wordsAt?: number;
}

/** What a symbol shows besides its part. */
export interface Look {
  /** Position of each switch; at rest when missing. */
  readonly positions: ReadonlyMap<string, string>;
  readonly parts: ReadonlyMap<string, Part>;
  /** Its − side goes to the common bar: the sign for that is drawn. */
  readonly barred: boolean;
  /** Its − side has leads of its own. */
  readonly led: boolean;
  /** Energy flows from the east: a symbol with a direction is turned round. */
  readonly turned: boolean;
  /** Motor drawn with its controller. */
  readonly motor: Part | undefined;
  readonly ids: (id: string) => string;
}

export const THROUGH: readonly Pin[] = [{ name: 'in', side: 'west', at: 0 }, { name: 'through', side: 'east', at: 0 }];

/** Words inside a symbol. */
export function inside(x: number, y: number, words: string, size: number = TYPE.fact, anchor: 'start' | 'middle' | 'end' = 'middle', room = 14): Shape {
  return text(x, y, fitted(words, room, size, 400), { size, anchor });
}

/** The same shapes mirrored left to right within a width. */
export function mirrored(shapes: readonly Shape[], width: number): Shape[] {
  return shapes.map((shape): Shape => {
    switch (shape.shape) {
      case 'line':
        return { ...shape, x1: width - shape.x1, x2: width - shape.x2 };
      case 'polyline':
        return { ...shape, points: shape.points.map(([x, y]) => [width - x, y] as const) };
      case 'circle':
        return { ...shape, cx: width - shape.cx };
      case 'rect':
        return { ...shape, x: width - shape.x - shape.width };
      default:
        return shape;
    }
  });
}
