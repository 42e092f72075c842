import { useEffect, useMemo, useRef } from 'preact/hooks';
import type { Replay, ReplayMark } from '../../questions/replay/replay.ts';
import { axisOver } from '../../sheets/report/axis.ts';
import type { Span } from '../../sheets/replay/csv.ts';
import { at_s, atWords, goTo, hop, marksShown, pan, shown, zoom } from './run.ts';
import { togglePlay } from './play.ts';
import { useWidth } from './width.ts';

/** Steps of the slider over what is shown. */
const STEPS = 2000;
/** A wheel's notch changes the span by about a quarter. */
const WHEEL = 0.0022;
const LETTER_PX = 6.6;

/** The run as a ruler: what happens when, and a slider along it. */
export function Ruler({ replay }: { readonly replay: Replay }) {
  const place = useRef<HTMLDivElement>(null);
  const width = useWidth(place);
  useGestures(place);
  const span = shown.value;
  const length = span.until_s - span.from_s;
  return (
    <div class="ruler" ref={place}>
      <svg class="ruler-marks" width={width} height="58" viewBox={`0 0 ${width} 58`} aria-hidden="true"><Marks replay={replay} span={span} width={width} /></svg>
      <input
        type="range" min="0" max={STEPS} step="1" aria-label="Moment of the run" aria-valuetext={atWords.value} aria-keyshortcuts="+ - , . P"
        value={Math.round(((at_s.value - span.from_s) / length) * STEPS)}
        onInput={(event) => goTo(span.from_s + (Number(event.currentTarget.value) / STEPS) * length)}
        onKeyDown={press}
      />
    </div>
  );
}

/** Arrows, page, home and end keys are the slider's own. */
function press(event: KeyboardEvent): void {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const acts: Readonly<Record<string, () => void>> = { '+': () => zoom(1 / ZOOM), '=': () => zoom(1 / ZOOM), '-': () => zoom(ZOOM), ',': () => hop(-1), '.': () => hop(1), p: togglePlay };
  const act = acts[event.key];
  if (act === undefined) return;
  event.preventDefault();
  act();
}

/** What one press changes the span by: two of them are a decade. */
export const ZOOM = Math.sqrt(10);

/** Wheel and two fingers: closer and wider about where they are, sideways along. */
function useGestures(place: { readonly current: HTMLElement | null }): void {
  useEffect(() => {
    const element = place.current;
    if (element === null) return;
    const momentAt = (x: number): number => {
      const { left, width } = element.getBoundingClientRect();
      const { from_s, until_s } = shown.peek();
      return from_s + ((x - left) / width) * (until_s - from_s);
    };
    const wheel = (event: WheelEvent): void => {
      event.preventDefault();
      const { from_s, until_s } = shown.peek();
      if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) pan((event.deltaX / element.clientWidth) * (until_s - from_s));
      else zoom(Math.exp(event.deltaY * WHEEL), momentAt(event.clientX));
    };
    const fingers = new Map<number, number>();
    const move = (event: PointerEvent): void => {
      if (!fingers.has(event.pointerId)) return;
      const before = spread(fingers);
      fingers.set(event.pointerId, event.clientX);
      if (fingers.size !== 2) return;
      event.preventDefault();
      event.stopPropagation();
      const [a = 0, b = 0] = fingers.values();
      zoom(before / Math.max(8, spread(fingers)), momentAt((a + b) / 2));
    };
    const down = (event: PointerEvent): void => {
      if (event.pointerType === 'touch') fingers.set(event.pointerId, event.clientX);
    };
    const up = (event: PointerEvent): void => void fingers.delete(event.pointerId);
    element.addEventListener('wheel', wheel, { passive: false });
    element.addEventListener('pointerdown', down);
    element.addEventListener('pointermove', move, { capture: true });
    for (const name of ['pointerup', 'pointercancel'] as const) element.addEventListener(name, up);
    return () => {
      element.removeEventListener('wheel', wheel);
      element.removeEventListener('pointerdown', down);
      element.removeEventListener('pointermove', move, { capture: true });
      for (const name of ['pointerup', 'pointercancel'] as const) element.removeEventListener(name, up);
    };
  }, [place]);
}

