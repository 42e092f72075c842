import { useLayoutEffect, useRef } from 'preact/hooks';
import { go, isWide } from '../store/view.ts';
import { Kind, Moves, Pack, Switches } from './screens.tsx';
import { Chosen, SoFar } from './so-far.tsx';
import { at, facts, finish, goTo, isAnswered, keptElsewhere, SCREENS } from './walk.ts';

const QUESTIONS = {
  kind: { title: 'What are you building?', about: 'Guess where you must: everything can be changed later.', View: Kind },
  pack: { title: 'Which pack?', about: 'What stands on its label.', View: Pack },
  moves: { title: 'What moves?', about: 'Motor controllers, and what each is rated for.', View: Moves },
  switches: { title: 'How is it switched?', about: 'What the crew turns, presses or pulls.', View: Switches },
  done: { title: 'That makes a machine', about: 'What nobody has measured stands as a class default, marked, with how to find it.', View: Done },
} as const;

/** From nothing to a machine that answers, in a minute. */
export function Start() {
  const title = useRef<HTMLHeadingElement>(null);
  const first = useRef(true);
  useLayoutEffect(() => {
    // A newcomer's eye is where it begins; after that the new question is what is read.
    if (!first.current) title.current?.focus();
    first.current = false;
  }, [at.value]);
  const { title: words, about, View } = QUESTIONS[SCREENS[at.value]!];
  const last = at.value === SCREENS.length - 1;
  return (
    <div class="start">
      <form class="start-asks" onSubmit={(event) => { event.preventDefault(); if (last) finish(); else if (isAnswered(at.value)) goTo(at.value + 1); }}>
        <header class="start-head">
          <p class="about">{last ? 'All answered' : `Question ${at.value + 1} of ${SCREENS.length - 1}`}</p>
          <button type="button" class="plain" onClick={() => go('questions')}>Leave</button>
        </header>
        <nav aria-label="Questions"><ol class="start-bar">{SCREENS.slice(0, -1).map((id, k) => <li key={id}><button type="button" class={k < at.value ? 'behind' : ''} aria-current={k === at.value ? 'step' : undefined} disabled={!SCREENS.slice(0, k).every((_, before) => isAnswered(before))} aria-label={QUESTIONS[id].title} onClick={() => goTo(k)} /></li>)}</ol></nav>
        <div class="start-body">
          <h1 ref={title} tabIndex={-1}>{words}</h1>
          <p class="about">{about}</p>
          <View />
        </div>
        <nav class="start-foot" aria-label="Go on">
          {at.value === 0 ? null : <button type="button" class="act quiet" onClick={() => goTo(at.value - 1)}>Back</button>}
          <button type="submit" class="act" disabled={!isAnswered(at.value)}>{last ? 'This is my machine' : 'Next'}</button>
        </nav>
      </form>
      {isWide.value ? <SoFar /> : null}
    </div>
  );
}

function Done() {
  return (
    <>
      {facts.value === undefined ? <p class="trouble" role="alert">One answer cannot be read: go back to it.</p> : isWide.value ? null : <Chosen facts={facts.value} />}
      <p>The answers come next, with the first thing to mend. Motors, lamps and bleed resistors are not in it yet: put them in where they go.</p>
      {keptElsewhere.value === undefined ? null : <p>This page is bound to {keptElsewhere.value} on disk. The new machine is kept in this browser instead; the file stays as it is.</p>}
    </>
  );
}
