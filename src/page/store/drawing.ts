import { computed, effect, signal, type ReadonlySignal } from '@preact/signals';
import { callerOf } from '../workers/caller.ts';
import type { Drawn, DrawRequest } from '../workers/messages.ts';
import { answers } from './answers.ts';
import { good } from './document.ts';
import { moment } from './moment.ts';
import { look, standing } from './situation.ts';
import { situationWords } from './situation-words.ts';
import { openQuestion, selectedPart } from './view.ts';

const draw = callerOf<DrawRequest, Drawn | undefined>(() => new Worker(new URL('../workers/drawing.worker.ts', import.meta.url), { type: 'module' }));

export const drawn = signal<Drawn | undefined>(undefined);
export const drawingFault = signal<string | undefined>(undefined);
/** Width over height of the place for the drawing; undefined while it is not shown. */
export const aspect = signal<number | undefined>(undefined);

/** The same value for as long as its key is: figures of a run change all the time, and what they are drawn on does not. */
function steady<T>(make: () => T, keyOf: (value: T) => unknown): ReadonlySignal<T> {
  let last: { readonly key: string; readonly value: T } | undefined;
  return computed(() => {
    const value = make();
    const key = JSON.stringify(keyOf(value)) ?? '';
    if (last?.key !== key) last = { key, value };
    return last.value;
  });
}

/** The look, as far as more of the drawing than its figures hangs on it. */
const drawnLook = steady(() => look.value, (seen) => {
  if (seen === undefined || moment.value === undefined) return seen;
  const { places, loads, conductors } = seen.look;
  return [seen.text, seen.named, conductors, Object.entries(places).map(([point, { state }]) => [point, state]), loads.map(({ part, state }) => [part, state]), moment.value.figures.map(({ owner }) => owner)];
});

/** What is lit: the way that feeds the part in hand, otherwise what the open answer is about. */
const lit = steady((): readonly string[] => {
  const part = selectedPart.value;
  const path = look.value?.look.loads.find((load) => load.part === part)?.path;
  if (path !== undefined) return [...path.parts, ...path.strands.map((name) => `wiring.${name}`), ...(part === undefined ? [] : [part])];
  if (part !== undefined) return [part];
  const open = openQuestion.value;
  return open === undefined ? [] : (answers.value.get(open)?.answer.parts ?? []);
}, (parts) => parts);

/** A run changes what is drawn faster than it can be drawn: the newest is drawn, and the page's own thread gets time between. */
const BETWEEN_MS = 120;

/** After an edit the answers come first: laying out takes as long as they do, and the drawing hardly changes. */
const AFTER_EDIT_MS = 250;

let wanted: DrawRequest | undefined;
let busy = false;
/** Text that is drawn, or being drawn. */
let lastText: string | undefined;

effect(() => {
  const machine = good.value;
  const room = aspect.value;
  const seen = drawnLook.value;
  const highlighted = lit.value;
  if (machine === undefined) {
    wanted = undefined;
    drawn.value = undefined;
    return;
  }
  if (room === undefined) return;
  const named = seen?.text === machine.text ? seen : undefined;
  const now = moment.peek();
  const words = [situationWords(standing.peek(), machine), ...(now === undefined ? [] : [now.words])].join(', ');
  const situation = named === undefined ? undefined : { named: named.named, look: named.look, words, figures: now?.figures ?? [] };
  wanted = { does: 'draw', text: machine.text, aspect: room, situation, lit: highlighted };
  if (busy) return;
  if (drawn.peek() === undefined || lastText === machine.text) drawNext();
  else {
    busy = true;
    setTimeout(drawNext, AFTER_EDIT_MS);
  }
});

function drawNext(): void {
  const one = wanted;
  busy = one !== undefined;
  lastText = one?.text ?? lastText;
  wanted = undefined;
  if (one === undefined) return;
  draw(one).then(
    (found) => {
      if (found === undefined || good.peek()?.text !== one.text) return;
      drawn.value = found;
      drawingFault.value = undefined;
    },
    (error: unknown) => (drawingFault.value = error instanceof Error ? error.message : String(error)),
  ).finally(() => {
    if (moment.peek() === undefined) drawNext();
    else setTimeout(drawNext, BETWEEN_MS);
  });
}
