import type { Machine } from '../machine/machine.ts';
import type { Stamp } from '../sheets/document/document.ts';
import type { PageFormat } from '../sheets/drawing/frame.ts';
import type { Sheet } from '../sheets/drawing/shapes.ts';

/** Draws the machine's pages; what lays them out is large and loaded only for that. */
export async function draw(machine: Machine, { revision, date, fingerprint }: Stamp, format: PageFormat): Promise<readonly Sheet[]> {
  const { drawSheets, layDrawing } = await import('../sheets/drawing/drawing.ts');
  return drawSheets(await layDrawing(machine, format), { fingerprint, ...(revision === undefined ? {} : { revision }), ...(date === undefined ? {} : { date }) });
}
