import type { Machine, Step } from '../machine.ts';
import { positionsOf } from './chains.ts';

/** Position in which a switch closes directly: `ON`; `closed` for what has no positions. */
export function closedPosition(machine: Machine, part: string): string {
  const found = machine.parts.get(part);
  if (found?.kind === 'contactor') return 'ON';
  if (found?.kind !== 'isolator') return 'closed';
  return positionsOf(found).find(([, path]) => path.path === 'direct')?.[0] ?? 'closed';
}

/** Position in which a switch is open: `OFF`; `open` for what has no positions. */
export function openPosition(machine: Machine, part: string): string {
  const found = machine.parts.get(part);
  if (found?.kind !== 'isolator') return 'open';
  return positionsOf(found).find(([, path]) => path.path === 'open')?.[0] ?? 'open';
}

/** Where every switch stands before step `k` of a procedure. */
export function positionsBefore(machine: Machine, steps: readonly Step[], k: number): ReadonlyMap<string, string> {
  const positions = new Map<string, string>();
  for (const step of steps.slice(0, k)) {
    if (step.act === 'wait' || step.act === 'crew') continue;
    positions.set(step.part, positionAfter(machine, step));
  }
  return positions;
}

function positionAfter(machine: Machine, step: Exclude<Step, { act: 'wait' } | { act: 'crew' }>): string {
  switch (step.act) {
    case 'turn':
      return step.position;
    case 'press':
    case 'insert':
    case 'connect':
    case 'close':
      return closedPosition(machine, step.part);
    case 'hold':
    case 'release':
    case 'remove':
    case 'disconnect':
    case 'open':
      return openPosition(machine, step.part);
  }
}
