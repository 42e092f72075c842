import { isSource, leadsOf, type Lead } from '../machine/circuit/nets.ts';
import { openPosition, positionsBefore } from '../machine/circuit/positions.ts';
import type { Machine, Step } from '../machine/machine.ts';

/** How a point is fed: not at all, through a resistor only, or directly. */
export type Fed = 'not' | 'through a resistor' | 'directly';

/** What is fed with the switches as they stand before step `k` of a procedure; `on` when it begins with the machine powered up. */
export function fedBefore(machine: Machine, steps: readonly Step[], k: number, at: 'off' | 'on'): (part: string) => Fed {
  const standing = new Map(at === 'on' ? positionsBefore(machine, machine.powerUp, machine.powerUp.length) : []);
  for (const [part, position] of positionsBefore(machine, steps, k)) standing.set(part, position);
  return fedWith(machine, standing);
}

/** What is fed with switches that stand as given; others are open. */
export function fedWith(machine: Machine, standing: ReadonlyMap<string, string>): (part: string) => Fed {
  const direct = reached(machine, standing, false);
  const any = reached(machine, standing, true);
  return (part) => (direct(part) ? 'directly' : any(part) ? 'through a resistor' : 'not');
}

/** Whether both terminals of a part are joined with a source. */
function reached(machine: Machine, standing: ReadonlyMap<string, string>, throughResistors: boolean): (part: string) => boolean {
  const sources = [...machine.parts.values()].filter(({ kind }) => isSource(kind)).map(({ id }) => id);
  const passable = (lead: Lead): boolean => lead.parts.every((part) => passes(machine, part, standing, throughResistors));
  const leads = leadsOf(machine).filter(passable);
  const plus = spread(leads.filter(({ side }) => side === 'supply'), sources.map((id) => `${id}+`));
  const minus = spread(leads.filter(({ side }) => side === 'return'), sources.map((id) => `${id}-`));
  // A file may leave its returns out; then the minus side decides nothing.
  const traced = leadsOf(machine).some(({ side }) => side === 'return');
  return (part) => plus.has(`${part}+`) && (!traced || minus.has(`${part}-`));
}

function passes(machine: Machine, id: string, standing: ReadonlyMap<string, string>, throughResistors: boolean): boolean {
  const part = machine.parts.get(id);
  switch (part?.kind) {
    case 'isolator': {
      const position = standing.get(id) ?? openPosition(machine, id);
      const path = part.values.positions?.get(position)?.path;
      return path === undefined ? position !== 'open' && position !== 'OFF' : path === 'direct' || (path === 'through' && throughResistors);
    }
    case 'resistor':
      return throughResistors;
    case 'link':
    case 'button':
    case 'contactor':
    case 'solid-state switch':
      return standing.has(id) && standing.get(id) !== openPosition(machine, id) && standing.get(id) !== 'OFF';
    case 'connector':
      // A connector that no step names stays as it is wired.
      return !machine.powerUp.some((step) => 'part' in step && step.part === id) || (standing.has(id) && standing.get(id) !== openPosition(machine, id));
    default:
      return part !== undefined;
  }
}

function spread(leads: readonly Lead[], starts: readonly string[]): ReadonlySet<string> {
  const found = new Set(starts);
  for (let grew = true; grew; ) {
    grew = false;
    for (const { from, to } of leads) {
      if (found.has(from) === found.has(to)) continue;
      found.add(from).add(to);
      grew = true;
    }
  }
  return found;
}
