const STATES = [
  ['live', 'live', 'straight from a pack'],
  ['fed', 'fed', 'through a resistor or a converter'],
  ['leaking', 'leaking', 'by a way that nobody meant'],
  ['dead', 'dead', ''],
] as const;

/** What the lines mean: weight and dash first. */
export function Key() {
  return (
    <ul class="key" aria-label="What the lines mean">
      {STATES.map(([state, word, meaning]) => (
        <li key={state}>
          <svg viewBox="0 0 36 8" width="36" height="8" aria-hidden="true"><path class={`line ${state}`} d="M1 4H35" /></svg> <b>{word}</b> <span>{meaning}</span>
        </li>
      ))}
    </ul>
  );
}
