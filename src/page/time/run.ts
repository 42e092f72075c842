import { batch, computed, effect, signal } from '@preact/signals';
import { lookAt, positionsAt } from '../../questions/replay/moment.ts';
import { wordsAt, type NoReplay, type Replay, type RunName } from '../../questions/replay/replay.ts';
import type { NamedSituation } from '../../questions/states/look.ts';
import type { Span } from '../../sheets/replay/csv.ts';
import { good, isMachine } from '../store/document.ts';
import { moment, overTime } from '../store/moment.ts';
import { situation } from '../store/situation.ts';
import { callerOf } from '../workers/caller.ts';
import type { OwnedFigures, ReplayRequest, Replays } from '../workers/messages.ts';
import { figureAt, figuresOf, RUN_WORDS, timeWords } from './words.ts';

const ask = callerOf<ReplayRequest, Replays>(() => new Worker(new URL('../workers/replay.worker.ts', import.meta.url), { type: 'module' }));

/** The run that is looked at, the moment in it, and the span of it that is shown. */
export const run = signal<RunName>('power-up');
export const at_s = signal(0);
export const shown = signal<Span>({ from_s: 0, until_s: 1 });
/** False once somebody has changed the situation by hand: what is drawn is then at rest again. */
export const following = signal(true);
export const fault = signal<string | undefined>(undefined);

const known = signal<{ readonly text: string; readonly replays: Replays }>({ text: '', replays: {} });

/** The run, why there is none, or undefined while it is simulated. */
export const replay = computed((): Replay | NoReplay | undefined => (known.value.text === good.value?.text ? known.value.replays[run.value] : undefined));
export const running = computed(() => (replay.value !== undefined && 'time_s' in replay.value ? replay.value : undefined));

const figures = computed(() => (running.value === undefined ? [] : figuresOf(running.value)));

/** The whole of a run. */
export const whole = computed((): Span => {
  const time = running.value?.time_s;
  return { from_s: time?.[0] ?? 0, until_s: time?.at(-1) ?? 1 };
});

/** `2.03 s: Q1 to ON`. */
export const atWords = computed(() => {
  const now = running.value;
  if (now === undefined) return '';
  const span = shown.value;
  const going = wordsAt(now, at_s.value);
  return `${timeWords(at_s.value, span.until_s - span.from_s)}${going === '' ? '' : `: ${going}`}`;
});

let before: NamedSituation | undefined;
/** What this module has made of the situation, to tell it from what a hand makes of it. */
let ours: NamedSituation | undefined;

/** Shows a run from its beginning. */
export function openRun(name: RunName): void {
  batch(() => {
    if (!overTime.peek()) before = situation.peek();
    run.value = name;
    overTime.value = true;
    following.value = true;
    shownRun = undefined;
  });
}

/** Back to the machine as it stood before. */
export function closeRun(): void {
  batch(() => {
    overTime.value = false;
    moment.value = undefined;
    if (following.peek() && before !== undefined) situation.value = before;
    ours = undefined;
  });
}

/** Goes to a moment of the run; what is shown moves along. */
export function goTo(moment_s: number): void {
  const { from_s, until_s } = whole.peek();
  if (!(moment_s >= from_s)) moment_s = from_s;
  if (moment_s > until_s) moment_s = until_s;
  const span = shown.peek();
  batch(() => {
    at_s.value = moment_s;
    following.value = true;
    if (moment_s < span.from_s || moment_s > span.until_s) show(moment_s - (span.until_s - span.from_s) / 2, span.until_s - span.from_s);
  });
}

const SHORTEST_S = 5e-6;

/** Shows a shorter or a longer span about a moment that stays where it is. */
export function zoom(factor: number, about_s = at_s.peek()): void {
  const { from_s, until_s } = shown.peek();
  const all = whole.peek();
  const length = Math.min(all.until_s - all.from_s, Math.max(SHORTEST_S, (until_s - from_s) * factor));
  const share = Math.min(1, Math.max(0, (about_s - from_s) / (until_s - from_s)));
  show(about_s - share * length, length);
}

export function pan(by_s: number): void {
  const { from_s, until_s } = shown.peek();
  show(from_s + by_s, until_s - from_s);
}

export function showWhole(): void {
  shown.value = whole.peek();
}

