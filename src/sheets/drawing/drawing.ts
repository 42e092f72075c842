import type { Machine } from '../../machine/machine.ts';
import { kindOf } from '../../machine/parts.ts';
import { frameOf, frameShapes, type PageFormat, type Stamp } from './frame.ts';
import { fittedLayout, scaleIn } from './fold.ts';
import { diagramOf, type Diagram } from './graph.ts';
import type { Block } from './block.ts';
import { pictureOf } from './picture.ts';
import { placed, type Sheet } from './shapes.ts';
import type { Situation } from './situation.ts';
import { sheetsOf, type LaidSheet } from './split.ts';
import { oneLine } from './type.ts';

/** A machine laid out on paper; sheets in any situation are drawn from it at once. */
export interface LaidDrawing {
  readonly machine: Machine;
  readonly format: PageFormat;
  readonly sheets: readonly LaidSheet[];
}

/** A machine laid out for a screen: one picture of whatever shape comes nearest to the room. */
export interface LaidView {
  readonly machine: Machine;
  readonly diagram: Diagram;
  readonly block: Block;
}

/** Lays a machine out on pages, landscape; the same for the same machine. */
export async function layDrawing(machine: Machine, format: PageFormat = 'A4'): Promise<LaidDrawing> {
  const { room } = frameOf(format);
  return { machine, format, sheets: await sheetsOf(diagramOf(machine), room) };
}

/** The pages, with border, key and title block. */
export function drawSheets({ machine, format, sheets }: LaidDrawing, stamp: Stamp = {}, situation: Situation = {}): Sheet[] {
  const frame = frameOf(format);
  return sheets.map(({ name, diagram, block }, k): Sheet => {
    const scale = scaleIn(frame.room, block);
    const x = frame.room.left + (frame.room.width - scale * block.width) / 2;
    const y = frame.room.top + (frame.room.height - scale * block.height) / 2;
    const title = { machine: oneLine(machine.name), about: machine.about === undefined ? undefined : oneLine(machine.about), sheet: name, number: k + 1, of: sheets.length };
    return {
      title: `${oneLine(machine.name)}: ${name}`,
      description: describe(diagram, situation),
      width_mm: frame.width,
      height_mm: frame.height,
      shapes: [
        ...frameShapes(frame, title, stamp, diagram, situation),
        { shape: 'group', classes: ['diagram'], shapes: placed(pictureOf(diagram, block, situation), x, y, scale) },
      ],
    };
  });
}

/**
 * Lays a machine out in one picture without a frame, for a screen.
 * @param aspect  width of the place for it over its height
 */
export async function layView(machine: Machine, aspect: number): Promise<LaidView> {
  if (!(aspect > 0)) throw new RangeError(`aspect: expected > 0, got ${aspect}`);
  const diagram = diagramOf(machine);
  return { machine, diagram, block: await fittedLayout(diagram, { width: 180 * aspect, height: 180 }) };
}

/** The picture of a laid-out machine in a situation, 1:1 in mm. */
export function drawView({ machine, diagram, block }: LaidView, situation: Situation = {}): Sheet {
  return { title: `${oneLine(machine.name)}: power diagram`, description: describe(diagram, situation), width_mm: block.width, height_mm: block.height, shapes: pictureOf(diagram, block, situation) };
}

/** The drawing in sentences: its parts, and lead by lead what goes where. */
function describe(diagram: Diagram, situation: Situation): string {
  const parts = [...diagram.nodes.values()].flatMap((node) => {
    if (node.type !== 'part') return [];
    const state = situation.failed?.get(node.part.id) ?? situation.loads?.get(node.part.id) ?? situation.positions?.get(node.part.id);
    const said = [node.part.about ?? kindOf(node.part.kind)?.name.replace(/^an? /, ''), state].filter((word) => word !== undefined);
    return [`${node.part.id} (${said.join(', ')})`];
  });
  const chains = new Map<string, { readonly name: string; readonly stops: string[] }>();
  for (const edge of diagram.edges) {
    const chain = chains.get(edge.chain) ?? { name: edge.name, stops: [] };
    chains.set(edge.chain, chain);
    for (const { node } of [edge.from, edge.to]) {
      const found = diagram.nodes.get(node);
      const stop = found?.type === 'part' ? found.part.id : found?.type === 'point' ? found.point : (found?.words[0] ?? '');
      if (chain.stops.at(-1) !== stop) chain.stops.push(stop);
    }
  }
  const leads = [...chains.values()].map(({ name, stops }) => `${name}: ${stops.join(', ')}`);
  const situated = situation.words === undefined ? '' : `${situation.words}. `;
  return oneLine(`${situated}Parts: ${parts.join('; ')}. Leads: ${leads.join('; ')}.`);
}
