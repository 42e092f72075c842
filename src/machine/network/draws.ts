import type { FromValues } from '../circuit/binder.ts';
import { loadsBehind } from '../circuit/nets.ts';
import type { Inputs } from '../inputs.ts';
import type { Machine } from '../machine.ts';
import type { Converter } from '../parts/loads.ts';
import { valueOf } from './strands.ts';

/** Power that a converter draws once started, W: as stated, or from the currents of what hangs on it. */
export function converterPower(machine: Machine, inputs: Inputs, part: Converter): FromValues {
  const value = valueOf(inputs);
  if (part.values.running !== undefined) return value(`${part.id}.running`);
  const output = value(`${part.id}.output`);
  const efficiency = value(`${part.id}.efficiency`);
  const currents = loadsBehind(machine, part.id).flatMap((load) => {
    const kind = machine.parts.get(load)?.kind;
    if (kind === 'receiver') return [value(`${load}.current`)];
    return kind === 'servo' || kind === 'regulator' ? [value(`${load}.idle`)] : [];
  });
  return (v) => (currents.reduce((sum, current) => sum + current(v), 0) * output(v)) / efficiency(v);
}
