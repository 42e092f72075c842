import type { Machine } from '../machine.ts';
import { positionsOf } from './chains.ts';

/** Position in which a switch closes directly: `ON`; `closed` for what has no positions. */
export function closedPosition(machine: Machine, part: string): string {
  const found = machine.parts.get(part);
  if (found?.kind !== 'isolator') return 'closed';
  return positionsOf(found).find(([, path]) => path.path === 'direct')?.[0] ?? 'closed';
}

/** Position in which a switch is open: `OFF`; `open` for what has no positions. */
export function openPosition(machine: Machine, part: string): string {
  const found = machine.parts.get(part);
  if (found?.kind !== 'isolator') return 'open';
  return positionsOf(found).find(([, path]) => path.path === 'open')?.[0] ?? 'open';
}
