import { leakage_A } from '../../physics/leakage.ts';
import type { FromValues } from '../circuit/binder.ts';
import type { Inputs } from '../inputs.ts';
import type { Machine } from '../machine.ts';
import { valueOf } from './strands.ts';

/** Reverse leakage at 25 °C for each ampere of a diode's rating, and of an ideal-diode module, A. Common practice, no source. */
const LEAKS_A_A = { silicon: 5e-7, schottky: 2e-5 } as const;
const MODULE_LEAKS_A = 1e-5;

/**
 * A diode's reverse leakage as the resistance round it that passes it at the voltage of the full packs, Ω: less at less, as
 * that of real ones. It follows the temperature inside the machine.
 * @param full_V  voltage of the full packs
 */
export function leakageRound(machine: Machine, inputs: Inputs, id: string, full_V: FromValues): FromValues {
  const value = valueOf(inputs);
  const part = machine.parts.get(id)!;
  const temperature = value('surroundings.inside');
  const rating = value(`${id}.rating`);
  const usual: FromValues = part.kind === 'diode' ? (v) => LEAKS_A_A[part.values.type ?? 'silicon'] * rating(v) : () => MODULE_LEAKS_A;
  const stated = inputs.has(`${id}.leakage`) ? value(`${id}.leakage`) : usual;
  return (v) => Math.max(1, full_V(v)) / leakage_A(stated(v), temperature(v));
}
