import { isSource, pointOf } from '../circuit/nets.ts';
import type { Position } from '../field.ts';
import { wordsOf } from '../field.ts';
import type { MachineEdit } from '../file/edit.ts';
import type { Chain, End, Machine, Step } from '../machine.ts';
import { kindOf, type Part } from '../parts.ts';
import { endWords, listed, piecesOf } from './leads.ts';
import { freeName, lettersOf, nextId, SECTION_OF, takenNames } from './names.ts';
import { isThrough, pointsFed, supplyOf } from './reach.ts';
import { isPartStep, STEP_LISTS } from './steps.ts';
import type { Plan } from './wish.ts';

/** What is copied: supply chains, places and parts that only they feed. */
interface Branch {
  readonly chains: readonly Chain[];
  readonly parts: ReadonlyMap<string, string>;
  readonly places: ReadonlyMap<string, string>;
}

/** A chain, what lies beside it between the same ends, and all that they alone feed, once more. */
export function planDuplicate(machine: Machine, name: string): Plan {
  const root = supplyOf(machine).find((chain) => chain.name === name);
  if (root === undefined) return { ok: false, why: `There is no chain "${name}" any more.` };
  if ('part' in root.from && isSource(machine.parts.get(root.from.part)?.kind)) {
    return { ok: false, why: `"${name}" comes straight from the pack: what hangs on it is the whole machine. Choose a branch behind the place where leads part.` };
  }
  const branch = branchOf(machine, root);
  if (branch.parts.size === 0) return { ok: false, why: `No part stands in "${name}", and what it leads to is fed by other ways too. There is nothing to duplicate.` };
  const also: string[] = [];
  const edits = [
    ...[...branch.parts].flatMap(([id, copy]) => partEdits(machine, branch, id, copy)),
    ...chainEdits(machine, branch),
    ...stepEdits(machine, branch, also),
    ...dutyEdits(machine, branch, also),
  ];
  const pairs = [...branch.parts].map(([id, copy]) => `${copy} from ${id}`);
  const first = branch.parts.get(firstPart(root) ?? '') ?? [...branch.parts.values()][0];
  return { ok: true, edits, what: `"${name}" duplicated`, also: [`New parts: ${pairs.join(', ')}.`, ...also], ...(first === undefined ? {} : { part: first }) };
}

/** The branch that hangs on a chain, for a look at it before it is copied. */
export function branchOf(machine: Machine, root: Chain): Branch {
  const ends = (chain: Chain): string => [pointOf(chain.from), pointOf(chain.to)].sort().join('\n');
  const supply = supplyOf(machine);
  const beside = supply.filter((chain) => ends(chain) === ends(root));
  const outside = pointsFed(machine.parts.values(), supply.filter((chain) => !beside.includes(chain)));
  const own = (end: End): boolean => !outside.has(pointOf(end));
  // A wire from the branch back to what is fed anyway is copied as well: it hangs on the branch at one end.
  const chains = supply.filter((chain) => beside.includes(chain) || own(chain.from) || own(chain.to));
  const ids: string[] = [];
  const add = (id: string | undefined): void => {
    if (id !== undefined && machine.parts.has(id) && !ids.includes(id)) ids.push(id);
  };
  for (const chain of chains) {
    for (const item of chain.items) if ('part' in item) add(item.part);
    for (const end of [chain.from, chain.to]) if ('part' in end && own(end)) add(end.part);
  }
  for (let k = 0; k < ids.length; k += 1) for (const id of belongings(machine.parts.get(ids[k]!))) add(id);
  // Parts of the negatives and grounds that lead from what is copied come with their chains.
  for (const chain of lowChains(machine, new Set(ids))) for (const item of chain.items) if ('part' in item) add(item.part);
  const taken = takenNames(machine);
  const parts = new Map<string, string>();
  for (const id of machine.parts.keys()) {
    if (!ids.includes(id)) continue;
    const copy = nextId(taken, lettersOf(id));
    taken.add(copy);
    parts.set(id, copy);
  }
  const places = new Map<string, string>();
  for (const { from, to } of chains) for (const end of [from, to]) {
    if (!('place' in end) || !own(end) || places.has(end.place)) continue;
    const copy = freeName(end.place, taken);
    taken.add(copy);
    places.set(end.place, copy);
  }
  return { chains, parts, places };
}

/** Parts that no lead reaches and that one part has for itself. */
function belongings(part: Part | undefined): string[] {
  if (part === undefined) return [];
  const values = part.values as Readonly<Record<string, unknown>>;
  const through = part.kind === 'isolator' ? [...(part.values.positions ?? new Map<string, Position>()).values()].flatMap((position) => (position.path === 'through' ? [position.part] : [])) : [];
  const named = ['softStart', 'drives', 'alsoDrives'].filter((property) => kindOf(part.kind)?.fields[property]?.type === 'part').map((property) => values[property]);
  return [...through, ...named.filter((id) => typeof id === 'string')];
}

/** Negatives and signal grounds that start or end at a part. */
function lowChains(machine: Machine, parts: { has(id: string): boolean }): Chain[] {
  return machine.wiring.chains.filter(({ role, from, to }) => role !== 'supply' && [from, to].some((end) => 'part' in end && parts.has(end.part)));
}

