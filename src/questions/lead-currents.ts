import { longCurrent_A } from '../physics/cable-limit.ts';
import type { Chain, Machine } from '../machine/machine.ts';
import { FaultCurrents } from './states/fault-currents.ts';

/** What one conductor carries with everything on and every controller at its battery-current limit at once. */
export interface LeadCurrent {
  /** Chain that it belongs to, and which of that chain's conductors it is, from 0. */
  readonly chain: string;
  readonly piece: number;
  readonly role: Chain['role'];
  /** A − lead of which the file says only that it runs beside this conductor. */
  readonly implied: boolean;
  readonly current_A: number;
  /** Temperature at which it settles when that current never stops, °C; Infinity above any that cable bears. */
  readonly settled_C: number;
}

/** Above this no insulation is left, °C. */
export const HOTTEST_C = 400;
/** Halvings of the range of temperatures: to a thousandth of a kelvin. */
const HALVINGS = 20;

/** Every conductor at full drive; undefined where the machine has no state of rest then. */
export function leadCurrents(machine: Machine): readonly LeadCurrent[] | undefined {
  const faults = new FaultCurrents(machine);
  const state = faults.atLimits();
  if (state === undefined) return undefined;
  const { network, values } = faults;
  const ambient_C = values[network.inputs.at('surroundings.inside')]!;
  const pieces = new Map<string, number>();
  return network.strands.flatMap(({ strand }, s) => strand.items.flatMap((item): LeadCurrent[] => {
    const section_m2 = item.section?.(values);
    if (section_m2 === undefined) return [];
    const implied = strand.role === 'return' && strand.chain.role !== 'return';
    // A chain with diodes is several strands: its conductors are counted through.
    const counted = `${strand.chain.role} ${implied} ${strand.chain.name}`;
    const piece = pieces.get(counted) ?? 0;
    pieces.set(counted, piece + 1);
    const current_A = Math.abs(state.currents[s]!);
    return [{ chain: strand.chain.name, piece, role: strand.chain.role, implied, current_A, settled_C: settled_C(section_m2 * 1e6, ambient_C, current_A) }];
  }));
}

/** The temperature for which a lead may carry a current for good, °C. */
function settled_C(section_mm2: number, ambient_C: number, current_A: number): number {
  let [low, high] = [ambient_C, HOTTEST_C];
  if (!(longCurrent_A(section_mm2, ambient_C, high) > current_A)) return Infinity;
  for (let k = 0; k < HALVINGS; k++) {
    const middle = (low + high) / 2;
    if (longCurrent_A(section_mm2, ambient_C, middle) > current_A) high = middle;
    else low = middle;
  }
  return high;
}
