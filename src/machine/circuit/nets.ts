import type { Chain, End, Machine } from '../machine.ts';
import { kindOf } from '../parts.ts';

/** Names the electrical points of a machine: `bar`, `T1+`; the return point beside each is `bar-`, `T1-`. */
export function pointOf(end: End): string {
  if ('place' in end) return end.place;
  return end.terminal === 'out' ? `${end.part} out` : `${end.part}${end.terminal}`;
}

/** The return point that belongs to a supply point. */
export function companionOf(end: End): string {
  if ('place' in end) return `${end.place}-`;
  return `${end.part}-`;
}

/** Supply chains that stand behind the output of a converter or regulator: their power is drawn at its input. */
export function isDownstream(machine: Machine, chain: Chain): boolean {
  const starts = new Set<string>();
  const feeders = (c: Chain): boolean => {
    if (!('place' in c.from)) return c.from.terminal === 'out' || (c.from.terminal === '+' && isOutputFed(machine, c.from.part, starts));
    if (starts.has(c.from.place)) return false;
    starts.add(c.from.place);
    const point = pointOf(c.from);
    return machine.wiring.chains.some((other) => other.role === 'supply' && pointOf(other.to) === point && feeders(other));
  };
  return chain.role === 'supply' && feeders(chain);
}

function isOutputFed(machine: Machine, part: string, starts: Set<string>): boolean {
  if (machine.parts.get(part)?.kind === 'pack') return false;
  const key = `${part}+`;
  if (starts.has(key)) return false;
  starts.add(key);
  return machine.wiring.chains.some((other) => other.role === 'supply' && pointOf(other.to) === key && isDownstream(machine, other));
}

/** Loads that hang on the output of a part, through chains and places and linear regulators. */
export function loadsBehind(machine: Machine, part: string): string[] {
  const found: string[] = [];
  const seen = new Set<string>([`${part} out`]);
  const open = [`${part} out`];
  while (open.length > 0) {
    const point = open.pop()!;
    for (const chain of machine.wiring.chains) {
      if (chain.role !== 'supply' || pointOf(chain.from) !== point) continue;
      const to = pointOf(chain.to);
      if (seen.has(to)) continue;
      seen.add(to);
      open.push(to);
      if (!('place' in chain.to)) {
        found.push(chain.to.part);
        if (hasOutput(machine, chain.to.part)) open.push(`${chain.to.part} out`);
      }
    }
  }
  return found;
}

function hasOutput(machine: Machine, part: string): boolean {
  const kind = machine.parts.get(part)?.kind;
  const terminals = kind === undefined ? undefined : kindOf(kind)?.terminals;
  return Array.isArray(terminals) && terminals.includes('out');
}
