import { computed, effect, signal } from '@preact/signals';
import { pointOf } from '../../machine/circuit/nets.ts';
import type { Machine } from '../../machine/machine.ts';
import type { Part } from '../../machine/parts.ts';
import { leadNamed, type Lead } from '../../machine/rebuild/leads.ts';
import { good } from './document.ts';
import { selectedPart } from './view.ts';

/** What can be taken in hand. */
export type InHand =
  | { readonly is: 'part'; readonly name: string; readonly part: Part }
  | { readonly is: 'lead'; readonly name: string; readonly lead: Lead }
  | { readonly is: 'place'; readonly name: string; readonly place: string };

/** Undefined with empty hands, and while what was in hand is not in the machine any more. */
export const inHand = computed((): InHand | undefined => {
  const name = selectedPart.value;
  return name === undefined || good.value === undefined ? undefined : found(good.value.machine, name);
});

export function found(machine: Machine, name: string): InHand | undefined {
  const part = machine.parts.get(name);
  if (part !== undefined) return { is: 'part', name, part };
  if (name.startsWith('@')) {
    const place = name.slice(1);
    const known = machine.wiring.chains.some((chain) => [chain.from, chain.to].some((end) => 'place' in end && pointOf(end) === place));
    return known ? { is: 'place', name, place } : undefined;
  }
  const lead = leadNamed(machine, name);
  return lead === undefined ? undefined : { is: 'lead', name, lead };
}

/** What is being made of what is in hand. */
export type Doing = 'put in' | 'connect' | 'disconnect' | 'duplicate' | 'take out';

export const doing = signal<Doing | undefined>(undefined);
/** The other end of the new lead, as the list of ends names it. */
export const otherEnd = signal('');
/** What came with the last change, told where its part is in hand. */
export const cameWith = signal<{ readonly name: string; readonly also: readonly string[] } | undefined>(undefined);
/** What the keyboard goes to as soon as it is in hand. */
export const wantsFocus = signal<string | undefined>(undefined);

// What was begun with one thing is not gone on with on another.
effect(() => {
  const name = selectedPart.value;
  doing.value = undefined;
  if (cameWith.peek()?.name !== name) cameWith.value = undefined;
});

export function begin(what: Doing | undefined): void {
  otherEnd.value = '';
  doing.value = what;
}
