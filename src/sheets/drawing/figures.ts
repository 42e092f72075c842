import type { Group, Point, Text } from './shapes.ts';
import type { Figure } from './situation.ts';
import { text, textWidth_mm, TYPE } from './type.ts';
import type { NodeBox, Words } from './words.ts';

/** Room for a figure whatever it becomes, and between two on one line, mm. */
const WIDEST_MM = textWidth_mm('−888 mA', TYPE.fact, 700);
const GAP_MM = 1.4;
const MOST_ON_A_LINE = 2;

/** A figure by its name, so that a screen can write it anew. */
export function figure({ name, text: words }: Figure, [x, y]: Point, anchor: Text['anchor']): Group {
  return { shape: 'group', classes: ['figure'], data: { figure: name }, shapes: [text(x, y, words, { weight: 700, anchor })] };
}

/** Figures at a conductor: one over its line, as many as there are under it. */
export function conductorFigures([x, y]: Point, figures: readonly Figure[]): Group[] {
  return figures.slice(0, 3).map((one, k) => figure(one, [x, k === 0 ? y - 1.3 : y + 3.1 + (k - 1) * TYPE.line], 'middle'));
}

/**
 * Figures of a part, in the lines under or beside its symbol that say what it is called.
 * @param taken  whether the first such line is needed for a state
 * @returns the lines that they take the place of, too
 */
export function partFigures(box: NodeBox, x: number, y: number, figures: readonly Figure[], taken: boolean): { readonly shapes: readonly Group[]; readonly instead: ReadonlySet<Words> } {
  const [title] = box.words;
  const lines = box.words.filter((words) => title !== undefined && words.y > title.y + 0.1 && !(taken && words.state?.instead === true));
  const instead = new Set<Words>();
  const shapes: Group[] = [];
  let next = 0;
  for (const line of lines) {
    const room = line.anchor === 'start' ? box.width - line.x : box.width;
    const fit = Math.min(MOST_ON_A_LINE, Math.max(1, Math.floor((room + GAP_MM) / (WIDEST_MM + GAP_MM))));
    const here = figures.slice(next, next + fit);
    if (here.length === 0) break;
    next += here.length;
    instead.add(line);
    here.forEach((one, k) => {
      const along = line.anchor === 'start' ? k : k - (here.length - 1) / 2;
      shapes.push(figure(one, [x + line.x + along * (WIDEST_MM + GAP_MM), y + line.y], line.anchor));
    });
  }
  return { shapes, instead };
}
