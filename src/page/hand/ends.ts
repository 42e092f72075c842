import { pointOf } from '../../machine/circuit/nets.ts';
import type { Chain, End, Machine } from '../../machine/machine.ts';
import { kindOf, type Part } from '../../machine/parts.ts';
import { choicesAt, type Choice } from '../../machine/rebuild/choices.ts';
import { chainWords, leadName, leadNamed, leadsIn, leadsOfChain, type Lead } from '../../machine/rebuild/leads.ts';
import { hasTerminal } from '../../machine/rebuild/reach.ts';
import type { InChain, Point } from '../../machine/rebuild/wish.ts';
import type { InHand } from '../store/in-hand.ts';

type Side = 'supply' | 'negative';

/** A place in a chain where something can come. */
export interface Spot {
  readonly words: string;
  readonly into: InChain;
}

/** An end that a new lead can have at what is in hand. */
export interface NearEnd {
  readonly words: string;
  readonly point: Point;
  readonly side: Side;
}

/** An end that it can have elsewhere: value and words of an entry in a list. */
export interface FarEnd {
  readonly value: string;
  readonly words: string;
}

/** Where a part can be put in beside what is in hand. */
export function spotsOf(machine: Machine, inHand: InHand): Spot[] {
  if (inHand.is === 'lead') return spotsOfLead(inHand.lead);
  return leadsAt(machine, inHand).map((lead): Spot => {
    const here = inHand.is === 'part' ? inHand.part.id : inHand.place;
    // A lead with a conductor has two ends: the one at what is in hand is meant.
    const behind = lead.conductor !== undefined && startsAt(lead.to, here);
    return { words: `in ${chainWords(lead.chain)}, beside ${here} towards ${startsAt(lead.to, here) ? lead.from : lead.to}`, into: inChain(lead.chain, behind ? lead.at + 1 : lead.at) };
  });
}

function spotsOfLead({ chain, at, conductor, from, to }: Lead): Spot[] {
  if (conductor === undefined) return [{ words: `between ${from} and ${to}`, into: inChain(chain, at) }];
  return [{ words: `beside ${from}`, into: inChain(chain, at) }, { words: `beside ${to}`, into: inChain(chain, at + 1) }];
}

function inChain({ role, name }: Chain, at: number): InChain {
  return { role, name, at };
}

/** `T1`, `T1-` and `T1 out` stand at T1. */
function startsAt(stop: string, id: string): boolean {
  return stop === id || stop === `${id}+` || stop === `${id}-` || stop === `${id} out`;
}

/** Leads that end at a part or place, in the order of the file. */
export function leadsAt(machine: Machine, inHand: Exclude<InHand, { is: 'lead' }>): Lead[] {
  const here = inHand.is === 'part' ? inHand.part.id : inHand.place;
  return leadsIn(machine).filter(({ from, to }) => startsAt(from, here) || startsAt(to, here));
}

/** Ends that a new lead can have at what is in hand. */
export function nearEnds(machine: Machine, inHand: InHand): NearEnd[] {
  if (inHand.is === 'lead') return spotsOfLead(inHand.lead).map(({ words, into }): NearEnd => ({ words, point: { tap: into }, side: sideOf(into.role) }));
  if (inHand.is === 'place') {
    return [...new Set(machine.wiring.chains.filter((chain) => [chain.from, chain.to].some((end) => 'place' in end && end.place === inHand.place)).map(({ role }) => sideOf(role)))]
      .map((side): NearEnd => ({ words: inHand.place, point: { end: { place: inHand.place } }, side }));
  }
  const { part } = inHand;
  const terminals = (['+', 'out', '-'] as const).filter((terminal) => hasTerminal(part.kind, terminal));
  if (terminals.length > 0) return terminals.map((terminal): NearEnd => ({ words: terminal === 'out' ? 'its output' : `its ${terminal === '-' ? '\u2212' : '+'}`, point: { end: { part: part.id, terminal } }, side: terminal === '-' ? 'negative' : 'supply' }));
  const chain = machine.wiring.chains.find(({ items }) => items.some((item) => 'part' in item && item.part === part.id));
  if (chain === undefined) return [];
  const at = chain.items.findIndex((item) => 'part' in item && item.part === part.id);
  const leads = leadsOfChain(machine, chain);
  const before = leads.find(({ to }) => to === part.id)?.from ?? '';
  const behind = leads.find(({ from }) => from === part.id)?.to ?? '';
  return [
    { words: `its side towards ${behind}`, point: { tap: inChain(chain, at + 1) }, side: sideOf(chain.role) },
    { words: `its side towards ${before}`, point: { tap: inChain(chain, at) }, side: sideOf(chain.role) },
  ];
}

