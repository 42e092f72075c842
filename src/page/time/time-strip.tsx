import { useEffect } from 'preact/hooks';
import { RUN_NAMES, type RunName } from '../../questions/replay/replay.ts';
import { good } from '../store/document.ts';
import { drawn } from '../store/drawing.ts';
import { curvesShown, moment, overTime } from '../store/moment.ts';
import { isWide } from '../store/view.ts';
import { Curves } from './curves.tsx';
import { playing, stop, togglePlay } from './play.ts';
import { Ruler, ZOOM } from './ruler.tsx';
import { atWords, at_s, closeRun, fault, following, goTo, hop, openRun, replay, run, running, shown, showWhole, whole, zoom } from './run.ts';
import { RUN_WORDS, spanWords } from './words.ts';

/** Under the drawing: which run is looked at, and where in it. */
export function TimeStrip() {
  const machine = good.value;
  const open = overTime.value;
  useFigures();
  useEffect(() => {
    if (!open) stop();
  }, [open]);
  return (
    <section class={`time ${open ? 'open' : ''}`} aria-label="Over time">
      <div class="time-bar">
        <span class="time-runs" role="group" aria-label="Run to look at">
          {RUN_NAMES.map((name) => <button key={name} type="button" aria-pressed={open && run.value === name} disabled={machine === undefined} onClick={() => choose(name)}>{RUN_WORDS[name]}</button>)}
        </span>
        {!open || isWide.value || running.value === undefined ? null : <button type="button" class="time-more" aria-pressed={curvesShown.value} onClick={() => (curvesShown.value = !curvesShown.value)}>Curves</button>}
        {open ? <Controls /> : <p class="time-hint">Over time: look at a moment of a run.</p>}
      </div>
      {open ? <Body /> : null}
    </section>
  );
}

/** The run that is open is closed by the same button. */
function choose(name: RunName): void {
  stop();
  if (overTime.peek() && run.peek() === name && following.peek()) closeRun();
  else if (run.peek() === name && overTime.peek()) goTo(at_s.peek());
  else openRun(name);
}

function Controls() {
  if (running.value === undefined) return null;
  const { from_s, until_s } = shown.value;
  const all = whole.value;
  return (
    <>
      <span class="time-moves">
        <button type="button" onClick={() => hop(-1)} title="To the mark before (key ,)" aria-label="To the mark before"><Sign d="M12 3L5 8L12 13ZM3 3V13" /></button>
        <button type="button" class="time-play" aria-pressed={playing.value} onClick={togglePlay} title={`${playing.value ? 'Stop' : 'Play'} (key P)`}>{playing.value ? 'Stop' : 'Play'}</button>
        <button type="button" onClick={() => hop(1)} title="To the next mark (key .)" aria-label="To the next mark"><Sign d="M4 3L11 8L4 13ZM13 3V13" /></button>
      </span>
      <p class="time-now">{atWords.value}</p>
      <span class="time-zoom" role="group" aria-label="How much of the run is shown">
        <span class="time-span">{spanWords(until_s - from_s)}</span>
        <button type="button" onClick={() => zoom(1 / ZOOM)} title="Closer (key +)" aria-label="Closer">+</button>
        <button type="button" onClick={() => zoom(ZOOM)} title="Wider (key −)" aria-label="Wider">−</button>
        <button type="button" disabled={from_s <= all.from_s && until_s >= all.until_s} onClick={showWhole}>Whole</button>
      </span>
    </>
  );
}

function Sign({ d }: { readonly d: string }) {
  return <svg viewBox="0 0 16 16" width="16" height="16" aria-hidden="true"><path class="time-sign" d={d} /></svg>;
}

function Body() {
  const now = replay.value;
  if (fault.value !== undefined) return <p class="time-note trouble">A fault of the program, not of your machine: {fault.value}.</p>;
  if (now === undefined) return <p class="time-note" role="status">The {RUN_WORDS[run.value].toLowerCase()} is being simulated …</p>;
  if ('why' in now) return <p class="time-note" role="status">There is no {RUN_WORDS[run.value].toLowerCase()} to look at: {now.why}.</p>;
  return (
    <>
      <Ruler replay={now} />
      {following.value ? null : <p class="time-left" role="status">The situation was changed by hand, so the drawing shows the machine at rest. <button type="button" class="plain" onClick={() => goTo(at_s.peek())}>Back to the run</button></p>}
      {isWide.value || !curvesShown.value ? null : <div class="time-curves" role="region" aria-label="Curves of the run" tabIndex={0}><Curves /></div>}
    </>
  );
}

/** Writes the figures of the moment into the drawing: it is drawn anew only where more than a figure changes. */
function useFigures(): void {
  const svg = drawn.value?.svg;
  const figures = moment.value?.figures;
  useEffect(() => {
    if (figures === undefined) return;
    const words = new Map(figures.flatMap(({ figures: own }) => own.map(({ name, text }) => [name, text])));
    for (const group of document.querySelectorAll<SVGGElement>('.drawing-pane .ink [data-figure]')) {
      const text = group.querySelector('text');
      const now = words.get(group.dataset['figure'] ?? '');
      if (text !== null && now !== undefined && text.textContent !== now) text.textContent = now;
    }
  }, [svg, figures]);
}
