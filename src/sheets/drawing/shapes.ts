/**
 * The display list: what a sheet looks like, told once for every renderer. Lengths are millimetres, x to the right and
 * y downwards from the sheet's upper left corner. There are no transforms: every coordinate is where the ink goes.
 */
export type Shape = Line | Polyline | Path | Circle | Rect | Text | Group;

/**
 * What ink means; a renderer picks its colour, and may use one black for all but `paper`, because weight, dash and
 * words carry the meaning too.
 */
export type Tone = 'ink' | 'second' | 'live' | 'warn' | 'dead' | 'rule' | 'paper';

export interface Stroke {
  readonly width_mm: number;
  readonly tone: Tone;
  /** Lengths of marks and gaps in turn, mm; a mark of 0 with round caps is a dot. */
  readonly dash_mm?: readonly number[];
  readonly cap?: 'butt' | 'round' | 'square';
}

interface Inked {
  /** No stroke: not outlined. */
  readonly stroke?: Stroke | undefined;
  /** No fill: nothing inside. */
  readonly fill?: Tone | undefined;
}

export interface Line {
  readonly shape: 'line';
  readonly x1: number;
  readonly y1: number;
  readonly x2: number;
  readonly y2: number;
  readonly stroke: Stroke;
}

export type Point = readonly [x: number, y: number];

export interface Polyline extends Inked {
  readonly shape: 'polyline';
  readonly points: readonly Point[];
  /** Joined back to its first point: a polygon. */
  readonly closed?: boolean;
}

/** A step of a path, absolute, as SVG 1.1 §8.3 defines it. */
export type PathStep =
  | readonly ['M' | 'L', x: number, y: number]
  | readonly ['C', x1: number, y1: number, x2: number, y2: number, x: number, y: number]
  /** Arc of an ellipse that is not turned: radii, the long way round or not, clockwise on the sheet or not, end. */
  | readonly ['A', rx: number, ry: number, long: 0 | 1, clockwise: 0 | 1, x: number, y: number]
  | readonly ['Z'];

export interface Path extends Inked {
  readonly shape: 'path';
  readonly steps: readonly PathStep[];
}

export interface Circle extends Inked {
  readonly shape: 'circle';
  readonly cx: number;
  readonly cy: number;
  readonly r: number;
}

export interface Rect extends Inked {
  readonly shape: 'rect';
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface Text {
  readonly shape: 'text';
  /** Anchor point: left end, middle or right end of the baseline. */
  readonly x: number;
  readonly y: number;
  readonly text: string;
  readonly anchor: 'start' | 'middle' | 'end';
  /** Font size (em), mm; capitals are about 0.73 of it high. */
  readonly size_mm: number;
  readonly weight: 400 | 700;
  readonly tone: Tone;
  /** Turned about the anchor point, degrees clockwise; upright when missing. */
  readonly rotate_deg?: -90 | 90;
}

/** Shapes that belong together: one part, one conductor, a legend. */
export interface Group {
  readonly shape: 'group';
  /** Names for a style sheet; plain words, never taken from a machine. */
  readonly classes: readonly string[];
  /** What the group stands for. Values come from the machine: a renderer escapes them. */
  readonly data?: GroupData;
  /** Said by a screen reader, shown when pointed at. */
  readonly title?: string;
  readonly shapes: readonly Shape[];
}

export interface GroupData {
  readonly part?: string;
  /** `chain name#index of the item`, as the circuit names it; `chain name#` and a letter for a lead without a conductor. */
  readonly conductor?: string;
  readonly chain?: string;
  /** Place, or the part and its terminal. */
  readonly point?: string;
  readonly state?: string;
  /** Name of a figure that a screen writes anew as time goes on. */
  readonly figure?: string;
}

/** One page of paper. */
export interface Sheet {
  /** Of this sheet: `Overview`, `Sheet 2: drive, arm`. */
  readonly title: string;
  /** The sheet in sentences, for those who cannot see it. */
  readonly description: string;
  readonly width_mm: number;
  readonly height_mm: number;
  readonly shapes: readonly Shape[];
}

/** Every shape with ink, groups opened, in the order of drawing. */
export function* inkOf(shapes: readonly Shape[]): Generator<Exclude<Shape, Group>> {
  for (const shape of shapes) {
    if (shape.shape === 'group') yield* inkOf(shape.shapes);
    else yield shape;
  }
}

/** The same shapes scaled about the origin, then moved. Stroke widths, dashes and type scale along. */
export function placed(shapes: readonly Shape[], x: number, y: number, scale = 1): Shape[] {
  const at = (px: number, py: number): Point => [x + scale * px, y + scale * py];
  return shapes.map((shape) => placeOne(shape, at, x, y, scale));
}

function placeOne(shape: Shape, at: (x: number, y: number) => Point, x: number, y: number, scale: number): Shape {
  switch (shape.shape) {
    case 'group':
      return { ...shape, shapes: placed(shape.shapes, x, y, scale) };
    case 'line': {
      const [x1, y1] = at(shape.x1, shape.y1);
      const [x2, y2] = at(shape.x2, shape.y2);
      return { ...shape, x1, y1, x2, y2, stroke: scaled(shape.stroke, scale) };
    }
    case 'polyline':
      return { ...shape, points: shape.points.map(([px, py]) => at(px, py)), stroke: shape.stroke && scaled(shape.stroke, scale) };
    case 'path':
      return { ...shape, steps: shape.steps.map((step) => placeStep(step, at, scale)), stroke: shape.stroke && scaled(shape.stroke, scale) };
    case 'circle': {
      const [cx, cy] = at(shape.cx, shape.cy);
      return { ...shape, cx, cy, r: shape.r * scale, stroke: shape.stroke && scaled(shape.stroke, scale) };
    }
    case 'rect': {
      const [left, top] = at(shape.x, shape.y);
      return { ...shape, x: left, y: top, width: shape.width * scale, height: shape.height * scale, stroke: shape.stroke && scaled(shape.stroke, scale) };
    }
    case 'text': {
      const [tx, ty] = at(shape.x, shape.y);
      return { ...shape, x: tx, y: ty, size_mm: shape.size_mm * scale };
    }
  }
}

function placeStep(step: PathStep, at: (x: number, y: number) => Point, scale: number): PathStep {
  switch (step[0]) {
    case 'M':
    case 'L':
      return [step[0], ...at(step[1], step[2])];
    case 'C':
      return ['C', ...at(step[1], step[2]), ...at(step[3], step[4]), ...at(step[5], step[6])];
    case 'A':
      return ['A', step[1] * scale, step[2] * scale, step[3], step[4], ...at(step[5], step[6])];
    case 'Z':
      return step;
  }
}

function scaled(stroke: Stroke, scale: number): Stroke {
  const width_mm = stroke.width_mm * scale;
  return stroke.dash_mm === undefined ? { ...stroke, width_mm } : { ...stroke, width_mm, dash_mm: stroke.dash_mm.map((length) => length * scale) };
}
