import { box, line } from './ink.ts';
import type { Diagram } from './graph.ts';
import { LINES, type Situation } from './situation.ts';
import type { Shape, Stroke } from './shapes.ts';
import { barSign } from './symbols/ends.ts';
import { fitted, text, textWidth_mm } from './type.ts';
import { formatValue } from '../../quantity/format.ts';

export type PageFormat = 'A4' | 'Letter';

/** Landscape. Sources: ISO 216 (A4); ANSI/ASME Y14.1 (A, 11 by 8.5 in). */
const PAGES: Readonly<Record<PageFormat, { readonly width: number; readonly height: number }>> = { A4: { width: 297, height: 210 }, Letter: { width: 279.4, height: 215.9 } };

/** What the title block says, given by whoever prints. */
export interface Stamp {
  readonly revision?: string;
  readonly date?: string;
  readonly fingerprint?: string;
}

const MARGIN = 10;
const TITLE = 15;
const KEY = 11;
const INSET = 3;

export interface Frame {
  readonly width: number;
  readonly height: number;
  readonly room: { readonly left: number; readonly top: number; readonly width: number; readonly height: number };
}

export function frameOf(format: PageFormat): Frame {
  const { width, height } = PAGES[format];
  return { width, height, room: { left: MARGIN + INSET, top: MARGIN + INSET, width: width - 2 * (MARGIN + INSET), height: height - 2 * MARGIN - TITLE - KEY - 2 * INSET } };
}

const THIN: Stroke = { width_mm: 0.25, tone: 'ink' };
const THICK: Stroke = { width_mm: 0.6, tone: 'ink' };

interface TitleFacts {
  readonly machine: string;
  readonly about: string | undefined;
  readonly sheet: string;
  readonly number: number;
  readonly of: number;
}

/** Border, key and title block. */
export function frameShapes(frame: Frame, facts: TitleFacts, stamp: Stamp, diagram: Diagram, situation: Situation): Shape[] {
  const [left, right, bottom] = [MARGIN, frame.width - MARGIN, frame.height - MARGIN];
  const titleTop = bottom - TITLE;
  const keyTop = titleTop - KEY;
  return [
    { ...box(left, MARGIN, right - left, bottom - MARGIN, THICK), fill: undefined },
    line(left, titleTop, right, titleTop, THICK),
    line(left, keyTop, right, keyTop, THIN),
    { shape: 'group', classes: ['key'], title: 'Key', shapes: [...keyShapes(left + 4, keyTop + 3.8, right - 4, diagram, situation), ...wireKey(left + 4, keyTop + 9, right - 4, diagram)] },
    { shape: 'group', classes: ['title-block'], shapes: titleShapes(left, right, titleTop, facts, stamp, situation) },
  ];
}

function titleShapes(left: number, right: number, top: number, facts: TitleFacts, stamp: Stamp, situation: Situation): Shape[] {
  const cells: readonly (readonly [label: string, words: string, width: number])[] = [
    ['Sheet', `${facts.number} of ${facts.of}`, 20],
    ['File', stamp.fingerprint ?? '–', 32],
    ['Date', stamp.date ?? '–', 26],
    ['Revision', stamp.revision ?? '–', 24],
    ['Drawing', facts.sheet, 56],
  ];
  const shapes: Shape[] = [];
  let x = right;
  for (const [label, words, width] of cells) {
    x -= width;
    shapes.push(line(x, top, x, top + TITLE, THIN), text(x + 2, top + 4.4, label, { size: 2.2, tone: 'second' }), text(x + 2, top + 10.4, fitted(words, width - 4, 3.2, 400), { size: 3.2 }));
  }
  const room = x - left - 6;
  shapes.push(text(left + 4, top + 7, fitted(facts.machine, room, 5, 700), { size: 5, weight: 700 }));
  const under = situation.words ?? facts.about;
  if (under !== undefined) shapes.push(text(left + 4, top + 12.4, fitted(under, room, 2.6, situation.words === undefined ? 400 : 700), situation.words === undefined ? { size: 2.6, tone: 'second' } : { size: 2.6, weight: 700 }));
  return shapes;
}

/** What the numbers and codes at the leads mean. */
function wireKey(left: number, y: number, right: number, diagram: Diagram): Shape[] {
  const marks = diagram.edges.flatMap(({ wire }) => wire ?? []);
  const words = [
    ...(marks.length === 0 ? [] : [marks.some(({ ids }) => ids.includes('\u2212')) ? 'W1, \u2212W2: numbers of the + lead and of the \u2212 lead beside it in the wire list' : 'W1: number in the wire list']),
    ...(marks.some(({ colour }) => colour.endsWith('*')) ? ['RD*: colour not in the file, taken by what the wire does'] : []),
  ].join('; ');
  return words === '' ? [] : [text(left, y, fitted(words, right - left, 2.4, 400), { size: 2.4 })];
}

interface KeyEntry {
  readonly sample: (x: number, y: number) => Shape[];
  readonly words: string;
}

function strokeEntry(stroke: Stroke, words: string): KeyEntry {
  return { sample: (x, y) => [line(x, y, x + 12, y, stroke)], words };
}

function keyShapes(left: number, y: number, right: number, diagram: Diagram, situation: Situation): Shape[] {
  const roles = new Set(diagram.edges.map(({ role }) => role));
  const entries: KeyEntry[] = [];
  if (situation.conductors !== undefined || situation.places !== undefined) {
    entries.push(strokeEntry(LINES.live, 'live, from the pack'), strokeEntry(LINES.fed, 'fed, through a part'), strokeEntry(LINES.leaking, 'leaking'), strokeEntry(LINES.dead, 'dead'));
  } else entries.push(strokeEntry(LINES.supply, '+ lead'));
  if (roles.has('return')) entries.push(strokeEntry(LINES.return, '− lead'));
  if (roles.has('signal ground')) entries.push(strokeEntry(LINES['signal ground'], 'signal ground'));
  if ([...diagram.nodes.values()].some((node) => node.type !== 'sign' && node.barred)) {
    const joint = diagram.machine.wiring.bar?.joint;
    const each = joint === undefined ? '' : `, ${formatValue(joint.value, 'resistance')} a joint`;
    entries.push({ sample: (x, at) => barSign(x + 9, at - 2, at + 1.2), words: `− to the common bar, beside its + lead, same wire${each}` });
  }
  const shapes: Shape[] = [];
  let x = left;
  for (const { sample, words } of entries) {
    const shown = fitted(words, right - x - 14, 2.4, 400);
    if (right - x < 22) break;
    shapes.push(...sample(x, y), text(x + 14, y + 0.9, shown, { size: 2.4 }));
    x += 14 + textWidth_mm(shown, 2.4, 400) + 5;
  }
  return shapes;
}
