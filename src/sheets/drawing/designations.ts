import type { Machine } from '../../machine/machine.ts';
import { kindOf } from '../../machine/parts.ts';

/**
 * Reference designation of every part: the letter of its kind and a number. An id that already has this form is its
 * own designation; another id gets the next number that is free for its letter.
 * @see IEC 81346-2 (letters, from memory); IEC 81346-1 allows the sign − to be left out where only products are named
 */
export function designationsOf(machine: Machine): ReadonlyMap<string, string> {
  const parts = [...machine.parts.values()].map((part) => ({ id: part.id, letter: kindOf(part.kind)?.letter ?? 'U' }));
  const proper = parts.filter(({ id, letter }) => id.startsWith(letter) && /^[1-9]\d{0,3}$/.test(id.slice(letter.length)));
  const taken = new Set(proper.map(({ id }) => id));
  const found = new Map(proper.map(({ id }) => [id, id]));
  for (const { id, letter } of parts) {
    if (found.has(id)) continue;
    let number = 1;
    while (taken.has(`${letter}${number}`)) number += 1;
    taken.add(`${letter}${number}`);
    found.set(id, `${letter}${number}`);
  }
  return found;
}
