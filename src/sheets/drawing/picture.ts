import { conductorWords, type ConductorWords } from './facts.ts';
import { conductorFigures, figure, partFigures } from './figures.ts';
import { type Diagram, type DiagramEdge } from './graph.ts';
import { dot, line, OUTLINE, polyline } from './ink.ts';
import type { Block, PlacedEdge, PlacedNode } from './block.ts';
import { pinsOf } from './layout.ts';
import { strands } from './strands.ts';
import { BAR_MM, LINES, type ConductorState, type LoadState, type Situation } from './situation.ts';
import { placed, type Group, type Point, type Shape, type Stroke, type Tone } from './shapes.ts';
import { barSign } from './symbols/ends.ts';
import type { Glyph } from './symbols/glyph.ts';
import { symbolOf } from './symbols/table.ts';
import { text, TYPE } from './type.ts';
import { lookOf, wordShapes } from './words.ts';

const NOWHERE: ReadonlyMap<string, string> = new Map();

/** A placed diagram as ink: conductors first, symbols and words over them. */
export function pictureOf(diagram: Diagram, block: Block, situation: Situation): Shape[] {
  const lines = strands(block.edges).map(({ placed: edge, pieces }) => conductor(edge, pieces, situation));
  const leads = new Map<string, Stroke>();
  for (const { edge } of block.edges) for (const { node, pin } of [edge.from, edge.to]) leads.set(`${node}\n${pin}`, strokeOf(edge, situation));
  return [...lines, ...bars(block, situation), ...block.nodes.map((node) => nodeShapes(diagram, node, situation, leads))];
}

export function stateOf(edge: DiagramEdge, situation: Situation): ConductorState | undefined {
  return situation.conductors?.get(edge.id) ?? situation.conductors?.get(edge.chain);
}

function strokeOf(edge: DiagramEdge, situation: Situation): Stroke {
  const state = stateOf(edge, situation);
  if (state === undefined || edge.role !== 'supply') {
    if (state === undefined || state === 'dead') return LINES[edge.role];
    return { ...LINES[state], width_mm: Math.min(LINES[state].width_mm, 0.8) };
  }
  return LINES[state];
}

function conductor({ edge, points, dots, label }: PlacedEdge, pieces: readonly (readonly Point[])[], situation: Situation): Group {
  const stroke = strokeOf(edge, situation);
  const onPath = situation.path?.has(edge.id) === true || situation.path?.has(edge.chain) === true;
  const band: Stroke = { width_mm: stroke.width_mm + 2, tone: 'rule', cap: 'butt' };
  const state = stateOf(edge, situation);
  const words = edge.conductor === undefined ? undefined : conductorWords(edge.conductor, edge.wire);
  const figures = situation.figures?.get(edge.id) ?? [];
  return {
    shape: 'group',
    classes: ['conductor', edge.role.replace(' ', '-'), ...(state === undefined ? [] : [state]), ...(onPath ? ['path'] : [])],
    data: { conductor: edge.id, chain: edge.chain, ...(state === undefined ? {} : { state }) },
    title: [edge.name, words?.wires, words?.size, words?.metric, words?.length, state].filter((part) => part !== undefined && part !== '').join(', '),
    shapes: [
      ...(onPath ? [polyline(points, band)] : []),
      ...pieces.map((piece) => polyline(piece, stroke)),
      ...dots.map(([x, y]): Shape => ({ ...dot(x, y, Math.max(0.65, stroke.width_mm * 0.8)), fill: stroke.tone })),
      ...(label === undefined || words === undefined ? [] : situation.figures === undefined ? conductorLabel(label, words) : conductorFigures(label, figures)),
    ],
  };
}

function conductorLabel([x, y]: Point, { metric, size, wires, length }: ConductorWords): Shape[] {
  const under = [wires, length].filter((words) => words !== '');
  return [
    ...(metric === '' ? [] : [text(x, y - 1.3 - TYPE.line, metric, { anchor: 'middle', tone: 'second' })]),
    text(x, y - 1.3, size, { anchor: 'middle' }),
    ...under.map((words, k) => text(x, y + 3.1 + k * TYPE.line, words, { anchor: 'middle', weight: words === wires ? 700 : 400 })),
  ];
}

