import { batch, computed, signal } from '@preact/signals';
import { fingerprint } from '../../machine/file/fingerprint.ts';
import { keepLine, type LogLine } from './log.ts';
import { placeWords } from './screens.ts';
import type { Procedure, Screen } from './screen.ts';
import { beep, hush, speak, vibrate } from './signals.ts';

/** A procedure that is being read out: its screens stay as they were when it began, whatever is edited meanwhile. */
export interface Reading {
  readonly list: Procedure;
  readonly machine: string;
  readonly fingerprint: string;
  readonly screens: readonly Screen[];
  readonly began_ms: number;
}

export const reading = signal<Reading | undefined>(undefined);
/** Number of the screen; as many as there are screens when all is done. */
export const at = signal(0);
/** Stopped at this screen because it did not show what it must. */
export const stopped = signal(false);
/** When the crew called "now", on the page's clock; undefined before it. */
export const cue_ms = signal<number | undefined>(undefined);
export const held_s = signal(0);
export const line = signal<LogLine | undefined>(undefined);

export const screen = computed(() => reading.value?.screens[at.value]);
/** The count has run out, or there is none. */
export const countOver = computed(() => {
  const count = screen.value?.count;
  return count === undefined || (cue_ms.value !== undefined && held_s.value >= count.guide_s);
});
/** Nobody has gone on although as much time again has gone by. */
export const overdue = computed(() => {
  const count = screen.value?.count;
  return count !== undefined && cue_ms.value !== undefined && held_s.value >= 2 * count.guide_s + OVERDUE_AFTER_S;
});

/** A very short count would be overdue before anybody can speak. */
const OVERDUE_AFTER_S = 1;
const TICK_MS = 50;
const [LOW_Hz, HIGH_Hz, ALARM_Hz] = [660, 990, 1760];

let timer: ReturnType<typeof setInterval> | undefined;
let holds: LogLine['holds'] = [];

export function begin(list: Procedure, machine: string, text: string, screens: readonly Screen[]): void {
  holds = [];
  batch(() => {
    reading.value = { list, machine, fingerprint: fingerprint(text), screens, began_ms: performance.now() };
    line.value = undefined;
    show(0);
  });
}

/** The crew says that the step begins this instant. */
export function cue(): void {
  if (screen.peek()?.count === undefined || cue_ms.peek() !== undefined) return;
  batch(() => {
    cue_ms.value = performance.now();
    held_s.value = 0;
  });
  hush();
  beep(HIGH_Hz, 0.08);
  vibrate(60);
  timer = setInterval(tick, TICK_MS);
}

function tick(): void {
  const began = cue_ms.peek();
  const count = screen.peek()?.count;
  if (began === undefined || count === undefined) return;
  const [before, now] = [held_s.peek(), (performance.now() - began) / 1000];
  const wasOverdue = overdue.peek();
  held_s.value = now;
  const passed = (time_s: number): boolean => before < time_s && now >= time_s;
  if (passed(count.guide_s)) {
    beep(HIGH_Hz, 0.12);
    beep(HIGH_Hz, 0.3, 0.2);
    vibrate(120, 80, 300);
    speak('Count over. Lamp and meter decide.');
  } else if (now < count.guide_s && Math.floor(before) < Math.floor(now)) beep(LOW_Hz, 0.05);
  if (overdue.peek() && !wasOverdue) {
    beep(ALARM_Hz, 0.6);
    vibrate(400, 100, 400);
    speak(count.overdue);
  }
}

export function next(): void {
  const now = reading.peek();
  const shown = screen.peek();
  if (now === undefined || shown === undefined || !countOver.peek()) return;
  noteHold(shown);
  show(at.peek() + 1);
  if (at.peek() === now.screens.length) end('done');
}

export function back(): void {
  if (stopped.peek()) show(at.peek());
  else if (at.peek() > 0) show(at.peek() - 1);
}

/** It does not show what it must. */
export function notSo(): void {
  const shown = screen.peek();
  if (shown === undefined) return;
  clearInterval(timer);
  stopped.value = true;
  beep(ALARM_Hz, 0.5);
  vibrate(400);
  speak([shown.otherwise, ...shown.back].join('. '));
}

/** The machine is back where nothing is on: that is the end, and the log says where. */
export function stop(): void {
  const now = reading.peek();
  const shown = screen.peek();
  if (now === undefined || shown === undefined) return;
  noteHold(shown);
  const place = placeOf(now);
  at.value = now.screens.length;
  end(`stopped at ${place} (${shown.does})`);
}

/** Back to where a procedure is chosen. What was begun is in the log, whoever breaks it off. */
export function leave(): void {
  const now = reading.peek();
  const shown = screen.peek();
  if (now !== undefined && shown?.stage === 'step') {
    noteHold(shown);
    end(`left at ${placeOf(now)} (${shown.does})`);
  }
  clearInterval(timer);
  hush();
  batch(() => {
    reading.value = undefined;
    stopped.value = false;
    cue_ms.value = undefined;
  });
}

/** A reading of a machine that has been edited since is no longer true. */
export function leaveIfOther(text: string): void {
  if (reading.peek() !== undefined && reading.peek()?.fingerprint !== fingerprint(text)) leave();
}

export function addNote(note: string): void {
  const kept = line.peek();
  if (kept === undefined) return;
  line.value = { ...kept, note };
  keepLine(line.value);
}

/** What is said when a screen comes up. */
export function readAloud(): void {
  const shown = screen.peek();
  if (shown === undefined) return;
  speak([`${shown.who}: ${shown.does}`, shown.warning, shown.detail, shown.count?.cue, ...shown.shows.map(({ where, what }) => `${where}: ${what}`)].filter((words) => words !== undefined).join('. '));
}

/** `step 5 of 9` */
function placeOf({ screens, list }: Reading): string {
  return placeWords(screens, at.peek(), list).replace(/,.*/, '').toLowerCase();
}

/** A step that is done again counts once, as it was done last. */
function noteHold({ count, does }: Screen): void {
  if (count !== undefined && cue_ms.peek() !== undefined) holds = [...holds.filter(({ step }) => step !== does), { step: does, held_s: held_s.peek(), guide_s: count.guide_s }];
}

function show(number: number): void {
  clearInterval(timer);
  batch(() => {
    at.value = number;
    stopped.value = false;
    cue_ms.value = undefined;
    held_s.value = 0;
  });
  readAloud();
}

function end(outcome: string): void {
  clearInterval(timer);
  const now = reading.peek();
  if (now === undefined) return;
  const made: LogLine = {
    id: crypto.randomUUID(), time: new Date().toISOString(), machine: now.machine, fingerprint: now.fingerprint, what: now.list, outcome,
    took_s: (performance.now() - now.began_ms) / 1000, holds, note: '',
  };
  batch(() => {
    stopped.value = false;
    line.value = made;
  });
  keepLine(made);
  speak(outcome === 'done' ? `${now.list} done` : 'It is in the log.');
}