function show(from_s: number, length_s: number): void {
  const all = whole.peek();
  const from = Math.max(all.from_s, Math.min(from_s, all.until_s - length_s));
  shown.value = { from_s: from, until_s: Math.min(all.until_s, from + length_s) };
}

/** Below this span everything that happens is a mark to go to; above it, steps and contacts are. */
const FINE_S = 1;

/** Moments of the run to go to: steps, contacts that touch or part, and seen closely everything else that happens. */
export function marksShown(): readonly number[] {
  const now = running.peek();
  const span = shown.peek();
  const fine = span.until_s - span.from_s < FINE_S;
  return [...new Set((now?.marks ?? []).filter(({ sort, words }) => sort === 'step' || fine || words.endsWith(' touches')).map(({ from_s }) => from_s))];
}

/** The next mark, or the one before, that can be told from where the cursor is. */
export function hop(way: 1 | -1): void {
  const span = shown.peek();
  const least = (span.until_s - span.from_s) / 500;
  const now = at_s.peek();
  const marks = marksShown();
  const found = way === 1 ? marks.find((mark) => mark > now + least) : marks.findLast((mark) => mark < now - least);
  goTo(found ?? (way === 1 ? whole.peek().until_s : whole.peek().from_s));
}

let shownRun: Replay | undefined;

// A run that has come is shown from its beginning; the same run of an edited machine where it was.
effect(() => {
  const now = running.value;
  if (now === undefined || now === shownRun) return;
  const again = shownRun?.run === now.run;
  shownRun = now;
  batch(() => {
    if (again) {
      pan(0);
      goTo(at_s.peek());
    } else {
      showWhole();
      at_s.value = Math.max(0, whole.peek().from_s);
    }
  });
});

const AFTER_EDIT_MS = 250;
let asked = '';
let timer: ReturnType<typeof setTimeout> | undefined;

// Runs are simulated while somebody looks at them, once for each text.
effect(() => {
  const text = good.value?.text;
  const of = run.value === 'match' ? 'match' : 'procedure';
  if (!overTime.value || text === undefined || !isMachine.value || replay.value !== undefined) return;
  const key = `${of}\n${text}`;
  if (asked === key) return;
  clearTimeout(timer);
  timer = setTimeout(() => {
    asked = key;
    ask({ text, of }).then(
      (found) => {
        if (good.peek()?.text !== text) return;
        fault.value = undefined;
        known.value = { text, replays: known.peek().text === text ? { ...known.peek().replays, ...found } : found };
      },
      (error: unknown) => (fault.value = error instanceof Error ? error.message : String(error)),
    );
  }, known.peek().text === '' || known.peek().text === text ? 0 : AFTER_EDIT_MS);
});

// The switches of the page stand as those of the run.
effect(() => {
  const now = running.value;
  if (now === undefined || !overTime.value || !following.value) return;
  const positions = positionsAt(now, at_s.value);
  if (ours !== undefined && situation.peek() === ours && sameRecord(ours.positions, positions)) return;
  ours = { positions, absent: [], turning: [], failures: [] };
  situation.value = ours;
});

// A switch that is turned by hand leaves the run.
effect(() => {
  const now = situation.value;
  if (ours === undefined || now === ours || !overTime.peek()) return;
  batch(() => {
    following.value = false;
    ours = undefined;
  });
});

effect(() => {
  const now = running.value;
  const machine = good.value;
  if (now === undefined || machine === undefined || !overTime.value || !following.value) {
    moment.value = undefined;
    return;
  }
  const time = at_s.value;
  const span = shown.value;
  moment.value = {
    text: machine.text,
    words: `at ${timeWords(time, span.until_s - span.from_s)} of the ${RUN_WORDS[now.run].toLowerCase()}`,
    look: (rest) => lookAt(now, machine.machine, time, rest),
    figures: figures.value.map(({ owner, names }): OwnedFigures => ({ owner, figures: names.map((name) => ({ name, text: figureAt(now, name, time) })) })),
  };
});

function sameRecord(a: Readonly<Record<string, string>>, b: Readonly<Record<string, string>>): boolean {
  const keys = Object.keys(b);
  return keys.length === Object.keys(a).length && keys.every((key) => a[key] === b[key]);
}
