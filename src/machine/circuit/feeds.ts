import type { Machine } from '../machine.ts';
import { companionOf, isDownstream, pointOf, seriesStack } from './nets.ts';
import type { Binder } from './binder.ts';

/**
 * The point that a field like `coil from` or `key from` names: a place, or a terminal of a part (`T1` is its +).
 * @returns undefined when no supply chain on the packs' side goes there
 */
export function feedPoint(machine: Machine, written: string): string | undefined {
  const name = written.replace('\u2212', '-').replace(/\s+(?=[+-]$)/, '');
  const points = new Set(machine.wiring.chains.filter((chain) => chain.role === 'supply' && !isDownstream(machine, chain)).flatMap((chain) => [pointOf(chain.from), pointOf(chain.to)]));
  return points.has(name) ? name : points.has(`${name}+`) ? `${name}+` : undefined;
}

/** The return point that belongs to a feed point; the packs' negative where the machine has none there. */
export function returnOf(machine: Machine, binder: Binder, point: string): string {
  for (const chain of machine.wiring.chains)
    for (const end of [chain.from, chain.to]) if (chain.role === 'supply' && pointOf(end) === point && binder.exists(companionOf(end))) return companionOf(end);
  const [lowest] = seriesStack(machine);
  return `${lowest ?? ''}-`;
}
