import { parseQuantity } from '../quantity/parse.ts';
import { wordsOf } from './field.ts';
import type { Field } from './field.ts';
import type { Chain, End, Machine, Step } from './machine.ts';
import { kindOf, type Part } from './parts.ts';

/** A change of a machine, in the words of its file: one value, the order of its steps, a part more, a wire less. */
export type Change =
  | { readonly change: 'field'; readonly part: string; readonly property: string; readonly text: string }
  | { readonly change: 'wait'; readonly step: number; readonly text: string }
  /** The steps of the procedure in another order: for each place, which step comes to stand there. */
  | { readonly change: 'order'; readonly order: readonly number[] }
  | {
      readonly change: 'part';
      readonly id: string;
      readonly kind: string;
      /** Values by property, as the file writes them. */
      readonly values: Readonly<Record<string, string>>;
      /** Name of the new chain, which leads from here to the part's +. */
      readonly chain: string;
      readonly from: End;
    }
  /** A part put into a chain, before the item that has this number; at the end when it has none. */
  | {
      readonly change: 'insert';
      readonly chain: string;
      readonly before: number;
      readonly id: string;
      readonly kind: string;
      readonly values: Readonly<Record<string, string>>;
    }
  /** Another gauge for the conductor that is this item of a chain. */
  | { readonly change: 'gauge'; readonly chain: string; readonly item: number; readonly text: string }
  /** A chain taken out: its wire is no longer there. */
  | { readonly change: 'unwire'; readonly chain: string }
  /** A part taken out of the only chain that it stands in, and out of the machine. */
  | { readonly change: 'take out'; readonly id: string };

/** An edit of the machine file: a path of keys and list indices, and the text to put there. */
export interface FileEdit {
  readonly path: readonly (string | number)[];
  readonly text: string;
}

/** A machine with a change made, and the same change as edits of its file. */
export interface Changed {
  readonly machine: Machine;
  readonly edits: readonly FileEdit[];
}

/**
 * A machine with a change made, and the same change as edits of its file.
 * @throws Error when the change does not fit the machine (a fault of this program)
 */
export function changed(machine: Machine, change: Change): Changed {
  switch (change.change) {
    case 'field':
      return changedField(machine, change);
    case 'wait':
      return changedWait(machine, change);
    case 'order':
      return changedOrder(machine, change.order);
    case 'part':
      return withPart(machine, change);
    case 'insert':
      return inserted(machine, change);
    case 'gauge':
      return regauged(machine, change);
    case 'unwire':
      return unwired(machine, change.chain);
    case 'take out':
      return takenOut(machine, change.id);
  }
}

function changedField(machine: Machine, change: Extract<Change, { change: 'field' }>): Changed {
  const part = machine.parts.get(change.part);
  const kind = part === undefined ? undefined : kindOf(part.kind);
  const field = kind?.fields[change.property];
  if (part === undefined || kind === undefined || field === undefined) throw new Error(`no field ${change.part}.${change.property}`);
  // What follows from a value by its class follows from the new one, as it does when the edited file is read.
  const stated = Object.fromEntries(Object.entries({ ...part.values, [change.property]: read(change.text, field) }).filter(([, one]) => !(typeof one === 'object' && 'origin' in one && one.origin === 'class default')));
  const parts = new Map(machine.parts);
  parts.set(part.id, { ...part, values: { ...kind.defaults(stated), ...stated } } as unknown as Part);
  return { machine: { ...machine, parts }, edits: [{ path: ['parts', part.id, wordsOf(change.property)], text: change.text }] };
}

function changedWait(machine: Machine, change: Extract<Change, { change: 'wait' }>): Changed {
  const step = machine.powerUp[change.step];
  if (step?.act !== 'wait' && step?.act !== 'hold') throw new Error(`step ${change.step} has no time`);
  const text = step.act === 'wait' ? `wait ${change.text}` : `hold ${step.part} for ${change.text}`;
  const steps: Step[] = [...machine.powerUp];
  steps[change.step] = { ...step, time: quantity(change.text, 'time'), text };
  return { machine: { ...machine, powerUp: steps }, edits: [{ path: ['procedure', change.step], text }] };
}

function changedOrder(machine: Machine, order: readonly number[]): Changed {
  const steps = order.map((k) => machine.powerUp[k]);
  if (order.length !== machine.powerUp.length || new Set(order).size !== order.length || !steps.every((step) => step !== undefined)) throw new Error('no order of the steps');
  const edits = steps.flatMap((step, k): FileEdit[] => {
    if (step === machine.powerUp[k]) return [];
    return [{ path: ['procedure', k], text: step.act === 'crew' ? `crew: ${step.text}` : step.text }];
  });
  return { machine: { ...machine, powerUp: steps }, edits };
}

function withPart(machine: Machine, { id, kind: name, values: texts, chain: chainName, from }: Extract<Change, { change: 'part' }>): Changed {
  if (machine.wiring.chains.some((chain) => chain.name === chainName)) throw new Error(`no new chain ${chainName}`);
  const { part, edit } = newPart(machine, id, name, texts);
  const chain: Chain = { name: chainName, role: 'supply', from, items: [], to: { part: id, terminal: '+' }, line: 0 };
  // In the order in which the edited file is read, so that its samples are the same.
  const supply = machine.wiring.chains.filter(({ role }) => role === 'supply');
  const others = machine.wiring.chains.filter(({ role }) => role !== 'supply');
  return {
    machine: { ...machine, parts: new Map([...machine.parts, [id, part]]), wiring: { ...machine.wiring, chains: [...supply, chain, ...others] } },
    edits: [edit, { path: ['wiring', chainName], text: `from ${endText(from)}, to ${id}` }],
  };
}

