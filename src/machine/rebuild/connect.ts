import { parseDocument } from 'yaml';
import { isSource, pointOf } from '../circuit/nets.ts';
import type { MachineEdit } from '../file/edit.ts';
import type { Chain, End, Machine } from '../machine.ts';
import { kindOf } from '../parts.ts';
import { freshPart, missingValue } from './fresh.ts';
import { chainOf, chainWords, endWords, listed, piecesOf } from './leads.ts';
import { freeName, SECTION_OF, takenNames } from './names.ts';
import { hasTerminal, isTerminal } from './reach.ts';
import type { Fresh, InChain, Plan, Point, Rebuild } from './wish.ts';

type Connect = Extract<Rebuild, { rebuild: 'connect' }>;

/** A point that there is, or that parting a chain makes. */
type Reached = { readonly ok: true; readonly end: End; readonly edits: readonly MachineEdit[]; readonly also: readonly string[] } | { readonly ok: false; readonly why: string };

/** A new lead between two points, or from one to a part that comes with it. */
export function planConnect(machine: Machine, text: string, { role, from, to, lead }: Connect): Plan {
  if (lead.includes(',')) return { ok: false, why: 'A lead is written without commas, like "18 AWG 0.40 m": write a decimal point.' };
  const taken = takenNames(machine);
  const near = reach(machine, from, taken);
  if (!near.ok) return near;
  if ('kind' in to) return withFresh(machine, text, near, to, role, lead.trim(), taken);
  if ('tap' in from && 'tap' in to && from.tap.role === to.tap.role && from.tap.name === to.tap.name) {
    return { ok: false, why: `Both ends lie in ${chainWords(from.tap)}: the new lead would only go around a piece of it. Put a named end on one side in the file first.` };
  }
  const far = reach(machine, to, taken);
  if (!far.ok) return far;
  const trouble = troubleOf(machine, role, near.end, far.end);
  if (trouble !== undefined) return { ok: false, why: trouble };
  const words = [endWords(machine, near.end), endWords(machine, far.end)] as const;
  const name = freeName(cut(`${words[0]} to ${words[1]}`), taken);
  return {
    ok: true,
    edits: [...near.edits, ...far.edits, ...newChain(text, role, name, words[0], words[1], lead.trim())],
    what: `${words[0]} connected to ${words[1]}`,
    also: [...near.also, ...far.also, ...around(machine, role, near.end, far.end)],
  };
}

function withFresh(machine: Machine, text: string, near: Reached & { ok: true }, fresh: Fresh, role: Chain['role'], lead: string, taken: ReadonlySet<string>): Plan {
  const kind = kindOf(fresh.kind);
  if (role !== 'supply' || kind === undefined || kind.terminals === 'through' || !kind.terminals.includes('+')) {
    return { ok: false, why: `${kind?.name ?? fresh.kind} cannot stand at the end of such a lead. ${kind?.terminals === 'through' ? 'Put it into a lead instead.' : 'Choose another part.'}` };
  }
  if ('part' in near.end && near.end.terminal === '-') return { ok: false, why: 'A new part hangs on a + side. Its negative comes with it.' };
  const missing = missingValue(fresh);
  if (missing !== undefined) return { ok: false, why: `${kind.name} needs its ${missing}. Write it in.` };
  const beside = 'part' in near.end ? near.end.part : lastLoadAt(machine, near.end.place);
  const { id, edit } = freshPart(machine, fresh, beside);
  const words = endWords(machine, near.end);
  const source = isSource(fresh.kind);
  const name = freeName(kind.name.replace(/^an? /, ''), taken);
  const [from, to] = source ? [`${id}+`, words] : [words, id];
  return { ok: true, edits: [...near.edits, edit, ...newChain(text, 'supply', name, from, to, lead)], what: `${id}, ${kind.name}, connected to ${words}`, also: near.also, part: id };
}

/** A motor hangs on its controller by name; a controller has room for two. */
export function planDrive(machine: Machine, controller: string, motor: string | Fresh): Plan {
  const part = machine.parts.get(controller);
  if (part?.kind !== 'controller') return { ok: false, why: `${controller} is no motor controller. A motor hangs on one.` };
  const field = part.values.drives === undefined ? 'drives' : part.values.alsoDrives === undefined ? 'also drives' : undefined;
  if (field === undefined) return { ok: false, why: `${controller} already drives ${part.values.drives} and ${part.values.alsoDrives}. Take one of them off first.` };
  if (typeof motor !== 'string') {
    const { id, edit } = freshPart(machine, motor, part.values.drives ?? controller);
    return { ok: true, edits: [edit, { path: ['parts', controller, field], text: id }], what: `${id}, a motor, connected to ${controller}`, also: [], part: id };
  }
  const other = [...machine.parts.values()].find((one) => one.kind === 'controller' && (one.values.drives === motor || one.values.alsoDrives === motor));
  if (machine.parts.get(motor)?.kind !== 'motor') return { ok: false, why: `${motor} is no motor.` };
  if (other !== undefined) return { ok: false, why: `${motor} already hangs on ${other.id}. Take it off there first.` };
  return { ok: true, edits: [{ path: ['parts', controller, field], text: motor }], what: `${motor} connected to ${controller}`, also: [] };
}

