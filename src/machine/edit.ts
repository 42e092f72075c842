import { parseQuantity } from '../quantity/parse.ts';
import { wordsOf } from './field.ts';
import type { Machine, Step } from './machine.ts';
import { kindOf, type Part } from './parts.ts';

/** A change of one value of a machine, in the words of its file. */
export type Change =
  | { readonly change: 'field'; readonly part: string; readonly property: string; readonly text: string }
  | { readonly change: 'wait'; readonly step: number; readonly text: string };

/** An edit of the machine file: a path of keys and list indices, and the text to put there. */
export interface FileEdit {
  readonly path: readonly (string | number)[];
  readonly text: string;
}

/**
 * A machine with a change made, and the same change as an edit of its file.
 * @throws Error when the change does not fit the machine (a fault of this program)
 */
export function changed(machine: Machine, change: Change): { readonly machine: Machine; readonly edit: FileEdit } {
  return change.change === 'field' ? changedField(machine, change) : changedWait(machine, change);
}

function changedField(machine: Machine, change: Extract<Change, { change: 'field' }>): { machine: Machine; edit: FileEdit } {
  const part = machine.parts.get(change.part);
  const field = part === undefined ? undefined : kindOf(part.kind)?.fields[change.property];
  if (part === undefined || field === undefined) throw new Error(`no field ${change.part}.${change.property}`);
  const value = field.type === 'quantity' ? quantity(change.text, field.dimension) : change.text;
  const parts = new Map(machine.parts);
  parts.set(part.id, { ...part, values: { ...part.values, [change.property]: value } } as Part);
  return { machine: { ...machine, parts }, edit: { path: ['parts', part.id, wordsOf(change.property)], text: change.text } };
}

function changedWait(machine: Machine, change: Extract<Change, { change: 'wait' }>): { machine: Machine; edit: FileEdit } {
  const step = machine.powerUp[change.step];
  if (step?.act !== 'wait' && step?.act !== 'hold') throw new Error(`step ${change.step} has no time`);
  const text = step.act === 'wait' ? `wait ${change.text}` : `hold ${step.part} for ${change.text}`;
  const steps: Step[] = [...machine.powerUp];
  steps[change.step] = { ...step, time: quantity(change.text, 'time'), text };
  return { machine: { ...machine, powerUp: steps }, edit: { path: ['procedure', change.step], text } };
}

function quantity(text: string, dimension: Parameters<typeof parseQuantity>[1]) {
  const parsed = parseQuantity(text, dimension);
  if (!parsed.ok) throw new Error(`${text}: expected ${parsed.expected}`);
  return parsed.quantity;
}
