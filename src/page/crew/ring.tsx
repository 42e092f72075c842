import { joinUnits } from '../../sheets/report/words.ts';
import { cue_ms, held_s } from './run.ts';
import type { Count } from './screen.ts';

const RADIUS = 44;
const AROUND = 2 * Math.PI * RADIUS;
/** With reduced motion the ring moves this often, s. */
const JUMP_S = 0.5;

/** Fills while it charges. It knows the clock alone, and says so. */
export function Ring({ count: { guide_s, from } }: { readonly count: Count }) {
  const running = cue_ms.value !== undefined;
  const held = held_s.value;
  const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
  const drawn_s = still ? Math.floor(held / JUMP_S) * JUMP_S : held;
  const share = Math.min(1, held >= guide_s ? 1 : drawn_s / guide_s);
  const left_s = Math.max(0, guide_s - held);
  const over = running && left_s === 0;
  return (
    <figure class={`crew-ring ${over ? 'over' : ''}`}>
      <svg viewBox="0 0 100 100" role="img" aria-label={running ? (over ? 'The count is over' : 'The count runs') : 'The count has not begun'}>
        <circle class="all" cx="50" cy="50" r={RADIUS} />
        <circle class="done" cx="50" cy="50" r={RADIUS} transform="rotate(-90 50 50)" stroke-dasharray={`${(share * AROUND).toFixed(2)} ${AROUND.toFixed(2)}`} />
      </svg>
      <div class="crew-count">
        <p class="number" role="timer">{over ? secondsWords(held) : secondsWords(left_s)}</p>
        <p>{over ? 'seconds held' : running ? 'seconds to go' : 'seconds from “now”'}</p>
        {over ? null : <p>a guide only</p>}
      </div>
      <figcaption>{over ? 'Lamp and meter decide.' : joinUnits(from)}</figcaption>
    </figure>
  );
}

function secondsWords(time_s: number): string {
  return time_s < 10 ? time_s.toFixed(1) : String(Math.ceil(time_s));
}
