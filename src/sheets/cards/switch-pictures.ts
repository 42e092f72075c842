import { positionsOf } from '../../machine/circuit/chains.ts';
import { openPosition, positionsBefore } from '../../machine/circuit/positions.ts';
import type { Machine, Step } from '../../machine/machine.ts';
import type { Part } from '../../machine/parts.ts';
import type { Point, Shape, Sheet, Tone } from '../drawing/shapes.ts';

/** How the switches of a procedure stand, step by step. */
export interface SwitchPictures {
  /** Their names, each over its pictures. */
  readonly head: Sheet;
  /** After step `k` of the file's procedure. */
  readonly after: (k: number) => Sheet;
}

/** More than these side by side leave no room for the words. */
const MOST = 4;
/** Room of one switch, mm. */
const WIDE = 9;
const TALL = 7;
const HEAD = 4;
const FINE = 0.45;
const HEAVY = 1.1;

/**
 * Dials and gaps of the switches that the power-up moves, as they stand after each step of a procedure; what moves in the
 * step is black. Undefined where there are none, or too many for a card.
 */
export function switchPictures(machine: Machine, list: 'power up' | 'power down'): SwitchPictures | undefined {
  const ids = [...new Set([...machine.powerUp, ...machine.powerDown].flatMap((step) => ('part' in step ? [step.part] : [])))];
  const parts = ids.flatMap((id) => machine.parts.get(id) ?? []);
  if (parts.length === 0 || parts.length > MOST || parts.some(({ id }) => id.length > 6)) return undefined;
  const steps = list === 'power up' ? machine.powerUp : machine.powerDown;
  const begin = list === 'power up' ? [] : [...positionsBefore(machine, machine.powerUp, machine.powerUp.length)];
  const standing = (count: number): ReadonlyMap<string, string> => new Map([...begin, ...positionsBefore(machine, steps, count)]);
  const sheet = (description: string, height_mm: number, shapes: readonly Shape[]): Sheet => ({ title: 'Switches', description, width_mm: parts.length * WIDE, height_mm, shapes });
  return {
    head: sheet(ids.join(', '), HEAD, parts.map(({ id }, at): Shape => ({ shape: 'text', x: (at + 0.5) * WIDE, y: HEAD - 0.4, text: id, anchor: 'middle', size_mm: 2.9, weight: 700, tone: 'ink' }))),
    after: (k) => {
      const [before, after] = [standing(k), standing(k + 1)];
      const at = (part: Part, positions: ReadonlyMap<string, string>): string => positions.get(part.id) ?? openPosition(machine, part.id);
      const moving = movedBy(steps[k]);
      const moves = (part: Part): boolean => at(part, before) !== at(part, after) || moving === part.id;
      const moved = parts.filter(moves).map(({ id }) => id);
      return sheet(`${parts.map((part) => `${part.id} ${at(part, after)}`).join(', ')}${moved.length === 0 ? '' : `; now: ${moved.join(', ')}`}`, TALL, parts.flatMap((part, k2) => pictureOf(part, at(part, after), openPosition(machine, part.id), moves(part), k2 * WIDE)));
    },
  };
}

function movedBy(step: Step | undefined): string | undefined {
  return step !== undefined && 'part' in step ? step.part : undefined;
}

function pictureOf(part: Part, position: string, open: string, moves: boolean, left: number): Shape[] {
  if (part.kind === 'isolator') {
    const names = positionsOf(part).map(([name]) => name);
    if (names.length > 1) return dial(names.length, Math.max(0, names.indexOf(position)), moves, left);
  }
  return part.kind === 'link' || part.kind === 'connector' ? bridge(position !== open, moves, left) : lever(position !== open, moves, left);
}

/** A knob whose mark points at its position: the first to the left, the last to the right. */
function dial(positions: number, at: number, moves: boolean, left: number): Shape[] {
  const [cx, cy, radius] = [left + WIDE / 2, 4.1, 2.5];
  const towards = (k: number, far: number): Point => {
    const angle = (-60 + (120 * k) / (positions - 1)) * (Math.PI / 180);
    return [cx + far * Math.sin(angle), cy - far * Math.cos(angle)];
  };
  const stroke = (from: Point, to: Point, width_mm: number, tone: Tone): Shape => ({ shape: 'line', x1: from[0], y1: from[1], x2: to[0], y2: to[1], stroke: { width_mm, tone, cap: 'round' } });
  return [
    ...Array.from({ length: positions }, (_, k) => stroke(towards(k, radius + 0.5), towards(k, radius + 1), FINE, 'ink')),
    { shape: 'circle', cx, cy, r: radius, stroke: { width_mm: FINE, tone: 'ink' }, fill: moves ? 'ink' : 'paper' },
    stroke([cx, cy], towards(at, radius - 0.5), HEAVY * 0.8, moves ? 'paper' : 'ink'),
  ];
}

/** Two sockets and the loop that joins them, or is pulled out above them. */
function bridge(closed: boolean, moves: boolean, left: number): Shape[] {
  const [from, to, level] = [left + 2.3, left + WIDE - 2.3, 5.4];
  const foot = closed ? level - 0.7 : level - 2.2;
  return [...contacts(left, level), { shape: 'polyline', points: [[from, foot], [from, foot - 1.9], [to, foot - 1.9], [to, foot]], stroke: { width_mm: moves ? HEAVY : FINE, tone: 'ink' } }];
}

/** Two contacts and a lever that lies on both, or stands up from the first. */
function lever(closed: boolean, moves: boolean, left: number): Shape[] {
  const [from, to, level] = [left + 2.3, left + WIDE - 2.3, 4.8];
  return [...contacts(left, level), { shape: 'line', x1: from, y1: level, x2: to, y2: closed ? level : level - 2.6, stroke: { width_mm: moves ? HEAVY : FINE, tone: 'ink', cap: 'round' } }];
}

function contacts(left: number, level: number): Shape[] {
  const [from, to] = [left + 2.3, left + WIDE - 2.3];
  const lead = (x1: number, x2: number): Shape => ({ shape: 'line', x1, y1: level, x2, y2: level, stroke: { width_mm: FINE, tone: 'ink' } });
  const ring = (cx: number): Shape => ({ shape: 'circle', cx, cy: level, r: 0.7, stroke: { width_mm: FINE, tone: 'ink' }, fill: 'paper' });
  return [lead(left + 0.7, from - 0.7), lead(to + 0.7, left + WIDE - 0.7), ring(from), ring(to)];
}
