import type { MachineEdit } from '../file/edit.ts';
import { wordsOf } from '../field.ts';
import type { Machine } from '../machine.ts';
import { kindOf } from '../parts.ts';
import { lettersFor, nextId } from './names.ts';
import type { Fresh } from './wish.ts';

/** A new part with its designation, and the edit that writes it into the file, behind the part that it stands beside. */
export function freshPart(machine: Machine, { kind, values }: Fresh, beside: string | undefined): { readonly id: string; readonly edit: MachineEdit } {
  const id = nextId(machine.parts.keys(), lettersFor(machine, kind));
  const fields = Object.entries(values).filter(([, text]) => text.trim() !== '').map(([property, text]) => `${wordsOf(property)}: ${fieldText(text)}`);
  const text = `{ ${[`kind: ${kind}`, ...fields].join(', ')} }`;
  return { id, edit: { path: ['parts', id], text, ...(beside !== undefined && machine.parts.has(beside) ? { insert: { behind: beside } } : {}) } };
}

/** Inside braces, what could be read as more than a value goes in quotes. */
function fieldText(text: string): string {
  const value = text.trim();
  return /[,{}[\]"'#&*!|>%@`\\]|: |:$|^[-?]/.test(value) ? JSON.stringify(value) : value;
}

/** Values that a part of the kind cannot do without, and has none of. */
export function missingValue({ kind, values }: Fresh): string | undefined {
  const found = Object.entries(kindOf(kind)?.fields ?? {}).find(([property, field]) => field.required === true && (values[property] ?? '').trim() === '');
  return found === undefined ? undefined : wordsOf(found[0]);
}
