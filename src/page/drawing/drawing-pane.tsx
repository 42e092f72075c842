import { useEffect, useRef } from 'preact/hooks';
import { aspect, drawn, drawingFault } from '../store/drawing.ts';
import { good } from '../store/document.ts';
import { turnOn } from '../store/situation.ts';
import { go, isWide, select, selectedPart } from '../store/view.ts';
import { SituationStrip } from './situation-strip.tsx';
import { Key } from './key.tsx';

/** The machine, in the situation that the strip names. */
export function DrawingPane() {
  return (
    <section class="drawing-pane" aria-label="The drawing">
      <SituationStrip />
      <Sheet />
      <Key />
    </section>
  );
}

function Sheet() {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const element = place.current;
    if (element === null) return;
    const measure = (): void => {
      const { width, height } = element.getBoundingClientRect();
      // A phone shows a piece of a drawing that can be read, not the whole of one that cannot.
      if (width > 0 && height > 0) aspect.value = isWide.peek() ? rounded(width / height) : 1;
    };
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    measure();
    return () => observer.disconnect();
  }, []);
  const svg = drawn.value?.svg;
  useEffect(() => {
    const element = place.current;
    if (element !== null) makeReachable(element);
  }, [svg, selectedPart.value]);
  if (drawingFault.value !== undefined) return <p class="trouble">The drawing cannot be made: {drawingFault.value}.</p>;
  return (
    <div class="sheet" ref={place} onClick={(event) => pick(event.target, event.detail > 1)} onKeyDown={press}>
      {svg === undefined ? <p class="waiting">{good.value === undefined ? 'The drawing appears when the file is a machine.' : 'Drawing …'}</p> : <div class="ink" dangerouslySetInnerHTML={{ __html: svg }} />}
    </div>
  );
}

/** Layouts are for shapes, not for pixels: a little narrower is the same one. */
function rounded(ratio: number): number {
  return Math.max(0.4, Math.round(ratio * 4) / 4);
}

/** Parts of the drawing can be reached by key, and say what they are. */
function makeReachable(element: HTMLElement): void {
  const switches = new Set(good.peek()?.changeables.switches.map(({ part }) => part));
  // Parts inside a picture are silent: here the picture is a group of buttons.
  element.querySelector('svg')?.setAttribute('role', 'group');
  for (const group of element.querySelectorAll<SVGGElement>('g[data-part]')) {
    // What is drawn inside another part is reached through that one, or from the list of parts.
    if (group.parentElement?.closest('g[data-part]')) continue;
    const part = group.dataset['part'] ?? '';
    group.setAttribute('tabindex', '0');
    group.setAttribute('role', 'button');
    group.setAttribute('aria-pressed', String(selectedPart.peek() === part));
    if (switches.has(part)) sayHow(group);
    group.classList.toggle('selected', selectedPart.peek() === part);
    if (group.querySelector(':scope > .hit') === null) group.insertBefore(hitArea(group), group.querySelector(':scope > :not(title)'));
  }
}

/** A part's name is what is written at it; for a switch, its title adds how it is turned. */
function sayHow(group: SVGGElement): void {
  const title = group.querySelector(':scope > title');
  if (title !== null && !title.textContent.endsWith(TURNED)) title.textContent += TURNED;
}

const TURNED = ', a switch: press S, or click twice, to turn it';

/** Symbols are lines: what a finger hits is the whole of the part, words included. */
function hitArea(group: SVGGElement): SVGRectElement {
  const { x, y, width, height } = group.getBBox();
  const area = document.createElementNS('http://www.w3.org/2000/svg', 'rect');
  area.setAttribute('class', 'hit');
  for (const [name, value] of [['x', x - 1], ['y', y - 1], ['width', width + 2], ['height', height + 2]] as const) area.setAttribute(name, String(value));
  return area;
}

function partAt(target: EventTarget | null): string | undefined {
  return target instanceof Element ? target.closest<SVGGElement>('g[data-part]')?.dataset['part'] : undefined;
}

function pick(target: EventTarget | null, twice: boolean): void {
  const part = partAt(target);
  if (part !== undefined && twice) turnOn(part);
  else select(part);
}

function press(event: KeyboardEvent): void {
  const part = partAt(event.target);
  if (event.key === 'Escape') select(undefined);
  if (part === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === 'Enter' || event.key === ' ') {
    event.preventDefault();
    select(part);
    if (!isWide.peek()) go('hand', part);
  }
  if (event.key === 's') turnOn(part);
}
