import { useEffect, useLayoutEffect, useRef } from 'preact/hooks';
import { aspect, drawn, drawingFault } from '../store/drawing.ts';
import { good } from '../store/document.ts';
import { begin, doing, otherEnd } from '../store/in-hand.ts';
import { turnOn } from '../store/situation.ts';
import { go, isWide, select, selectedPart } from '../store/view.ts';
import { makeReachable, nameAt } from './reachable.ts';
import { Late, type Later } from '../shell/late.tsx';
import { SituationStrip } from './situation-strip.tsx';
import { Key } from './key.tsx';

const TIME: Later = { id: 'time', name: 'Over time', load: async () => (await import('../time/time-strip.tsx')).TimeStrip };

/** The machine, in the situation that the strip names. */
export function DrawingPane() {
  return (
    <section class="drawing-pane" aria-label="The drawing">
      <SituationStrip />
      <Sheet />
      {doing.value === 'connect' ? <Pointing /> : <Key />}
      <div class="time-place"><Late view={TIME} /></div>
    </section>
  );
}

/** In the place of the key: what a click does now. */
function Pointing() {
  return <p class="pointing-words" role="status">Point at what the new lead goes to: a part, a place or another lead. <button type="button" class="plain" onClick={() => begin(undefined)}>Never mind</button></p>;
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
  const leads = drawn.value?.leads;
  // A picture that is drawn anew takes the keyboard's place with it: it goes back to what it was at.
  const focused = useRef<string | undefined>(undefined);
  // Before anything else can happen, so that no key is lost in between.
  useLayoutEffect(() => {
    const element = place.current;
    if (element === null) return;
    makeReachable(element, leads ?? {});
    if (focused.current !== undefined && document.activeElement === document.body) element.querySelector<SVGGElement>(`g[data-part="${CSS.escape(focused.current)}"]`)?.focus();
  }, [svg, selectedPart.value]);
  useEffect(() => {
    const forget = (event: Event): void => {
      if (!(event.target instanceof Element && event.target.closest('.sheet') !== null)) focused.current = undefined;
    };
    addEventListener('pointerdown', forget);
    addEventListener('focusin', forget);
    return () => {
      removeEventListener('pointerdown', forget);
      removeEventListener('focusin', forget);
    };
  }, []);
  if (drawingFault.value !== undefined) return <p class="trouble">The drawing cannot be made: {drawingFault.value}.</p>;
  return (
    <div
      class={`sheet ${doing.value === 'connect' ? 'pointing' : ''}`} ref={place} onClick={(event) => pick(nameAt(event.target, leads ?? {}))} onKeyDown={(event) => press(event, leads ?? {})}
      onFocusIn={(event) => (focused.current = nameAt(event.target, leads ?? {}))}
    >
      {svg === undefined ? <p class="waiting">{good.value === undefined ? 'The drawing appears when the file is a machine.' : 'Drawing …'}</p> : <div class="ink" dangerouslySetInnerHTML={{ __html: svg }} />}
    </div>
  );
}

/** Layouts are for shapes, not for pixels: a little narrower is the same one. */
function rounded(ratio: number): number {
  return Math.max(0.4, Math.round(ratio * 4) / 4);
}

/** Takes in hand what was pointed at, turns a switch that is in hand, or gives a new lead its other end. */
function pick(name: string | undefined): void {
  if (doing.peek() === 'connect' && selectedPart.peek() !== undefined) {
    if (name === undefined || name === selectedPart.peek()) return;
    otherEnd.value = `pointed ${name}`;
    if (!isWide.peek()) go('hand', selectedPart.peek());
    return;
  }
  if (name !== undefined && name === selectedPart.peek()) turnOn(name);
  else select(name);
}

function press(event: KeyboardEvent, leads: Readonly<Record<string, string>>): void {
  const name = nameAt(event.target, leads);
  if (event.key === 'Escape') {
    if (doing.peek() === undefined) select(undefined);
    else begin(undefined);
  }
  if (name === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === 'Enter' || event.key === ' ') {
    event.preventDefault();
    pick(name);
    if (!isWide.peek() && doing.peek() === undefined) go('hand', name);
  }
  if (event.key === 's') turnOn(name);
}
