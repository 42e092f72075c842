import type { Diagram, DiagramNode } from './graph.ts';
import { factsOf } from './facts.ts';
import type { Shape, Tone } from './shapes.ts';
import type { Glyph, Look } from './symbols/glyph.ts';
import { symbolOf } from './symbols/table.ts';
import { fitted, text, textWidth_mm, TYPE, wrapped } from './type.ts';

/** A node's outline: x from 0 to `width`, the lead's axis at y = 0, nothing of it outside −`above` to `below`. */
export interface NodeBox {
  readonly width: number;
  readonly above: number;
  readonly below: number;
  /** Where the symbol begins. */
  readonly symbolX: number;
  readonly glyph: Glyph | undefined;
  readonly words: readonly Words[];
}

/** A line of words, with what a state adds to it left blank. */
export interface Words {
  readonly x: number;
  readonly y: number;
  readonly text: string;
  readonly weight: 400 | 700;
  readonly tone: Tone;
  readonly size: number;
  readonly anchor: 'start' | 'middle' | 'end';
  /** What a situation says stands here: in place of the text, or behind it. */
  readonly state?: { readonly x: number; readonly room: number; readonly instead: boolean; readonly line: number };
}

/** Longest word that a situation says of a load, and of a conductor. */
const STATE_WORD = 'can move';
const NET_WORDS = 'leaking';
const PADDING = 0.8;

type PartNode = Extract<DiagramNode, { type: 'part' }>;

export function lookOf(diagram: Diagram, node: PartNode, positions: ReadonlyMap<string, string>): Look & { readonly lowerIn: boolean } {
  const { designations, machine } = diagram;
  return { positions, parts: machine.parts, barred: node.barred, led: node.led, lowerIn: node.lowerIn, turned: node.turned, motor: node.motor, ids: (id) => named(id, designations) };
}

/** The id, and its designation where that is another. */
function named(id: string, designations: ReadonlyMap<string, string>): string {
  const designation = designations.get(id) ?? id;
  return designation === id ? id : `${id} (${designation})`;
}

const AT_REST: ReadonlyMap<string, string> = new Map();

/** A node's outline, in whole tenths of a millimetre so that leads between nodes stay straight. */
export function boxOf(diagram: Diagram, node: DiagramNode): NodeBox {
  const box = plainBox(diagram, node);
  return { ...box, width: tenths(box.width), above: tenths(box.above), below: tenths(box.below), symbolX: Math.round(box.symbolX * 10) / 10 };
}

function tenths(length_mm: number): number {
  return Math.ceil(length_mm * 10 - 1e-6) / 10;
}

function plainBox(diagram: Diagram, node: DiagramNode): NodeBox {
  if (node.type === 'part') return partBox(diagram, node);
  if (node.type === 'sign') return signBox(node.words, node.side);
  return pointBox(node.name, node.role, node.barred);
}

function signBox(words: readonly string[], side: 'in' | 'out'): NodeBox {
  const lines = words.map((words, k) => fitted(words, 52, TYPE.fact, k === 0 ? 700 : 400));
  const width = Math.max(...lines.map((line, k) => textWidth_mm(line, TYPE.fact, k === 0 ? 700 : 400))) + 8;
  const half = (lines.length * TYPE.line) / 2 + 0.8;
  return {
    width, above: half, below: half, symbolX: 0, glyph: undefined,
    words: lines.map((words, k) => ({ x: side === 'out' ? 5.5 : 2.5, y: (k + 0.75) * TYPE.line - half + 0.8, text: words, weight: k === 0 ? 700 : 400, tone: 'ink', size: TYPE.fact, anchor: 'start' })),
  };
}

function pointBox(name: string | undefined, role: string, barred: boolean): NodeBox {
  if (name === undefined) return { width: 1.6, above: 0.8, below: 0.8, symbolX: 0, glyph: undefined, words: [] };
  const label = fitted(name, 30, TYPE.name, 700);
  const room = role === 'supply' ? textWidth_mm(NET_WORDS, TYPE.fact, 700) : 0;
  const width = Math.max(textWidth_mm(label, TYPE.name, 700), room, 6) + 2 * PADDING;
  const lines = role === 'supply' ? 3 : 1;
  const words: Words[] = [{ x: width / 2, y: -(lines - 1) * TYPE.line - 2, text: label, weight: 700, tone: 'ink', size: TYPE.name, anchor: 'middle' }];
  for (let line = 0; line < lines - 1; line += 1)
    words.push({ x: width / 2, y: -2 - (lines - 2 - line) * TYPE.line, text: '', weight: 700, tone: 'ink', size: TYPE.fact, anchor: 'middle', state: { x: width / 2, room: width - PADDING, instead: true, line } });
  return { width, above: lines * TYPE.line + 2, below: barred ? 5 : 1.4, symbolX: 0, glyph: undefined, words };
}

function partBox(diagram: Diagram, node: PartNode): NodeBox {
  const glyph = symbolOf(node.part, lookOf(diagram, node, AT_REST));
  const name = fitted(named(node.part.id, diagram.designations), 34, TYPE.name, 700);
  const facts = factsOf(node.part);
  const about = node.part.about ?? '';
  switch (glyph.words) {
    case 'over and under':
      return stacked(glyph, name, facts, about);
    case 'right':
      return beside(glyph, name, [facts, ...wrapped(about, 25, 2, TYPE.fact, 400), ...motorWords(diagram, node)], -1);
    case 'inside right':
      return beside(glyph, name, [facts, ...wrapped(about, 28, node.led ? 1 : 2, TYPE.fact, 400)], 5.4);
  }
}