/** Where a named place has several leads on one side, the line that joins them is its bar. */
function bars(block: Block, situation: Situation): Shape[] {
  const shapes: Shape[] = [];
  const named = new Map(block.nodes.flatMap(({ node }) => (node.type === 'point' && node.name !== undefined ? [[node.id, node] as const] : [])));
  const spans = new Map<string, { readonly x: number; top: number; bottom: number; readonly point: string; readonly stroke: Stroke }>();
  for (const { edge, points } of block.edges) {
    for (const end of ['from', 'to'] as const) {
      const node = named.get(edge[end].node);
      const way = end === 'from' ? points : [...points].reverse();
      const [, a, b] = way;
      if (node === undefined || a === undefined || b === undefined || a[0] !== b[0]) continue;
      // Dashes tell the state; a bar over them would hide it.
      if (stateOf(edge, situation) !== undefined && stateOf(edge, situation) !== 'live') continue;
      const key = `${edge[end].node}\n${end}\n${a[0]}`;
      const span = spans.get(key) ?? { x: a[0], top: a[1], bottom: a[1], point: node.point, stroke: barStroke(node.point, edge, situation) };
      span.top = Math.min(span.top, a[1], b[1]);
      span.bottom = Math.max(span.bottom, a[1], b[1]);
      spans.set(key, span);
    }
  }
  for (const { x, top, bottom, point, stroke } of spans.values())
    shapes.push({ shape: 'group', classes: ['bar'], data: { point }, shapes: [line(x, top, x, bottom, stroke)] });
  return shapes;
}

function barStroke(point: string, edge: DiagramEdge, situation: Situation): Stroke {
  const state = edge.role === 'supply' ? situation.places?.get(point) : undefined;
  const plain = state === undefined ? LINES[edge.role] : LINES[state];
  return edge.role === 'signal ground' ? plain : { width_mm: Math.max(BAR_MM, plain.width_mm), tone: plain.tone, cap: 'square' };
}

function nodeShapes(diagram: Diagram, at: PlacedNode, situation: Situation, leads: ReadonlyMap<string, Stroke>): Group {
  const { node } = at;
  if (node.type === 'part') return partShapes(diagram, at, node.part.id, situation, leads);
  if (node.type === 'sign') return signShapes(at);
  return pointShapes(at, node.point, node.name, situation, leads);
}

const WORDS_TONE: Readonly<Record<ConductorState | LoadState, Tone>> = { live: 'live', fed: 'live', leaking: 'live', dead: 'second', charged: 'live', awake: 'live', 'can move': 'warn' };

function pointShapes({ node, box, x, axis }: PlacedNode, point: string, name: string | undefined, situation: Situation, leads: ReadonlyMap<string, Stroke>): Group {
  const state = situation.places?.get(point);
  const [moment] = situation.figures?.get(`point ${point}`) ?? [];
  const voltage = moment === undefined ? situation.voltages?.get(point) : undefined;
  const words = [state, voltage].filter((word) => word !== undefined);
  const supply = node.type === 'point' && node.role === 'supply';
  const stroke = node.type !== 'point' || node.role !== 'supply' || state === undefined ? LINES[node.type === 'point' ? node.role : 'supply'] : LINES[state];
  const middle = x + box.width / 2;
  const voltageLine = supply ? box.words.find((line) => line.state?.line === 1) : undefined;
  return {
    shape: 'group', classes: ['point', ...(state === undefined ? [] : [state])], data: { point, ...(state === undefined ? {} : { state }) }, ...(name === undefined ? {} : { title: [name, ...words].join(', ') }),
    shapes: [
      ...(leads.has(`${node.id}\nin`) ? [line(x, axis, middle, axis, state === undefined ? (leads.get(`${node.id}\nin`) ?? stroke) : stroke)] : []),
      ...(leads.has(`${node.id}\nthrough`) ? [line(middle, axis, x + box.width, axis, state === undefined ? (leads.get(`${node.id}\nthrough`) ?? stroke) : stroke)] : []),
      ...(name === undefined ? [] : [{ ...dot(middle, axis, 0.9), fill: stroke.tone }]),
      ...(node.type === 'point' && node.barred ? barSign(middle, axis, axis + 3.4) : []),
      ...wordShapes(box, x, axis, supply && words.length > 0 ? { lines: words, tone: state === undefined ? 'ink' : WORDS_TONE[state] } : undefined),
      ...(voltageLine === undefined || moment === undefined ? [] : [figure(moment, [x + voltageLine.x, axis + voltageLine.y], voltageLine.anchor)]),
    ],
  };
}

function signShapes({ node, box, x, axis }: PlacedNode): Group {
  const right = x + box.width;
  const half = box.above;
  const out = node.type === 'sign' && node.side === 'out';
  const outline: Point[] = out
    ? [[x + 3, axis - half], [right, axis - half], [right, axis + half], [x + 3, axis + half], [x, axis]]
    : [[x, axis - half], [right - 3, axis - half], [right, axis], [right - 3, axis + half], [x, axis + half]];
  return { shape: 'group', classes: ['sign'], shapes: [{ shape: 'polyline', points: outline, closed: true, stroke: { width_mm: 0.35, tone: 'ink' }, fill: 'paper' }, ...wordShapes(box, x, axis, undefined)] };
}

