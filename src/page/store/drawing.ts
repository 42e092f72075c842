import { computed, effect, signal } from '@preact/signals';
import { callerOf } from '../workers/caller.ts';
import type { Drawn, DrawRequest } from '../workers/messages.ts';
import { answers } from './answers.ts';
import { good } from './document.ts';
import { look, standing } from './situation.ts';
import { situationWords } from './situation-words.ts';
import { openQuestion, selectedPart } from './view.ts';

const draw = callerOf<DrawRequest, Drawn | undefined>(() => new Worker(new URL('../workers/drawing.worker.ts', import.meta.url), { type: 'module' }));

export const drawn = signal<Drawn | undefined>(undefined);
export const drawingFault = signal<string | undefined>(undefined);
/** Width over height of the place for the drawing; undefined while it is not shown. */
export const aspect = signal<number | undefined>(undefined);

/** What is lit: the way that feeds the part in hand, otherwise what the open answer is about. */
const lit = computed((): readonly string[] => {
  const part = selectedPart.value;
  const path = look.value?.look.loads.find((load) => load.part === part)?.path;
  if (path !== undefined) return [...path.parts, ...path.strands.map((name) => `wiring.${name}`), ...(part === undefined ? [] : [part])];
  if (part !== undefined) return [part];
  const open = openQuestion.value;
  return open === undefined ? [] : (answers.value.get(open)?.answer.parts ?? []);
});

let newest = 0;

effect(() => {
  const machine = good.value;
  const room = aspect.value;
  const seen = look.value;
  const highlighted = lit.value;
  newest += 1;
  const own = newest;
  if (machine === undefined) {
    drawn.value = undefined;
    return;
  }
  if (room === undefined) return;
  const named = seen?.text === machine.text ? seen : undefined;
  const situation = named === undefined ? undefined : { named: named.named, look: named.look, words: situationWords(standing.peek(), machine) };
  draw({ does: 'draw', text: machine.text, aspect: room, situation, lit: highlighted }).then(
    (found) => {
      if (own !== newest || found === undefined) return;
      drawn.value = found;
      drawingFault.value = undefined;
    },
    (error: unknown) => (drawingFault.value = error instanceof Error ? error.message : String(error)),
  );
});
