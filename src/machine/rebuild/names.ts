import { pointOf } from '../circuit/nets.ts';
import type { Chain, Machine } from '../machine.ts';
import { kindOf } from '../parts.ts';

/** Section of the file that chains of a role stand in. */
export const SECTION_OF = { supply: 'wiring', return: 'returns', 'signal ground': 'signal grounds' } as const satisfies Record<Chain['role'], string>;

/** The letters of a designation: `LK` of `LK1`. */
export function lettersOf(id: string): string {
  return id.replace(/\d+$/u, '');
}

/** The next designation with these letters; a number that has been given is not given again. */
export function nextId(taken: Iterable<string>, letters: string): string {
  let highest = 0;
  for (const id of taken) if (lettersOf(id) === letters) highest = Math.max(highest, Number(id.slice(letters.length)) || 0);
  return `${letters}${highest + 1}`;
}

/** The letters that a machine uses for parts of a kind, or those of IEC 81346-2 where it has none. */
export function lettersFor(machine: Machine, kind: string): string {
  const counts = new Map<string, number>();
  for (const part of machine.parts.values()) if (part.kind === kind) counts.set(lettersOf(part.id), (counts.get(lettersOf(part.id)) ?? 0) + 1);
  const [usual] = [...counts].sort(([, a], [, b]) => b - a);
  return usual?.[0] ?? kindOf(kind)?.letter ?? 'X';
}

/** A name that is not taken: as it is, or with the next number behind it. */
export function freeName(base: string, taken: ReadonlySet<string>): string {
  if (!taken.has(base)) return base;
  const stem = base.replace(/ \d+$/, '');
  let number = 2;
  while (taken.has(`${stem} ${number}`)) number += 1;
  return `${stem} ${number}`;
}

/** Names that no new place or chain may have: those of places, chains, points and parts. */
export function takenNames(machine: Machine): Set<string> {
  const taken = new Set<string>(machine.parts.keys());
  // The line of the bar stands among the return chains.
  taken.add('general');
  for (const chain of machine.wiring.chains) {
    taken.add(chain.name);
    taken.add(pointOf(chain.from));
    taken.add(pointOf(chain.to));
  }
  return taken;
}