function partShapes(diagram: Diagram, { node, box, x, axis }: PlacedNode, id: string, situation: Situation, leads: ReadonlyMap<string, Stroke>): Group {
  if (node.type !== 'part' || box.glyph === undefined) throw new Error(`${id} has no symbol`);
  const glyph = symbolOf(node.part, lookOf(diagram, node, situation.positions ?? NOWHERE));
  const state = situation.loads?.get(id) ?? situation.conductors?.get(id);
  const failed = situation.failed?.get(id);
  const said = failed === undefined ? situation.loads?.get(id) : failed;
  const shapes: Shape[] = [];
  for (const pin of pinsOf(box)) {
    const y = axis + pin.at;
    const stroke = leads.get(`${node.id}\n${pin.name}`) ?? OUTLINE;
    if (pin.side === 'west' && box.symbolX > 0) shapes.push(line(x, y, x + box.symbolX, y, stroke));
    if (pin.side === 'east' && box.symbolX + glyph.width < box.width) shapes.push(line(x + box.symbolX + glyph.width, y, x + box.width, y, stroke));
    if (pin.side === 'south' && glyph.below < box.below) shapes.push(line(x + box.symbolX + pin.at, axis + glyph.below, x + box.symbolX + pin.at, axis + box.below, stroke));
  }
  shapes.push(...placed(withLeads(glyph, (pin) => leads.get(`${node.id}\n${pin}`)), x + box.symbolX, axis));
  const inked = state === 'dead' ? faded(shapes) : shapes;
  const figures = partFigures(box, x, axis, situation.figures?.get(`part ${id}`) ?? [], said !== undefined);
  return {
    shape: 'group',
    classes: ['part', node.part.kind.replace(/ /g, '-'), ...(state === undefined ? [] : [state.replace(' ', '-')]), ...(failed === undefined ? [] : ['failed']), ...(situation.path?.has(id) === true ? ['path'] : [])],
    data: { part: id, ...(state === undefined ? {} : { state }) },
    title: [id, node.part.about, said].filter((word) => word !== undefined && word !== '').join(', '),
    shapes: [
      ...inked,
      ...wordShapes(box, x, axis, said === undefined ? undefined : { lines: [said], tone: failed !== undefined || said === 'can move' ? 'warn' : WORDS_TONE[said as LoadState] }, figures.instead),
      ...figures.shapes,
      ...(failed === undefined ? [] : crossed(x + box.symbolX + glyph.width / 2, axis, Math.min(2.2, glyph.above, glyph.below))),
      ...(situation.path?.has(id) === true ? brackets(x + box.symbolX, axis - glyph.above, glyph.width, glyph.above + glyph.below) : []),
    ],
  };
}

/** A symbol's own leads look like the conductors that they go on as. */
function withLeads(glyph: Glyph, lead: (pin: string) => Stroke | undefined): Shape[] {
  return glyph.shapes.map((shape) => {
    if (shape.shape !== 'line' || shape.y1 !== shape.y2) return shape;
    const pin = glyph.pins.find(({ side, at }) => at === shape.y1 && (side === 'west' ? Math.min(shape.x1, shape.x2) === 0 : side === 'east' && Math.max(shape.x1, shape.x2) === glyph.width));
    const stroke = pin === undefined ? undefined : lead(pin.name);
    return stroke === undefined ? shape : { ...shape, stroke };
  });
}

/** The same ink for what is dead: thin and grey. */
function faded(shapes: readonly Shape[]): Shape[] {
  const thin = (stroke: Stroke): Stroke => ({ ...stroke, width_mm: Math.min(stroke.width_mm, 0.35), tone: 'dead' });
  return shapes.map((shape): Shape => {
    switch (shape.shape) {
      case 'group':
        return { ...shape, shapes: faded(shape.shapes) };
      case 'text':
        return { ...shape, tone: 'second' };
      case 'line':
        return { ...shape, stroke: thin(shape.stroke) };
      default:
        return { ...shape, stroke: shape.stroke && thin(shape.stroke), fill: shape.fill === 'ink' ? 'dead' : shape.fill };
    }
  });
}

/** A failed part carries a cross over its symbol. */
function crossed(x: number, y: number, reach: number): Shape[] {
  const stroke: Stroke = { width_mm: 0.8, tone: 'warn', cap: 'round' };
  return [line(x - reach, y - reach, x + reach, y + reach, stroke), line(x - reach, y + reach, x + reach, y - reach, stroke)];
}

/** Corners around what a path leads through. */
function brackets(x: number, y: number, width: number, height: number): Shape[] {
  const stroke: Stroke = { width_mm: 0.5, tone: 'ink' };
  const reach = 1.6;
  const [right, bottom] = [x + width, y + height];
  return [
    polyline([[x, y + reach], [x, y], [x + reach, y]], stroke), polyline([[right - reach, y], [right, y], [right, y + reach]], stroke),
    polyline([[x, bottom - reach], [x, bottom], [x + reach, bottom]], stroke), polyline([[right - reach, bottom], [right, bottom], [right, bottom - reach]], stroke),
  ];
}

