import { effect, signal } from '@preact/signals';

/** What helps a crew whose hands and eyes are busy; each can be switched off. */
export type Signal = 'voice' | 'beeps' | 'vibration' | 'screen';

export const SIGNALS: readonly { readonly id: Signal; readonly name: string; readonly there: boolean }[] = [
  { id: 'voice', name: 'Reads aloud', there: 'speechSynthesis' in globalThis },
  { id: 'beeps', name: 'Beeps', there: 'AudioContext' in globalThis },
  { id: 'vibration', name: 'Vibrates', there: 'vibrate' in navigator },
  { id: 'screen', name: 'Screen stays on', there: 'wakeLock' in navigator },
];

const KEPT = 'ampwright crew signals';

export const switchedOn = signal<Readonly<Record<Signal, boolean>>>(kept());

effect(() => {
  try {
    localStorage.setItem(KEPT, JSON.stringify(switchedOn.value));
  } catch {
    // Only this once, then.
  }
});

function kept(): Readonly<Record<Signal, boolean>> {
  const all = { voice: true, beeps: true, vibration: true, screen: true };
  try {
    const found: unknown = JSON.parse(localStorage.getItem(KEPT) ?? '{}');
    return Object.fromEntries(Object.keys(all).map((id) => [id, (found as Record<string, unknown>)[id] !== false])) as Record<Signal, boolean>;
  } catch {
    return all;
  }
}

/** Reads a sentence aloud; a newer one cuts it short. */
export function speak(words: string): void {
  if (!('speechSynthesis' in globalThis)) return;
  speechSynthesis.cancel();
  if (!switchedOn.peek().voice || words === '') return;
  const said = new SpeechSynthesisUtterance(words);
  said.lang = 'en';
  speechSynthesis.speak(said);
}

export function hush(): void {
  if ('speechSynthesis' in globalThis) speechSynthesis.cancel();
}

let sound: AudioContext | undefined;

/** A beep now; browsers allow it only after the user has touched the page. */
export function beep(pitch_Hz: number, long_s: number, after_s = 0): void {
  if (!switchedOn.peek().beeps || !('AudioContext' in globalThis)) return;
  sound ??= new AudioContext();
  if (sound.state === 'suspended') void sound.resume();
  const [tone, level] = [sound.createOscillator(), sound.createGain()];
  const starts_s = sound.currentTime + after_s;
  tone.frequency.value = pitch_Hz;
  // Without a ramp it clicks.
  level.gain.setValueAtTime(0, starts_s);
  level.gain.linearRampToValueAtTime(0.4, starts_s + 0.01);
  level.gain.setValueAtTime(0.4, starts_s + long_s);
  level.gain.linearRampToValueAtTime(0, starts_s + long_s + 0.02);
  tone.connect(level).connect(sound.destination);
  tone.start(starts_s);
  tone.stop(starts_s + long_s + 0.03);
}

/** @param pattern_ms  on, off, on … */
export function vibrate(...pattern_ms: readonly number[]): void {
  if (switchedOn.peek().vibration && 'vibrate' in navigator) navigator.vibrate([...pattern_ms]);
}

/** Keeps the screen on for as long as the returned function has not been called. */
export function keepAwake(): () => void {
  let lock: WakeLockSentinel | undefined;
  let over = false;
  let asking = false;
  const release = (): void => {
    void lock?.release();
    lock = undefined;
  };
  const take = (): void => {
    if (over || asking || (lock !== undefined && !lock.released) || !('wakeLock' in navigator) || document.visibilityState !== 'visible' || !switchedOn.peek().screen) return;
    asking = true;
    navigator.wakeLock.request('screen').then(
      (taken) => {
        asking = false;
        if (over || !switchedOn.peek().screen) void taken.release();
        else lock = taken;
      },
      // A battery saver says no, or the browser waits for a touch: the next one asks again.
      () => (asking = false),
    );
  };
  document.addEventListener('visibilitychange', take);
  document.addEventListener('pointerup', take);
  const unfollow = effect(() => (switchedOn.value.screen ? take() : release()));
  return () => {
    over = true;
    document.removeEventListener('visibilitychange', take);
    document.removeEventListener('pointerup', take);
    unfollow();
    release();
  };
}