function sideOf(role: Chain['role']): Side {
  return role === 'supply' ? 'supply' : 'negative';
}

/** Ends that there are, for the far end of a lead: terminals and places of one side, then places inside leads. */
export function farEnds(machine: Machine, side: Side, not: string): { readonly points: readonly FarEnd[]; readonly leads: readonly FarEnd[] } {
  const points = new Map<string, string>();
  for (const { role, from, to } of machine.wiring.chains) {
    if (sideOf(role) !== side) continue;
    for (const end of [from, to]) if ('place' in end) points.set(pointOf(end), end.place);
  }
  for (const part of machine.parts.values()) {
    for (const terminal of side === 'supply' ? (['+', 'out'] as const) : (['-'] as const)) {
      if (hasTerminal(part.kind, terminal)) points.set(pointOf({ part: part.id, terminal }), terminalWords(part, terminal));
    }
  }
  points.delete(not);
  return {
    points: [...points].map(([point, words]) => ({ value: `at ${point}`, words })),
    leads: leadsIn(machine).filter(({ chain }) => sideOf(chain.role) === side).map((lead) => ({ value: `in ${leadName(lead)}`, words: `between ${lead.from} and ${lead.to}` })),
  };
}

function terminalWords(part: Part, terminal: '+' | '-' | 'out'): string {
  const about = part.about === undefined ? '' : `, ${part.about.split(',')[0] ?? ''}`;
  return `${part.id} ${terminal === 'out' ? 'output' : terminal === '-' ? '\u2212' : '+'}${about}`;
}

/** What can come new at an end; a controller can get a motor. */
export function newAt(machine: Machine, inHand: InHand, near: NearEnd): readonly Choice[] {
  if (near.side !== 'supply') return [];
  const at = 'end' in near.point ? near.point.end : endOfTap(machine, near.point.tap);
  const loads = choicesAt(machine, at);
  const motor: Choice = { kind: 'motor', name: 'a motor', does: 'driven by this controller' };
  return inHand.is === 'part' && inHand.part.kind === 'controller' && inHand.part.values.alsoDrives === undefined ? [motor, ...loads] : loads;
}

/** The end of a chain that a place inside it is reached from. */
function endOfTap(machine: Machine, tap: InChain): End {
  return machine.wiring.chains.find(({ role, name }) => role === tap.role && name === tap.name)?.from ?? { place: '' };
}

/** The entry of the list that something pointed at in the drawing stands for; undefined where a lead of this side cannot end there. */
export function farEndAt(machine: Machine, side: Side, name: string): string | undefined {
  const { points, leads } = farEnds(machine, side, '');
  const part = machine.parts.get(name);
  const through = part !== undefined && kindOf(part.kind)?.terminals === 'through' ? leadsIn(machine).find(({ from }) => from === name) : undefined;
  const value = name.startsWith('@') ? `at ${name.slice(1)}`
    : part === undefined ? `in ${name}`
    : through === undefined ? `at ${name}${side === 'supply' ? '+' : '-'}` : `in ${leadName(through)}`;
  return [...points, ...leads].some((one) => one.value === value) ? value : undefined;
}

/** The point that an entry of the list of ends stands for. */
export function pointAt(machine: Machine, value: string): Point | undefined {
  const name = value.slice(3);
  if (value.startsWith('at ')) {
    const [, id = '', terminal] = /^(.*?)( out|[+-])$/.exec(name) ?? [];
    return { end: machine.parts.has(id) ? { part: id, terminal: terminal === ' out' ? 'out' : terminal === '-' ? '-' : '+' } : { place: name } };
  }
  const lead = value.startsWith('in ') ? leadNamed(machine, name) : undefined;
  return lead === undefined ? undefined : { tap: inChain(lead.chain, lead.at) };
}

/** What is taken in hand at an entry of the list of ends. */
export function nameOfEnd(machine: Machine, value: string): string {
  const point = pointAt(machine, value);
  return point !== undefined && 'end' in point ? handNameOf(point.end) : '';
}

/** A terminal is in hand with its part. */
export function handNameOf(end: End): string {
  return 'part' in end ? end.part : `@${end.place}`;
}
