import { good } from '../store/document.ts';
import { selectedPart } from '../store/view.ts';

const SVG = 'http://www.w3.org/2000/svg';

/** Parts of the drawing can be reached by key and say what they are; leads and places can be pointed at. */
export function makeReachable(element: HTMLElement, leads: Readonly<Record<string, string>>): void {
  const switches = new Set(good.peek()?.changeables.switches.map(({ part }) => part));
  const held = selectedPart.peek();
  const bare: SVGGElement[] = [];
  // Parts inside a picture are silent: here the picture is a group of buttons.
  element.querySelector('svg')?.setAttribute('role', 'group');
  for (const group of element.querySelectorAll<SVGGElement>('g[data-part]')) {
    // What is drawn inside another part is reached through that one, or from the list of parts.
    if (group.parentElement?.closest('g[data-part]')) continue;
    const part = group.dataset['part'] ?? '';
    group.setAttribute('tabindex', '0');
    group.setAttribute('role', 'button');
    group.setAttribute('aria-pressed', String(held === part));
    if (switches.has(part)) sayHow(group);
    group.classList.toggle('selected', held === part);
    if (group.querySelector(':scope > .hit') === null) bare.push(group);
  }
  // All are measured before anything is put in: otherwise each measure lays the whole picture out anew.
  const boxes = bare.map((group) => group.getBBox());
  bare.forEach((group, k) => group.insertBefore(hitArea(boxes[k]!), group.querySelector(':scope > :not(title)')));
  const groups = [...element.querySelectorAll<SVGGElement>('g.conductor, g.bar, g.point')].filter((group) => nameAt(group, leads) !== undefined);
  // What is pointed at beside a line is the line, unless the ink of another one is there.
  if (element.querySelector('g.hits') === null) {
    const hits = document.createElementNS(SVG, 'g');
    hits.setAttribute('class', 'hits');
    for (const group of groups) {
      const own = document.createElementNS(SVG, 'g');
      for (const [name, value] of Object.entries(group.dataset)) if (value !== undefined) own.dataset[name] = value;
      own.append(...wideLines(group, 'hit-line'));
      hits.append(own);
    }
    groups[0]?.parentElement?.querySelector(':scope > g')?.before(hits);
  }
  for (const group of groups) {
    const name = nameAt(group, leads);
    // What stands for a part shows with that part.
    group.classList.toggle('selected', name !== undefined && held === name && good.peek()?.machine.parts.has(name) !== true);
    if (group.querySelector(':scope > .band-line') === null) group.querySelector(':scope > :not(title)')?.before(...wideLines(group, 'band-line'));
  }
}

/** A part's name is what is written at it; for a switch, its title adds how it is turned. */
function sayHow(group: SVGGElement): void {
  const title = group.querySelector(':scope > title');
  if (title !== null && !title.textContent.endsWith(TURNED)) title.textContent += TURNED;
}

const TURNED = ', a switch: once in hand, each click or Enter turns it; S turns it at once';

/** Symbols are lines: what a finger hits is the whole of the part, words included. */
function hitArea({ x, y, width, height }: DOMRect): SVGRectElement {
  const area = document.createElementNS(SVG, 'rect');
  area.setAttribute('class', 'hit');
  for (const [name, value] of [['x', x - 1], ['y', y - 1], ['width', width + 2], ['height', height + 2]] as const) area.setAttribute(name, String(value));
  return area;
}

/** The lines of a group once more, wide. */
function wideLines(group: SVGGElement, className: string): SVGElement[] {
  return [...group.querySelectorAll<SVGElement>(':scope > polyline, :scope > line, :scope > circle')].filter((line) => !line.classList.contains('band-line')).map((line) => {
    const wide = line.cloneNode(false) as SVGElement;
    for (const name of ['stroke-dasharray', 'stroke', 'stroke-width', 'fill']) wide.removeAttribute(name);
    wide.setAttribute('class', className);
    return wide;
  });
}

/** What something in the drawing is called: the id of a part, the name of a lead, a place with an @ before it. */
export function nameAt(target: EventTarget | null, leads: Readonly<Record<string, string>>): string | undefined {
  if (!(target instanceof Element)) return undefined;
  const group = target.closest<SVGGElement>('g[data-part], g[data-conductor], g[data-point]');
  const { part, conductor, point } = group?.dataset ?? {};
  if (part !== undefined) return part;
  if (conductor !== undefined) return leads[conductor] ?? partOfPoint(conductor.replace(/#joint$/, ''));
  return point === undefined ? undefined : partOfPoint(point) ?? placeNamed(point);
}

/** `T1+` and `T3 out` stand for the part that they are terminals of. */
function partOfPoint(point: string): string | undefined {
  const id = point.replace(/(?: out|[+-])$/, '');
  return id !== point && good.peek()?.machine.parts.has(id) === true ? id : undefined;
}

/** Where two conductors of one chain meet has no name in the machine. */
function placeNamed(point: string): string | undefined {
  const named = good.peek()?.machine.wiring.chains.some((chain) => [chain.from, chain.to].some((end) => 'place' in end && end.place === point));
  return named === true ? `@${point}` : undefined;
}