function reach(machine: Machine, point: Point, taken: Set<string>): Reached {
  if ('end' in point) return { ok: true, end: point.end, edits: [], also: [] };
  const { tap } = point;
  const chain = chainOf(machine, tap);
  if (chain === undefined || !(tap.at >= 0 && tap.at <= chain.items.length)) return { ok: false, why: `${chainWords(tap)} has changed. Choose the place again.` };
  const [before, behind] = [chain.items.slice(0, tap.at), chain.items.slice(tap.at)];
  if (before.length === 0) return { ok: true, end: chain.from, edits: [], also: [] };
  if (behind.length === 0) return { ok: true, end: chain.to, edits: [], also: [] };
  return parted(chain, tap, taken);
}

/** Two chains where there was one, which meet at a place with a name. */
function parted(chain: Chain, { at }: InChain, taken: Set<string>): Reached {
  const before = chain.items[at - 1];
  const place = freeName(before !== undefined && 'part' in before ? `behind ${before.part}` : cut(`tap of ${chain.name}`), taken);
  taken.add(place);
  const rest = freeName(cut(`${chain.name} onwards`), taken);
  taken.add(rest);
  const pieces = piecesOf(chain);
  const section = SECTION_OF[chain.role];
  return {
    ok: true,
    end: { place },
    edits: [
      { path: [section, chain.name], text: [...pieces.slice(0, at + 1), `to ${place}`].join(', ') },
      { path: [section, rest], text: [`from ${place}`, ...pieces.slice(at + 1)].join(', '), insert: { behind: chain.name } },
    ],
    also: [`${chainWords(chain)} is parted at a place named "${place}"; behind it, it is called "${rest}".`],
  };
}

/** Why two points may not be joined. */
function troubleOf(machine: Machine, role: Chain['role'], from: End, to: End): string | undefined {
  const [a, b] = [endWords(machine, from), endWords(machine, to)];
  if (pointOf(from) === pointOf(to)) return `Both ends are ${a}. Choose two different ones.`;
  const negative = ('part' in from && from.terminal === '-') || ('part' in to && to.terminal === '-');
  if (role === 'supply' && negative) return `${a} and ${b} lie on different sides: that would be a short. A negative is joined to another negative.`;
  if (role !== 'supply' && [from, to].some((end) => 'part' in end && end.terminal !== '-')) return `${a} and ${b} lie on different sides: that would be a short. A + side is joined to another + side.`;
  return undefined;
}

/** A second way between two points takes their sense from the switches of the first. */
function around(machine: Machine, role: Chain['role'], from: End, to: End): string[] {
  const ends = [pointOf(from), pointOf(to)].sort().join('\n');
  const beside = machine.wiring.chains.filter((chain) => chain.role === role && [pointOf(chain.from), pointOf(chain.to)].sort().join('\n') === ends);
  const bridged = beside.flatMap(({ items }) => items.flatMap((item) => ('part' in item ? [item.part] : [])));
  return bridged.length === 0 ? [] : [`The new lead goes around ${listed(bridged)}. Put a part into it where that is not meant.`];
}

/** A part that already hangs on a place: the new one is listed with it. */
function lastLoadAt(machine: Machine, place: string): string | undefined {
  const ends = machine.wiring.chains.flatMap(({ role, from, to }) => (role === 'supply' && 'place' in from && from.place === place && 'part' in to ? [to.part] : []));
  return ends.filter((id) => hasTerminal(machine.parts.get(id)?.kind ?? '', '+') && machine.wiring.chains.some(({ to }) => isTerminal(to, id, '+'))).at(-1);
}

function newChain(text: string, role: Chain['role'], name: string, from: string, to: string, lead: string): MachineEdit[] {
  const written = [`from ${from}`, ...(lead === '' ? [] : [lead]), `to ${to}`].join(', ');
  const section = SECTION_OF[role];
  const now: unknown = parseDocument(text, { schema: 'failsafe' }).toJS();
  const held = typeof now === 'object' && now !== null ? (now as Readonly<Record<string, unknown>>)[section] : undefined;
  if (typeof held === 'object' && held !== null) return [{ path: [section, name], text: written }];
  // The one line of the bar becomes the first of several.
  const general = typeof held === 'string' && held.trim() !== '' ? [`general: ${JSON.stringify(held)}`] : [];
  return [{ path: [section], text: `{ ${[...general, `${JSON.stringify(name)}: ${JSON.stringify(written)}`].join(', ')} }` }];
}

/** Names have at most 80 characters, and the next number has to fit as well. */
function cut(name: string): string {
  return name.slice(0, 74).trim();
}
