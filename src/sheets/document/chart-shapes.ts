import type { PathStep, Shape, Sheet, Tone } from '../drawing/shapes.ts';
import { chart, describe } from '../report/chart.ts';
import type { Plot } from '../report/scale.ts';

/** Millimetres per px of the page's chart: it is 720 px wide and a printed column 180 mm. */
const MM_PER_PX = 0.25;

/** How each class of the page's chart is inked on paper. */
const INK: Readonly<Record<string, { readonly width: number; readonly tone: Tone; readonly dash?: readonly number[]; readonly fill?: Tone }>> = {
  grid: { width: 0.5, tone: 'rule' },
  axis: { width: 1.2, tone: 'second' },
  c0: { width: 2.6, tone: 'ink' },
  c1: { width: 1.8, tone: 'ink' },
  c2: { width: 1.4, tone: 'second' },
  c3: { width: 3.2, tone: 'dead' },
  tag: { width: 1.4, tone: 'ink', fill: 'paper' },
  threshold: { width: 1.4, tone: 'ink', dash: [2, 4] },
  leader: { width: 0.8, tone: 'ink' },
  'mark-point': { width: 2, tone: 'ink', fill: 'paper' },
};

/**
 * The chart of the page as a sheet of shapes, so that it stands on paper with every label where the page has it.
 * Reads the markup that chart.ts writes: paths of straight lines, circles and texts.
 */
export function chartSheet(plot: Plot): Sheet {
  const sheet = known.get(plot) ?? shapesOf(plot);
  known.set(plot, sheet);
  return sheet;
}

/** A chart stands on several papers. */
const known = new WeakMap<Plot, Sheet>();

function shapesOf(plot: Plot): Sheet {
  const [wide = ''] = chart(plot).split('</svg>');
  const [, width = '720', height = '320'] = /viewBox="0 0 (\d+) (\d+)"/.exec(wide) ?? [];
  const size_px = Number(/font-size="([\d.]+)"/.exec(wide)?.[1] ?? '13');
  const shapes: Shape[] = [];
  for (const [, name = '', words = '', inner = ''] of wide.matchAll(/<(path|circle|text)((?:\s[a-z-]+="[^"]*")*)(?:\/>|>([^<]*)<\/text>)/g)) {
    const attribute = new Map([...words.matchAll(/([a-z-]+)="([^"]*)"/g)].map(([, key = '', value = '']) => [key, value]));
    const mm = (key: string): number => Number(attribute.get(key) ?? '0') * MM_PER_PX;
    const classes = (attribute.get('class') ?? '').split(' ');
    if (name === 'text') {
      const anchor = attribute.get('text-anchor');
      const common = { shape: 'text', x: mm('x'), y: mm('y'), text: unescaped(inner), anchor: anchor === 'end' || anchor === 'middle' ? anchor : 'start', size_mm: size_px * MM_PER_PX } as const;
      const bold = classes.includes('threshold-name') || classes.includes('mark-name');
      shapes.push({ ...common, weight: bold ? 700 : 400, tone: classes.includes('tick') || classes.includes('name') ? 'second' : 'ink' });
      continue;
    }
    const ink = INK[classes.includes('tag') ? 'tag' : (classes.find((one) => one in INK) ?? 'axis')] ?? { width: 1, tone: 'ink' };
    const dash = classes.includes('dashed') ? [7, 5] : ink.dash;
    const stroke = { width_mm: ink.width * MM_PER_PX, tone: ink.tone, ...(dash === undefined ? {} : { dash_mm: dash.map((length) => length * MM_PER_PX) }) };
    if (name === 'circle') shapes.push({ shape: 'circle', cx: mm('cx'), cy: mm('cy'), r: mm('r'), stroke, fill: ink.fill });
    else shapes.push({ shape: 'path', steps: stepsOf(attribute.get('d') ?? ''), stroke, fill: ink.fill });
  }
  return { title: plot.title, description: describe(plot), width_mm: Number(width) * MM_PER_PX, height_mm: Number(height) * MM_PER_PX, shapes };
}

/** Moves and straight lines, relative ones made absolute. */
function stepsOf(d: string): PathStep[] {
  const steps: PathStep[] = [];
  let [x, y] = [0, 0];
  for (const [, letter = '', rest = ''] of d.matchAll(/([MLHVmlhvzZ])([^MLHVmlhvzZ]*)/g)) {
    const [a = 0, b = 0] = [...rest.matchAll(/-?[\d.]+/g)].map(([text]) => Number(text));
    const low = letter.toLowerCase();
    if (low === 'z') {
      steps.push(['Z']);
      continue;
    }
    const [fromX, fromY] = letter === low ? [x, y] : [0, 0];
    if (low !== 'v') x = fromX + a;
    if (low !== 'h') y = fromY + (low === 'v' ? a : b);
    steps.push([low === 'm' ? 'M' : 'L', x * MM_PER_PX, y * MM_PER_PX]);
  }
  return steps;
}

function unescaped(text: string): string {
  return text.replace(/&(lt|gt|quot|#39|amp);/g, (_, name: string) => ({ lt: '<', gt: '>', quot: '"', '#39': "'", amp: '&' })[name] ?? '');
}
