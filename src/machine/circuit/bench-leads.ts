import { addFeed, addRemovableLead, type FeedHandle, type RemovableLeadHandle } from '../../engine/devices/lead.ts';
import { conductorResistance_ohm } from '../../physics/conductors.ts';
import type { Chain, Machine } from '../machine.ts';
import type { BenchLead } from '../parts/leads.ts';
import type { Binder, FromValues } from './binder.ts';
import { pointOf } from './nets.ts';

/** A chassis or bench lead in the circuit. */
export interface BenchLeadPath {
  readonly part: string;
  readonly present: BenchLead['values']['present'];
  readonly from: string;
  /** Far end: a place, or `earth` for every device on the mains. */
  readonly to: string;
  readonly lead: RemovableLeadHandle;
  /** What it feeds backwards: into the logic only, or into the supply through `feed`. */
  readonly feeds: { readonly part: string; readonly reaches: 'logic' | 'supply'; readonly voltage: FromValues; readonly feed: FeedHandle | undefined } | undefined;
}

/** The point that all devices on the mains have in common. */
export const EARTH = 'earth';

/** The bench lead in a chain, where there is one. */
export function benchLeadOf(machine: Machine, chain: Chain): BenchLead | undefined {
  for (const item of chain.items) {
    const part = 'part' in item ? machine.parts.get(item.part) : undefined;
    if (part?.kind === 'bench lead') return part;
  }
  return undefined;
}

/** Says which points the mains' earth makes one; before any node is made. */
export function mergeEarthedEnds(machine: Machine, binder: Binder): void {
  for (const chain of machine.wiring.chains) if (benchLeadOf(machine, chain)?.values.farEnd === 'earthed') binder.merge(pointOf(chain.to), EARTH);
}

/** Adds the lead of one chain: plugged in when it is always there, else left to whoever runs the circuit. */
export function addBenchLead(binder: Binder, chain: Chain, part: BenchLead): BenchLeadPath {
  const [from, to] = [pointOf(chain.from), pointOf(chain.to)];
  const resistance = chainResistance(binder, chain);
  const lead = addRemovableLead(binder.system, part.id, binder.node(from), binder.node(to), binder.nominally(resistance));
  binder.bind(lead.resistance, resistance);
  if (part.values.present === 'always') binder.bind(lead.present, () => 1);
  return { part: part.id, present: part.values.present, from, to: part.values.farEnd === 'earthed' ? EARTH : to, lead, feeds: feedOf(binder, part, to, lead) };
}

function feedOf(binder: Binder, part: BenchLead, far: string, lead: RemovableLeadHandle): BenchLeadPath['feeds'] {
  const { feeds, reaches = 'supply' } = part.values;
  if (feeds === undefined) return undefined;
  const value = (field: string): FromValues => binder.value(`${part.id}.${field}`);
  const voltage: FromValues = reaches === 'logic' ? value('feedVoltage') : (v) => Math.max(0, value('feedVoltage')(v) - value('feedDrop')(v));
  // A load behind a converter's output is in no circuit of its own: its logic is all that such a lead can wake.
  if (reaches === 'logic' || !binder.exists(`${feeds}+`)) return { part: feeds, reaches: 'logic', voltage, feed: undefined };
  const limit = value('feedCurrent');
  const feed = addFeed(binder.system, `${part.id} feed`, binder.node(`${feeds}+`), binder.node(far), binder.nominally(voltage), binder.nominally(limit), lead.present);
  binder.bind(feed.voltage, voltage);
  binder.bind(feed.limit, limit);
  return { part: feeds, reaches, voltage, feed };
}

function chainResistance(binder: Binder, chain: Chain): FromValues {
  const temperature = binder.value('surroundings.inside');
  const terms = chain.items.map((item, k): FromValues => {
    if ('part' in item) return binder.value(`${item.part}.resistance`);
    const [section, length] = [binder.value(`${chain.name}#${k}.section`), binder.value(`${chain.name}#${k}.length`)];
    return (v) => conductorResistance_ohm(section(v), length(v), temperature(v), undefined, 'fine');
  });
  return (v) => terms.reduce((sum, term) => sum + term(v), 0);
}