/** A part of a kind with values as the file writes them, and the edit that puts it there. */
function newPart(machine: Machine, id: string, name: string, texts: Readonly<Record<string, string>>): { readonly part: Part; readonly edit: FileEdit } {
  const kind = kindOf(name);
  if (kind === undefined || machine.parts.has(id)) throw new Error(`no new ${name} ${id}`);
  const given = Object.fromEntries(
    Object.entries(texts).map(([property, text]) => {
      const field = kind.fields[property];
      if (field === undefined) throw new Error(`no field ${name}.${property}`);
      return [property, read(text, field)];
    }),
  );
  // The values were read against this very kind, so the union member is the one that `kind` names.
  const part = { kind: name, id, about: undefined, values: { ...kind.defaults(given), ...given }, line: 0 } as unknown as Part;
  const fields = Object.entries(texts).map(([property, text]) => `${wordsOf(property)}: ${text}`);
  return { part, edit: { path: ['parts', id], text: `{ ${[`kind: ${name}`, ...fields].join(', ')} }` } };
}

function inserted(machine: Machine, { chain: name, before, id, kind, values }: Extract<Change, { change: 'insert' }>): Changed {
  const chain = machine.wiring.chains.find((one) => one.name === name && one.role === 'supply');
  if (chain?.written === undefined) throw new Error(`no chain ${name} to put a part into`);
  const { part, edit } = newPart(machine, id, kind, values);
  const at = Math.min(before, chain.items.length);
  const items = [...chain.items.slice(0, at), { part: id }, ...chain.items.slice(at)];
  // The first piece is where it comes from.
  const written = [...chain.written.slice(0, at + 1), id, ...chain.written.slice(at + 1)];
  const chains = machine.wiring.chains.map((one) => (one === chain ? { ...chain, items, written } : one));
  return {
    machine: { ...machine, parts: new Map([...machine.parts, [id, part]]), wiring: { ...machine.wiring, chains } },
    edits: [edit, { path: ['wiring', name], text: written.join(', ') }],
  };
}

/** A conductor's section as files write it. */
const SECTION = /(?:\d+(?:\/0)?\s*AWG|AWG\s*\d+(?:\/0)?|\d+(?:[.,]\d+)?\s*mm²)/i;

/** Whether the conductor that is this item of a chain can be given another gauge. */
export function canRegauge({ items, written, role }: Chain, item: number): boolean {
  const found = items[item];
  return role === 'supply' && found !== undefined && 'conductor' in found && SECTION.test(written?.[item + 1] ?? '') && found.conductor.section.low === found.conductor.section.high;
}

function regauged(machine: Machine, { chain: name, item, text }: Extract<Change, { change: 'gauge' }>): Changed {
  const chain = machine.wiring.chains.find((one) => one.name === name && one.role === 'supply');
  const found = chain?.items[item];
  if (chain?.written === undefined || found === undefined || !('conductor' in found) || !canRegauge(chain, item)) throw new Error(`no conductor ${name}#${item} to give another gauge`);
  const section = quantity(text, 'area');
  const items = chain.items.map((one) => (one === found ? { conductor: { ...found.conductor, section } } : one));
  const written = chain.written.map((piece, k) => (k === item + 1 ? piece.replace(SECTION, text) : piece));
  const chains = machine.wiring.chains.map((one) => (one === chain ? { ...chain, items, written } : one));
  return { machine: { ...machine, wiring: { ...machine.wiring, chains } }, edits: [{ path: ['wiring', name], text: written.join(', ') }] };
}

function unwired(machine: Machine, name: string): Changed {
  const chain = machine.wiring.chains.find((one) => one.name === name && one.role === 'supply');
  if (chain === undefined) throw new Error(`no chain ${name}`);
  return { machine: { ...machine, wiring: { ...machine.wiring, chains: machine.wiring.chains.filter((one) => one !== chain) } }, edits: [{ path: ['wiring', name], text: '' }] };
}

function takenOut(machine: Machine, id: string): Changed {
  const standing = machine.wiring.chains.filter(({ items }) => items.some((item) => 'part' in item && item.part === id));
  const [chain] = standing;
  if (!machine.parts.has(id) || chain?.written === undefined || chain.role !== 'supply' || standing.length > 1) throw new Error(`no ${id} to take out of one chain`);
  const at = chain.items.findIndex((item) => 'part' in item && item.part === id);
  const items = chain.items.filter((_, k) => k !== at);
  const written = chain.written.filter((_, k) => k !== at + 1);
  const chains = machine.wiring.chains.map((one) => (one === chain ? { ...chain, items, written } : one));
  const parts = new Map([...machine.parts].filter(([key]) => key !== id));
  return { machine: { ...machine, parts, wiring: { ...machine.wiring, chains } }, edits: [{ path: ['wiring', chain.name], text: written.join(', ') }, { path: ['parts', id], text: '' }] };
}

function endText(end: End): string {
  if ('place' in end) return end.place;
  return end.terminal === 'out' ? `${end.part} out` : end.part;
}

function read(text: string, field: Field) {
  return field.type === 'quantity' ? quantity(text, field.dimension) : text;
}

function quantity(text: string, dimension: Parameters<typeof parseQuantity>[1]) {
  const parsed = parseQuantity(text, dimension);
  if (!parsed.ok) throw new Error(`${text}: expected ${parsed.expected}`);
  return parsed.quantity;
}
