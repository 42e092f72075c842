import { useLayoutEffect, useRef } from 'preact/hooks';
import { go } from '../store/view.ts';
import { lineWords, logTrouble } from './log.ts';
import { addNote, leave, line, reading } from './run.ts';

/** What was done, and that it is in the log. */
export function CrewEnd() {
  const title = useRef<HTMLHeadingElement>(null);
  useLayoutEffect(() => title.current?.focus(), []);
  const written = line.value;
  const now = reading.value;
  if (written === undefined || now === undefined) return null;
  const done = written.outcome === 'done';
  return (
    <>
      <header class="crew-head"><p class="crew-place">{written.machine}</p><button type="button" class="plain" onClick={() => { leave(); go('questions'); }}>Leave</button></header>
      <div class="crew-body">
        <h1 ref={title} tabIndex={-1}>{done ? (now.list === 'power up' ? 'It is powered up' : 'It is off') : 'Stopped'}</h1>
        <p class="crew-detail">{done && now.list === 'power up' ? 'Everybody out. From here on it can move.' : done ? 'Measure before you reach in.' : 'Find out why before anybody tries again.'}</p>
        <section class="crew-log" aria-label="Line in the log">
          <h2>{logTrouble.value === undefined ? 'Written to the log' : 'Not written to the log'}</h2>
          {logTrouble.value === undefined ? null : <p class="trouble">{logTrouble.value}</p>}
          <p>{lineWords(written)}</p>
          <p><label>Match, pack voltage, initials <input type="text" autocomplete="off" value={written.note} onChange={(event) => addNote(event.currentTarget.value.trim())} /></label></p>
        </section>
      </div>
      <nav class="crew-foot two" aria-label="Go on">
        <span />
        <button type="button" class="crew-next ready" onClick={leave}>{done && now.list === 'power up' ? 'Go on' : 'Done'}</button>
      </nav>
    </>
  );
}
