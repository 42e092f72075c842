import { headline, countOf, VERDICTS } from '../../sheets/report/words.ts';
import { answers, asking, current, fault, stopAsking } from '../store/answers.ts';
import { good, redo, redoable, undo, undoable } from '../store/document.ts';
import { home, saving } from '../store/session.ts';
import { go, isWide, view } from '../store/view.ts';
import { Mark } from '../questions/mark.tsx';
import { VIEWS } from '../views.ts';

/** Name of the machine, how it stands, and what can always be done. */
export function Head() {
  const machine = good.value?.machine;
  return (
    <header class="head">
      <div class="title">
        <h1>{machine?.name ?? 'Ampwright'}</h1>
        {machine?.about === undefined ? null : <p class="about">{machine.about}</p>}
      </div>
      <p class="headline" role="status">{current.value.length === 0 ? (machine === undefined ? 'No machine yet.' : 'Asking …') : headline(current.value)}</p>
      <ul class="counts" aria-label="Verdicts">
        {VERDICTS.map((verdict) => <li key={verdict}><Mark verdict={verdict} quiet /> {countOf(current.value, verdict)} {verdict}</li>)}
      </ul>
      <Progress />
      {fault.value === undefined ? null : <p class="progress trouble">A fault of the program, not of your machine: {fault.value}.</p>}
      <div class="bar">
        <nav class="side-switch" aria-label="Beside the drawing">
          {VIEWS.filter(({ place }) => place === 'side').map(({ id, name }) => (
            <button key={id} type="button" aria-current={(view.value === id || (id === 'questions' && VIEWS.find((one) => one.id === view.value)?.place !== 'side')) ? 'page' : undefined} onClick={() => go(id)}>{name}</button>
          ))}
        </nav>
        <div class="undo">
          <button type="button" disabled={undoable.value === undefined} onClick={undo} title={undoable.value === undefined ? 'Nothing to undo' : `Undo: ${undoable.value}`}>Undo</button>
          <button type="button" disabled={redoable.value === undefined} onClick={redo} title={redoable.value === undefined ? 'Nothing to redo' : `Redo: ${redoable.value}`}>Redo</button>
        </div>
      </div>
      {isWide.value ? <nav class="wholes" aria-label="Other views">{VIEWS.filter(({ place }) => place === 'whole').map(({ id, name }) => <button key={id} type="button" class="plain" onClick={() => go(id)}>{name}</button>)}</nav> : null}
      <Saved />
    </header>
  );
}

function progressWords(): string {
  const shown = [...answers.value.values()];
  if (shown.length === 0) return 'Nothing has been asked yet.';
  if (shown.some(({ stale }) => stale)) return 'Answers from before the last edit.';
  return shown.every(({ stage }) => stage === 'spread') ? 'All answers are up to date.' : 'Stopped: the spread has not been run.';
}

/** Keeps its place whether there is something to say or not. */
function Progress() {
  const now = asking.value;
  if (now === undefined) return <p class="progress">{progressWords()}</p>;
  const stop = <button type="button" class="plain" onClick={stopAsking}>Stop</button>;
  if (now === 'answers') return <p class="progress">Answering … {stop}</p>;
  return (
    <p class="progress">
      <progress max={now.of} value={now.done} aria-label="Samples of the spread" /> {now.done} of {now.of} samples {stop}
    </p>
  );
}

function Saved() {
  const where = home.value;
  if (where === undefined) return <p class="saved">&nbsp;</p>;
  const state = saving.value;
  const place = where.kind === 'disk' ? where.name : 'this browser';
  if (typeof state === 'object') return <p class="saved trouble" role="alert">Not saved: {state.trouble}</p>;
  return <p class="saved">{state === 'saved' ? `Saved in ${place}.` : `Not saved yet in ${place}.`}</p>;
}
