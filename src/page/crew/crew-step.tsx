import { useLayoutEffect, useRef } from 'preact/hooks';
import { joinUnits } from '../../sheets/report/words.ts';
import { Mark } from '../questions/mark.tsx';
import { go } from '../store/view.ts';
import { Ring } from './ring.tsx';
import { at, back, countOver, cue, cue_ms, leave, next, notSo, overdue, readAloud, reading, screen, stop, stopped } from './run.ts';
import { placeWords } from './screens.ts';
import type { Screen } from './screen.ts';

/** One screen of the procedure, or how to get out of it. */
export function CrewStep() {
  const title = useRef<HTMLHeadingElement>(null);
  useLayoutEffect(() => title.current?.focus(), [at.value, stopped.value]);
  const now = reading.value;
  const shown = screen.value;
  if (now === undefined || shown === undefined) return null;
  return (
    <>
      <header class="crew-head">
        <p class="crew-place">{placeWords(now.screens, at.value, now.list)}</p>
        <span class="crew-head-buttons"><button type="button" class="plain" onClick={readAloud}>Say it</button><button type="button" class="plain" onClick={() => { leave(); go('crew'); }}>Leave</button></span>
      </header>
      <ol class="crew-bar" aria-hidden>{now.screens.map(({ stage }, k) => <li key={k} class={`${stage} ${k < at.value ? 'behind' : k === at.value ? 'here' : ''}`} />)}</ol>
      {stopped.value ? <Stopped shown={shown} title={title} /> : <Doing shown={shown} title={title} />}
    </>
  );
}

/** What comes after the name of who does it. */
const WHO_DOES: Readonly<Record<string, string>> = { Hands: 'act', All: 'together' };

interface PartProps {
  readonly shown: Screen;
  readonly title: { current: HTMLHeadingElement | null };
}

function Doing({ shown, title }: PartProps) {
  const { who, does, detail, count, warning, shows, otherwise, back: undo } = shown;
  const waiting = count !== undefined && cue_ms.value === undefined;
  return (
    <>
      <div class="crew-body">
        <p class="crew-who"><b>{who}</b> {WHO_DOES[who] ?? 'acts'}, <b>caller</b> reads</p>
        <h1 ref={title} tabIndex={-1}>{joinUnits(does)}</h1>
        {detail === undefined ? null : <p class="crew-detail">{detail}</p>}
        {warning === undefined ? null : <p class="crew-warning"><Mark verdict="bad" /> <span>{joinUnits(warning)}</span></p>}
        {count === undefined ? null : overdue.value ? <p class="crew-overdue" role="alert"><Mark verdict="bad" quiet /> <span><b>{count.overdue}</b> {undo.join(', ')}</span></p> : <Ring count={count} />}
        {shows.length === 0 ? null : (
          <dl class="crew-shows">{shows.map(({ where, what }) => <div key={`${where} ${what}`}><dt>{where}</dt><dd>{joinUnits(what)}</dd></div>)}</dl>
        )}
        <p class="crew-if-not"><Mark verdict="bad" quiet /> <span>Not so? <b>{otherwise}</b>{undo.length === 0 ? '' : ` ${undo.join(', ')}.`}</span></p>
      </div>
      <nav class="crew-foot" aria-label="Steps">
        {at.value === 0 ? <span /> : <button type="button" class="crew-back" onClick={back}>Back</button>}
        <button type="button" class="crew-not" onClick={notSo}>Not so</button>
        {waiting
          ? <button type="button" class="crew-next cue" onClick={cue}>{count.cue}</button>
          : <button type="button" class={`crew-next ${countOver.value && warning === undefined ? 'ready' : ''}`} disabled={!countOver.value} onClick={next}>{count === undefined ? 'Done, both agree: next' : 'Both agree: next'}</button>}
      </nav>
    </>
  );
}

function Stopped({ shown, title }: PartProps) {
  return (
    <>
      <div class="crew-body crew-stop">
        <p class="crew-who">{shown.does}</p>
        <h1 ref={title} tabIndex={-1}><Mark verdict="bad" quiet /> {shown.otherwise}</h1>
        {shown.back.length === 0 ? null : <ol class="crew-orders">{shown.back.map((order) => <li key={order}>{order.charAt(0).toUpperCase()}{order.slice(1)}</li>)}</ol>}
        <p>Nobody reaches in. Do not hold longer, do not try again before you know why.</p>
      </div>
      <nav class="crew-foot two" aria-label="Steps">
        <button type="button" class="crew-back" onClick={back}>Back to the step</button>
        <button type="button" class="crew-next ready" onClick={stop}>All is off: stop</button>
      </nav>
    </>
  );
}
