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
    const position = reached(machine, step.part, positionAfter(machine, step), positions);
    positions.set(step.part, position);
    for (const { part, position: follows } of followers(machine, step.part, position)) positions.set(part, follows);
  }
  return positions;
}

/** Whether every one of these switches stands closed directly. */
export function allClosed(machine: Machine, parts: readonly string[], positions: ReadonlyMap<string, string>): boolean {
  return parts.every((part) => (positions.get(part) ?? (standsClosed(machine, part) ? closedPosition(machine, part) : undefined)) === closedPosition(machine, part));
}

/**
 * A switch for a key input or a coil that the power-up never touches stands closed where it stands in no chain, as an
 * emergency stop does, or where it is a link that no step names at all.
 */
function standsClosed(machine: Machine, part: string): boolean {
  const named = (steps: readonly Step[]): boolean => steps.some((step) => 'part' in step && step.part === part);
  if (named(machine.powerUp)) return false;
  const wired = machine.wiring.chains.some((chain) => chain.items.some((item) => 'part' in item && item.part === part));
  return !wired || (machine.parts.get(part)?.kind === 'link' && !named(machine.powerDown));
}

/** Where a switch goes when it is moved to `position`: a contactor whose coil's switch is open stays open. */
export function reached(machine: Machine, part: string, position: string, positions: ReadonlyMap<string, string>): string {
  const found = machine.parts.get(part);
  if (found?.kind !== 'contactor' || found.values.coilSwitch === undefined) return position;
  return allClosed(machine, [found.values.coilSwitch], positions) ? position : openPosition(machine, part);
}

/**
 * Contactors that follow when the switch in their coil's feed goes to a position: all fall open with it, and those that
 * no step of the procedure closes are closed with it.
 */
export function followers(machine: Machine, part: string, position: string): { readonly part: string; readonly position: string }[] {
  const closes = position === closedPosition(machine, part);
  return [...machine.parts.values()].flatMap((one) => {
    if (one.kind !== 'contactor' || one.values.coilSwitch !== part) return [];
    if (!closes) return [{ part: one.id, position: openPosition(machine, one.id) }];
    const own = machine.powerUp.some((step) => 'part' in step && step.part === one.id);
    return own ? [] : [{ part: one.id, position: closedPosition(machine, one.id) }];
  });
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
