import { decidingWords, joinUnits } from '../../sheets/report/words.ts';
import { Mark } from '../questions/mark.tsx';
import { answers, current } from '../store/answers.ts';
import { good, isMachine, type GoodMachine } from '../store/document.ts';
import { go } from '../store/view.ts';
import { lineWords, log, logTrouble, saveLog } from './log.ts';
import { begin } from './run.ts';
import type { Procedure } from './screen.ts';
import { crewScreens, hasSteps, notReady } from './screens.ts';
import { beep, SIGNALS, switchedOn, vibrate } from './signals.ts';

/** Answers that the screens are made from; without them no count is known. */
const NEEDED = ['hold', 'spark', 'discharge'] as const;
const MOST_LINES = 6;

/** Before the first step: what is wrong with it as it is built, and which way to go. */
export function CrewStart() {
  const machine = good.value;
  return (
    <>
      <header class="crew-head"><p class="crew-place">{machine?.machine.name ?? 'No machine'}</p><button type="button" class="plain" onClick={() => go('questions')}>Leave</button></header>
      <div class="crew-body">
        <h1>Crew</h1>
        <p>One does, one reads aloud. Counts are a guide: lamp and meter decide.</p>
        {machine === undefined ? <p class="waiting">There is no machine yet.</p> : <Choice machine={machine} />}
        <SignalSwitches />
        <Log />
      </div>
    </>
  );
}

function Choice({ machine }: { readonly machine: GoodMachine }) {
  if (!isMachine.value) return <p class="trouble">The machine file has an error. Mend it first: steps of an older file are not read out.</p>;
  const known = NEEDED.every((id) => answers.value.get(id)?.stale === false);
  const start = (list: Procedure): void => {
    // The first touch is also what lets the browser make a sound.
    beep(880, 0.05);
    vibrate(30);
    begin(list, machine.machine.name, machine.text, crewScreens({ machine: machine.machine, answers: current.peek() }, list));
  };
  const bad = known ? notReady({ machine: machine.machine, answers: current.value }) : [];
  return (
    <>
      {bad.length === 0 ? null : (
        <section class="crew-bad" aria-label="Not ready">
          <h2>Not ready as it is built</h2>
          <ul>{bad.map((answer) => {
            const { where, figure, rest } = decidingWords(answer);
            return (
              <li key={answer.id}>
                <Mark verdict={answer.verdict} />
                <p><b>{answer.question}</b> {joinUnits(answer.figure === undefined ? answer.says : `${where === undefined ? '' : `${where}: `}${figure}${rest}.`)} <button type="button" class="plain" onClick={() => go('questions', answer.id)} aria-label={`Show why: ${answer.question}`}>Show why</button></p>
              </li>
            );
          })}</ul>
        </section>
      )}
      {known ? null : <p class="waiting" role="status">The counts are being computed …</p>}
      <div class="crew-choice">
        <ChoiceButton list="power up" words={bad.length === 0 ? 'Power up' : 'Power up all the same'} machine={machine} known={known} start={start} />
        <ChoiceButton list="power down" words="Power down" machine={machine} known={known} start={start} />
      </div>
    </>
  );
}

function ChoiceButton({ list, words, machine, known, start }: { readonly list: Procedure; readonly words: string; readonly machine: GoodMachine; readonly known: boolean; readonly start: (list: Procedure) => void }) {
  if (!hasSteps(machine.machine, list)) return <p class="waiting">The file has no {list}: write one.</p>;
  return <button type="button" class="crew-go" disabled={!known} onClick={() => start(list)}>{words}</button>;
}

function SignalSwitches() {
  return (
    <fieldset class="crew-signals">
      <legend>For busy hands</legend>
      {SIGNALS.map(({ id, name, there }) => (
        <label key={id}>
          <input type="checkbox" checked={there && switchedOn.value[id]} disabled={!there} onChange={(event) => (switchedOn.value = { ...switchedOn.peek(), [id]: event.currentTarget.checked })} />
          <span>{name}{there ? '' : ': not in this browser'}</span>
        </label>
      ))}
    </fieldset>
  );
}

function Log() {
  const lines = log.value.slice(-MOST_LINES).reverse();
  return (
    <section class="crew-log" aria-label="Log">
      <h2>Log</h2>
      {logTrouble.value === undefined ? null : <p class="trouble">The log cannot be kept: {logTrouble.value}</p>}
      {lines.length === 0 ? <p class="waiting">Nothing yet. The end of a procedure writes a line, kept in this browser.</p> : (
        <>
          <ul>{lines.map((one) => <li key={one.id}>{lineWords(one)}</li>)}</ul>
          <p><button type="button" onClick={saveLog}>Save the log ({log.value.length === 1 ? 'one line' : `${log.value.length} lines`})</button></p>
        </>
      )}
    </section>
  );
}
