import type { Circle, Line, Path, PathStep, Point, Polyline, Rect, Stroke, Tone } from './shapes.ts';

/** Outlines of symbols, mm. */
export const OUTLINE: Stroke = { width_mm: 0.35, tone: 'ink', cap: 'round' };
export const BLADE: Stroke = { width_mm: 0.7, tone: 'ink', cap: 'round' };
export const PLATE: Stroke = { width_mm: 0.7, tone: 'ink' };

export function line(x1: number, y1: number, x2: number, y2: number, stroke: Stroke = OUTLINE): Line {
  return { shape: 'line', x1, y1, x2, y2, stroke };
}

export function polyline(points: readonly Point[], stroke: Stroke = OUTLINE, fill?: Tone): Polyline {
  return { shape: 'polyline', points, stroke, fill };
}

export function polygon(points: readonly Point[], fill: Tone | undefined = 'ink', stroke: Stroke | undefined = OUTLINE): Polyline {
  return { shape: 'polyline', points, closed: true, stroke, fill };
}

export function path(steps: readonly PathStep[], stroke: Stroke = OUTLINE): Path {
  return { shape: 'path', steps, stroke };
}

export function ring(cx: number, cy: number, r: number, fill: Tone = 'paper'): Circle {
  return { shape: 'circle', cx, cy, r, stroke: OUTLINE, fill };
}

export function dot(cx: number, cy: number, r = 0.75): Circle {
  return { shape: 'circle', cx, cy, r, fill: 'ink' };
}

export function box(x: number, y: number, width: number, height: number, stroke: Stroke = OUTLINE): Rect {
  return { shape: 'rect', x, y, width, height, stroke, fill: 'paper' };
}

/** A filled arrow head with its tip at a point. */
export function arrow(x: number, y: number, direction_deg: number, length = 1.3): Polyline {
  const turn = (direction_deg * Math.PI) / 180;
  const at = (along: number, across: number): Point => [x + along * Math.cos(turn) - across * Math.sin(turn), y + along * Math.sin(turn) + across * Math.cos(turn)];
  return polygon([[x, y], at(-length, length / 3), at(-length, -length / 3)], 'ink', undefined);
}