function spread(fingers: ReadonlyMap<number, number>): number {
  const [a = 0, b = 0] = fingers.values();
  return Math.max(8, Math.abs(a - b));
}

interface Placed {
  readonly x: number;
  readonly words: string;
}

function Marks({ replay, span, width }: { readonly replay: Replay; readonly span: Span; readonly width: number }) {
  const marks = useMemo(() => (width < 40 ? null : marksOf(replay, span, width)), [replay, span, width]);
  const past = Math.max(0, Math.min(width, ((at_s.value - span.from_s) / (span.until_s - span.from_s)) * width));
  return <><path class="ruler-line" d={`M0 27H${width}`} /><path class="ruler-past" d={`M0 27H${past}`} />{marks}</>;
}

function marksOf(replay: Replay, span: Span, width: number) {
  const xOf = (moment_s: number): number => ((moment_s - span.from_s) / (span.until_s - span.from_s)) * width;
  const ticks = axisOver(span.from_s, span.until_s, 's', Math.max(2, width / 150), false).ticks;
  const inside = replay.marks.filter(({ from_s }) => from_s >= span.from_s && from_s <= span.until_s);
  const chosen = new Set(marksShown());
  const steps = placed(inside.filter(({ sort }) => sort === 'step'), xOf);
  const labelled = placed(inside.filter(({ sort, from_s }) => sort === 'step' || chosen.has(from_s)), xOf);
  const events = new Set(inside.filter(({ sort }) => sort === 'event').map(({ from_s }) => Math.round(xOf(from_s))));
  return (
    <>
      <path class="ruler-event" d={[...events].map((x) => `M${x} 22v10`).join('')} />
      <path class="ruler-step" d={steps.map(({ x }) => `M${x} 16v22`).join('')} />
      {fitting(labelled, width).map(({ x, words, end }) => <text key={`${x} ${words}`} class="ruler-words" x={x} y={12} text-anchor={end ? 'end' : 'start'}>{words}</text>)}
      {ticks.map(({ at, text }) => <text key={text} class="ruler-tick" x={xOf(at)} y={54} text-anchor={xOf(at) > width - 24 ? 'end' : xOf(at) < 24 ? 'start' : 'middle'}>{text} s</text>)}
    </>
  );
}

/** Marks at one place are one, with the words of those that say most: a step rather than what it brings about, or than the wait after it. */
function placed(marks: readonly ReplayMark[], xOf: (moment_s: number) => number): Placed[] {
  const at = new Map<number, ReplayMark[]>();
  for (const mark of marks) {
    const x = Math.round(xOf(mark.from_s));
    at.set(x, [...(at.get(x) ?? []), mark]);
  }
  return [...at].sort(([a], [b]) => a - b).map(([x, here]) => {
    const steps = here.filter(({ sort }) => sort === 'step');
    const acts = steps.filter(({ words }) => !/(^|, )wait /.test(words));
    const told = acts.length > 0 ? acts : steps.length > 0 ? steps : here;
    return { x, words: [...new Set(told.map(({ words }) => words))].join('; ') };
  });
}

/** Words that fit beside each other, cut where the next begin; what has no room is left out. */
function fitting(marks: readonly Placed[], width: number): readonly (Placed & { readonly end: boolean })[] {
  let free = 0;
  return marks.flatMap(({ x, words }, k): (Placed & { readonly end: boolean })[] => {
    if (x < free) return [];
    const next = marks.slice(k + 1).find((other) => other.x > x + MIN_LABEL_PX)?.x ?? Infinity;
    const room = Math.min(next - 10, width) - x;
    const letters = Math.floor(room / LETTER_PX);
    if (letters >= words.length) {
      free = x + words.length * LETTER_PX + 10;
      return [{ x, words, end: false }];
    }
    // The last one may be read towards the left.
    if (next === Infinity && x - free > words.length * LETTER_PX) return [{ x, words, end: true }];
    if (letters < 7) return [];
    free = x + letters * LETTER_PX + 10;
    return [{ x, words: `${words.slice(0, letters - 1).trimEnd()}…`, end: false }];
  });
}

const MIN_LABEL_PX = 54;
