import { useSignal } from '@preact/signals';
import { decidingWords, joinUnits } from '../../sheets/report/words.ts';
import { answers, type Shown } from '../store/answers.ts';
import { DAY, KNOWN, placeOf } from '../store/day.ts';
import { go, isWide, openQuestion } from '../store/view.ts';
import { AnswerView } from './answer-view.tsx';
import { Mark } from './mark.tsx';

/** More alarms than this at a time, and none is read. */
const MOST_BAD = 5;

/** The questions in the order of a builder's day. On a phone the open one takes the place of the list. */
export function Questions() {
  const open = openQuestion.value;
  if (open === undefined || isWide.value) return <List />;
  return (
    <div class="phone-answer">
      <button type="button" class="plain back" onClick={() => go('questions')}>All questions</button>
      <AnswerView id={open} />
    </div>
  );
}

function List() {
  const all = useSignal(false);
  const shown = [...answers.value.values()];
  const bad = shown.filter(({ answer }) => answer.verdict === 'bad').map(({ answer }) => answer.id);
  const counted = all.value ? [] : bad.slice(MOST_BAD);
  return (
    <>
      {DAY.map(({ name, ids }, part) => {
        // A question that no part of the day knows yet comes last.
        const here = shown.filter(({ answer }) => ids.includes(answer.id) || (part === DAY.length - 1 && placeOf(answer.id) === KNOWN));
        return here.length === 0 ? null : <Part key={name} name={name} shown={here} counted={counted} />;
      })}
      {counted.length === 0 ? null : <p class="counted"><button type="button" class="plain" onClick={() => (all.value = true)}>{counted.length === 1 ? 'One more bad answer' : `${counted.length} more bad answers`}: show</button></p>}
      {shown.length === 0 ? <p class="waiting">The answers come one after the other.</p> : null}
    </>
  );
}

function Part({ name, shown, counted }: { readonly name: string; readonly shown: readonly Shown[]; readonly counted: readonly string[] }) {
  const open = shown.filter(({ answer }) => answer.verdict !== 'good' && !counted.includes(answer.id));
  const fine = shown.filter(({ answer }) => answer.verdict === 'good');
  const fears = shown.flatMap(({ answer }) => answer.notAProblem);
  return (
    <section class="day">
      <h2>{name}</h2>
      <ul>{open.map((one) => <Row key={one.answer.id} shown={one} />)}</ul>
      {fine.length === 0 ? null : (
        <details class="fine" open={fine.some(({ answer }) => answer.id === openQuestion.value)}>
          <summary><Mark verdict="good" quiet /> <b>{fine.length} good:</b> {fine.map(({ answer }) => shortName(answer.question)).join('; ')}</summary>
          <ul>{fine.map((one) => <Row key={one.answer.id} shown={one} />)}</ul>
        </details>
      )}
      {fears.length === 0 ? null : (
        <details class="fears">
          <summary>{fears.length === 1 ? 'One fear that is no problem here' : `${fears.length} fears that are no problem here`}</summary>
          <ul class="sentences">{fears.map((fear) => <li key={fear}>{joinUnits(fear)}</li>)}</ul>
        </details>
      )}
    </section>
  );
}

/** `Will any part see too much voltage?` as it stands in a list of good ones. */
function shortName(question: string): string {
  return question.replace(/\?$/, '').toLowerCase();
}

function Row({ shown: { answer, stale, was } }: { readonly shown: Shown }) {
  const { where, figure, rest } = decidingWords(answer);
  const open = openQuestion.value === answer.id;
  return (
    <li class={`${open ? 'open' : ''} ${stale ? 'stale' : ''}`}>
      <button type="button" class="row" aria-expanded={open} onClick={() => go('questions', open ? undefined : answer.id)}>
        <Mark verdict={answer.verdict} />
        <span>
          <span class="asked">{answer.question}</span>
          <span class="decides">{where === undefined ? '' : `${where}: `}<b>{joinUnits(figure)}</b>{joinUnits(rest)}</span>
          {was === undefined ? null : <span class="was">{answer.verdict} now, {was} before the edit</span>}
          {stale ? <span class="was">from before the edit</span> : null}
        </span>
      </button>
    </li>
  );
}
