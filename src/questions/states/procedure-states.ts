import { closedPosition, positionsBefore } from '../../machine/circuit/positions.ts';
import type { Step } from '../../machine/machine.ts';
import type { MachineNetwork } from '../../machine/network/machine-network.ts';
import type { Situation } from '../../machine/network/situation.ts';

/** A situation that the crew comes to, as written or by a slip. */
export interface ReachedState {
  readonly situation: Situation;
  /** `after “insert LK1”`. */
  readonly words: string;
  /** Reached only by a step left out or swapped with the next. */
  readonly slip: boolean;
}

/** Every situation that power up and power down pass through, first as written, then with one step left out or two swapped. */
export function procedureStates(network: MachineNetwork): ReachedState[] {
  const { machine } = network;
  const found = new Map<string, ReachedState>();
  const add = (steps: readonly Step[], before: readonly Step[], slip: string | undefined): void => {
    const all = [...before, ...steps];
    for (let k = before.length; k <= all.length; k++) {
      const situation = situationAfter(network, all, k);
      const key = situation.positions.join();
      const last = all[k - 1];
      const words = last === undefined ? 'before the first step' : `after “${last.text}”${slip === undefined ? '' : `, ${slip}`}`;
      if (!found.has(key)) found.set(key, { situation, words, slip: slip !== undefined });
    }
  };
  const { powerUp, powerDown } = machine;
  add(powerUp, [], undefined);
  add(powerDown, powerUp, undefined);
  for (const [steps, before] of [[powerUp, []], [powerDown, powerUp]] as const)
    steps.forEach((step, k) => {
      if (!('part' in step)) return;
      add([...steps.slice(0, k), ...steps.slice(k + 1)], before, `“${step.text}” left out`);
      const next = steps.findIndex((other, n) => n > k && 'part' in other);
      if (next > 0) add([...steps.slice(0, k), steps[next]!, ...steps.slice(k, next), ...steps.slice(next + 1)], before, `“${step.text}” and “${steps[next]!.text}” swapped`);
    });
  return [...found.values()];
}

/** The situation with every switch as the power up leaves it. */
export function poweredUp(network: MachineNetwork): Situation {
  return situationAfter(network, network.machine.powerUp, network.machine.powerUp.length);
}

/** Switches that no step names stay closed: connectors that are plugged once. A button that nobody presses is open. */
function situationAfter(network: MachineNetwork, steps: readonly Step[], count: number): Situation {
  const { machine, rows, sources } = network;
  const named = new Set([...machine.powerUp, ...machine.powerDown].flatMap((step) => ('part' in step ? [step.part] : [])));
  const standing = positionsBefore(machine, steps, count);
  const positions = Uint8Array.from(rows, ({ part, positions: all }) => {
    const at = standing.get(part) ?? (named.has(part) || machine.parts.get(part)?.kind === 'button' ? undefined : closedPosition(machine, part));
    return Math.max(0, all.findIndex((position) => position.name === at));
  });
  return { positions, present: Uint8Array.from(sources, (source) => (source.kind === 'spinning motor' ? 0 : 1)) };
}