function partEdits(machine: Machine, { parts, places }: Branch, id: string, copy: string): MachineEdit[] {
  const part = machine.parts.get(id)!;
  const edits: MachineEdit[] = [{ path: ['parts', copy], text: '', copyOf: id }];
  if (part.about !== undefined) edits.push({ path: ['parts', copy, 'about'], text: aboutCopy(machine, part.about) });
  const values = part.values as Readonly<Record<string, unknown>>;
  for (const [property, field] of Object.entries(kindOf(part.kind)?.fields ?? {})) {
    const value = values[property];
    const mapped = typeof value !== 'string' ? undefined : field.type === 'part' ? parts.get(value) : /^(?:coil|key)From$/.test(property) ? (places.get(value) ?? terminalCopy(value, parts)) : undefined;
    if (mapped !== undefined) edits.push({ path: ['parts', copy, wordsOf(property)], text: mapped });
  }
  if (part.kind === 'isolator') for (const [name, position] of part.values.positions ?? new Map<string, Position>()) {
    const own = position.path === 'through' ? parts.get(position.part) : undefined;
    if (own !== undefined) edits.push({ path: ['parts', copy, 'positions', name], text: `through ${own}` });
  }
  return edits;
}

/** `arm isolator 2`; the number goes to the first words where more follow behind a comma. */
function aboutCopy(machine: Machine, about: string): string {
  const [, first = about, rest = ''] = /^(.*?)(,.*)?$/s.exec(about) ?? [];
  const taken = [...machine.parts.values()].flatMap((part) => (part.about === undefined ? [] : [part.about.split(',')[0] ?? '']));
  return freeName(first, new Set([...taken, first])) + rest;
}

/** `T1+` in the copy of what T1 stands in. */
function terminalCopy(written: string, parts: ReadonlyMap<string, string>): string | undefined {
  const [, id = '', sign = ''] = /^(.*?)\s*([+\u2212-]?)$/u.exec(written) ?? [];
  const copy = parts.get(id);
  return copy === undefined ? undefined : copy + sign;
}

function chainEdits(machine: Machine, branch: Branch): MachineEdit[] {
  const taken = takenNames(machine);
  for (const place of branch.places.values()) taken.add(place);
  return [...branch.chains, ...lowChains(machine, branch.parts)].map((chain): MachineEdit => {
    const name = freeName(chain.name, taken);
    taken.add(name);
    const copied = (end: End): End => {
      if ('place' in end) return { place: chain.role === 'supply' ? (branch.places.get(end.place) ?? end.place) : end.place };
      return { ...end, part: branch.parts.get(end.part) ?? end.part };
    };
    const machineWords = (end: End, original: End): string => ('part' in end && 'part' in original ? endWords(machine, original).replace(original.part, end.part) : endWords(machine, end));
    const pieces = piecesOf(chain).slice(1, -1).map((piece) => branch.parts.get(piece) ?? piece);
    const written = [`from ${machineWords(copied(chain.from), chain.from)}`, ...pieces, `to ${machineWords(copied(chain.to), chain.to)}`].join(', ');
    return { path: [SECTION_OF[chain.role], name], text: written, insert: { behind: chain.name } };
  });
}

/** The steps of what is copied, with the waiting that they begin, once more behind the last of them. */
function stepEdits(machine: Machine, { parts }: Branch, also: string[]): MachineEdit[] {
  return STEP_LISTS.flatMap(([section, list]) => {
    const steps = machine[list];
    const own = steps.flatMap((step, k) => (belongs(steps, k, parts) ? [step] : []));
    const last = steps.findLastIndex((_step, k) => belongs(steps, k, parts));
    const texts = own.map((step) => copiedStep(step, parts));
    if (texts.length === 0) return [];
    also.push(`${section === 'procedure' ? 'The procedure' : 'Power down'} gets ${texts.map((text) => `"${text}"`).join(', ')}.`);
    return texts.map((text, k): MachineEdit => ({ path: [section, last + 1 + k], text, insert: true }));
  });
}

function belongs(steps: readonly Step[], k: number, parts: ReadonlyMap<string, string>): boolean {
  const step = steps[k];
  if (step === undefined) return false;
  if (isPartStep(step)) return parts.has(step.part);
  return step.act === 'wait' && k > 0 && belongs(steps, k - 1, parts);
}

function copiedStep(step: Step, parts: ReadonlyMap<string, string>): string {
  if (!isPartStep(step)) return step.text;
  const [verb = '', , ...rest] = step.text.split(' ');
  return [verb, parts.get(step.part) ?? step.part, ...rest].join(' ');
}

/** What a motor or servo does in a match, its copy does at the same time. */
function dutyEdits(machine: Machine, { parts }: Branch, also: string[]): MachineEdit[] {
  if (machine.duty.name !== 'own') return [];
  const edits = machine.duty.events.flatMap(({ with: who }, k): MachineEdit[] => {
    const copies = who.flatMap((id) => parts.get(id) ?? []);
    return copies.length === 0 ? [] : [{ path: ['duty', k, 'with'], text: [...who, ...copies].join(', ') }];
  });
  if (edits.length > 0) {
    const copies = [...new Set(machine.duty.events.flatMap(({ with: who }) => who.flatMap((id) => parts.get(id) ?? [])))];
    also.push(`In the duty, ${listed(copies)} ${copies.length === 1 ? 'does what its original does' : 'do what their originals do'}, at the same time.`);
  }
  return edits;
}

function firstPart(chain: Chain): string | undefined {
  const item = chain.items.find((one) => 'part' in one);
  return item !== undefined && 'part' in item ? item.part : 'part' in chain.to ? chain.to.part : undefined;
}

/** Chains that a part stands in or hangs on, from which its branch can be copied. */
export function branchesAt(machine: Machine, id: string): string[] {
  return supplyOf(machine).filter(({ items, to }) => items.some((item) => 'part' in item && item.part === id) || ('part' in to && to.part === id && to.terminal === '+' && !isThrough(machine, id))).map(({ name }) => name);
}

