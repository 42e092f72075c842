import { signal } from '@preact/signals';
import { at_s, goTo, hop, shown, whole } from './run.ts';

export const playing = signal(false);

/** Playing leads through what is shown in this time, whatever its length. */
const ACROSS_MS = 15_000;
/** With reduced motion nothing moves: the cursor stands at one mark after the other. */
const AT_A_MARK_MS = 1500;

const still = matchMedia('(prefers-reduced-motion: reduce)');
let waiting: ReturnType<typeof setTimeout> | undefined;

export function togglePlay(): void {
  if (playing.peek()) stop();
  else play();
}

export function stop(): void {
  playing.value = false;
  clearTimeout(waiting);
}

function play(): void {
  playing.value = true;
  const { from_s, until_s } = shown.peek();
  if (at_s.peek() >= until_s - (until_s - from_s) / 1000) goTo(from_s);
  if (still.matches) step();
  else requestAnimationFrame((now) => move(now, now));
}

function move(before: number, now: number): void {
  if (!playing.peek()) return;
  const { from_s, until_s } = shown.peek();
  const next = at_s.peek() + ((now - before) / ACROSS_MS) * (until_s - from_s);
  goTo(Math.min(next, until_s));
  if (next >= until_s) stop();
  else requestAnimationFrame((later) => move(now, later));
}

function step(): void {
  if (!playing.peek()) return;
  hop(1);
  if (at_s.peek() >= whole.peek().until_s) stop();
  else waiting = setTimeout(step, AT_A_MARK_MS);
}