function motorWords(diagram: Diagram, node: PartNode): string[] {
  if (node.motor !== undefined) return wrapped(`${named(node.motor.id, diagram.designations)} ${node.motor.about ?? ''}`, 28, 1, TYPE.fact, 400);
  if (node.part.kind === 'controller' && node.part.values.drives !== undefined) return [fitted(`drives ${node.part.values.drives} too`, 30, TYPE.fact, 400)];
  return [];
}

function stacked(glyph: Glyph, name: string, facts: string, about: string): NodeBox {
  const nameWidth = textWidth_mm(name, TYPE.name, 700);
  const factsWidth = facts === '' ? 0 : textWidth_mm(facts, TYPE.fact, 400) + 1.2;
  const south = glyph.pins.find(({ side }) => side === 'south');
  const indent = south === undefined ? 0 : south.at + 1.4;
  const under = wrapped(about, Math.max(glyph.width - indent, 17), 3, TYPE.fact, 400);
  const underWidth = Math.max(textWidth_mm(STATE_WORD, TYPE.fact, 700), ...under.map((line) => textWidth_mm(line, TYPE.fact, 400)));
  const width = Math.max(glyph.width, nameWidth + factsWidth, underWidth + (south === undefined ? 0 : 2 * indent)) + 2 * PADDING;
  const symbolX = (width - glyph.width) / 2;
  const lines = Math.max(1, under.length);
  const nameX = (width - nameWidth - factsWidth) / 2;
  const nameY = -glyph.above - 0.9;
  const words: Words[] = [
    { x: nameX, y: nameY, text: name, weight: 700, tone: 'ink', size: TYPE.name, anchor: 'start' },
    { x: nameX + nameWidth + 1.2, y: nameY, text: facts, weight: 400, tone: 'ink', size: TYPE.fact, anchor: 'start' },
  ];
  const underX = south === undefined ? width / 2 : symbolX + indent;
  const anchor = south === undefined ? 'middle' : 'start';
  for (let k = 0; k < lines; k += 1) {
    const y = glyph.below + 0.6 + TYPE.line * (k + 0.72);
    const state = k === 0 ? { state: { x: underX, room: underWidth, instead: true, line: 0 } } : {};
    words.push({ x: underX, y, text: under[k] ?? '', weight: 400, tone: 'second', size: TYPE.fact, anchor, ...state });
  }
  return { width, above: glyph.above + 0.9 + 0.8 * TYPE.name, below: glyph.below + 0.9 + lines * TYPE.line, symbolX, glyph, words };
}

/** Words in lines beside the symbol; about its axis, or under a lead that leaves at the top. */
function beside(glyph: Glyph, name: string, lines: readonly string[], top: number): NodeBox {
  const rows = lines.filter((line) => line !== '');
  const x = glyph.wordsAt ?? glyph.width + 1.6;
  const nameWidth = textWidth_mm(name, TYPE.name, 700);
  const stateRoom = textWidth_mm(STATE_WORD, TYPE.fact, 700);
  const first = top > 0 ? top : 0.5 - ((rows.length + 1) * TYPE.line) / 2 + 0.75 * TYPE.line;
  const words: Words[] = [
    { x, y: first, text: name, weight: 700, tone: 'ink', size: TYPE.name, anchor: 'start', state: { x: x + nameWidth + 1.4, room: stateRoom, instead: false, line: 0 } },
    ...rows.map((row, k): Words => ({ x, y: first + (k + 1) * TYPE.line, text: row, weight: 400, tone: k === 0 ? 'ink' : 'second', size: TYPE.fact, anchor: 'start' })),
  ];
  const right = Math.max(x + nameWidth + 1.4 + stateRoom, ...rows.map((row) => x + textWidth_mm(row, TYPE.fact, 400)));
  const last = first + rows.length * TYPE.line + 0.9;
  return { width: Math.max(glyph.width, right + PADDING), above: Math.max(glyph.above, 0.9 * TYPE.name - first), below: Math.max(glyph.below, last), symbolX: 0, glyph, words };
}

/** The words of a node on the sheet, without those that something else stands in place of. */
export function wordShapes(box: NodeBox, x: number, y: number, state: { readonly lines: readonly string[]; readonly tone: Tone } | undefined, left?: ReadonlySet<Words>): Shape[] {
  return box.words.flatMap((words): Shape[] => {
    if (left?.has(words) === true) return [];
    const line = words.state === undefined ? undefined : state?.lines[words.state.line];
    const said = state === undefined || words.state === undefined || line === undefined ? undefined : text(x + words.state.x, y + words.y, fitted(line, words.state.room, TYPE.fact, 700), { weight: 700, tone: state.tone, anchor: words.state.instead ? words.anchor : 'start' });
    const plain = words.text === '' || (said !== undefined && words.state?.instead === true) ? [] : [text(x + words.x, y + words.y, words.text, words)];
    return said === undefined ? plain : [...plain, said];
  });
}
