import { describe, expect, it } from 'vitest';
import { checkShapes } from '../../../src/sheets/drawing/check.ts';
import { drawView, layView } from '../../../src/sheets/drawing/drawing.ts';
import type { Group, Shape } from '../../../src/sheets/drawing/shapes.ts';
import type { Figure, Situation } from '../../../src/sheets/drawing/situation.ts';
import { svgOf } from '../../../src/sheets/drawing/svg.ts';
import { ALL_DEMOS, demoText, machineOf } from '../../questions/machines.ts';

/** As wide as a figure gets. */
const WIDE = '−888 mA';

function figures(prefix: string, count: number): readonly Figure[] {
  return Array.from({ length: count }, (_, k) => ({ name: `${prefix} ${k}`, text: WIDE }));
}

function* figureGroups(shapes: readonly Shape[]): Generator<Group> {
  for (const shape of shapes) {
    if (shape.shape !== 'group') continue;
    if (shape.classes.includes('figure')) yield shape;
    yield* figureGroups(shape.shapes);
  }
}

describe('figures of a moment', () => {
  it.each(ALL_DEMOS)('%s: stand clear of each other and of every line, however wide they become', async (name) => {
    const machine = machineOf(demoText(name));
    const laid = await layView(machine, 2.5);
    const parts = [...machine.parts.values()];
    const points = laid.diagram.edges.flatMap(({ from, to }) => [from.node, to.node]).filter((node) => node.startsWith('point '));
    const situation: Situation = {
      loads: new Map(parts.filter(({ kind }) => kind === 'controller' || kind === 'lamp' || kind === 'receiver').map(({ id }) => [id, 'can move'])),
      places: new Map(points.map((point) => [point.slice('point '.length), 'leaking'])),
      figures: new Map([
        ...parts.map(({ id }) => [`part ${id}`, figures(id, 3)] as const),
        ...laid.diagram.edges.map(({ id }) => [id, figures(id, 2)] as const),
        ...points.map((point) => [point, figures(point, 1)] as const),
      ]),
    };
    const sheet = drawView(laid, situation);
    expect(checkShapes(sheet.shapes, { left: 0, top: 0, right: sheet.width_mm, bottom: sheet.height_mm })).toEqual([]);
    const drawn = [...figureGroups(sheet.shapes)].map(({ data }) => data?.figure);
    expect(new Set(drawn).size).toBe(drawn.length);
    for (const { id, kind } of parts) if (kind === 'controller') expect(drawn, id).toContain(`${id} 0`);
    expect(svgOf(sheet, { id: 'x' })).toContain('data-figure="');
  });

  it('take the place of a size, and without them nothing changes', async () => {
    const laid = await layView(machineOf(demoText('crush10s')), 2.5);
    const plain = svgOf(drawView(laid));
    const figured = svgOf(drawView(laid, { figures: new Map([['wiring.drive#1', [{ name: '7', text: '338 mA' }]]]) }));
    const written = (svg: string): string[] => [...svg.matchAll(/<text[^>]*>([^<]*)</g)].map(([, words]) => words!);
    expect(written(plain)).toContain('8 AWG');
    expect(plain.includes('data-figure')).toBe(false);
    expect(figured.includes('<g class="figure" data-figure="7"><text')).toBe(true);
    expect(written(figured)).toContain('338 mA');
    expect(written(figured)).not.toContain('8 AWG');
  });
});
