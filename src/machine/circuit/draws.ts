import type { Machine } from '../machine.ts';
import type { Converter } from '../parts/loads.ts';
import type { Binder, FromValues } from './binder.ts';
import { loadsBehind } from './nets.ts';

/** What a controller draws at rest, with what hangs on its own radio supply (taken as linear unless said), A. */
export function controllerDraw(machine: Machine, binder: Binder, id: string): FromValues {
  return sum(binder.value(`${id}.standby`), outputDraw(machine, binder, id));
}

/** What a linear regulator draws, A: its own and what hangs on it. */
export function regulatorDraw(machine: Machine, binder: Binder, id: string): FromValues {
  return sum(binder.value(`${id}.idle`), outputDraw(machine, binder, id));
}

/** What a converter draws from its input, W: as the file says, or what hangs on it. */
export function converterDraw(machine: Machine, binder: Binder, part: Converter): FromValues {
  if (part.values.running !== undefined) return binder.value(`${part.id}.running`);
  const behind = outputDraw(machine, binder, part.id);
  const output = binder.value(`${part.id}.output`);
  const efficiency = binder.value(`${part.id}.efficiency`);
  return (v) => (behind(v) * output(v)) / efficiency(v);
}

/**
 * Current at the output of a part: of receivers, servos at rest, and what linear regulators use. Where several outputs
 * feed one load, those of the highest voltage carry it in equal shares.
 */
function outputDraw(machine: Machine, binder: Binder, id: string): FromValues {
  const terms = loadsBehind(machine, id).flatMap((load): FromValues[] => {
    const part = machine.parts.get(load);
    const own = part?.kind === 'receiver' ? 'current' : part?.kind === 'servo' || part?.kind === 'regulator' ? 'idle' : undefined;
    if (own === undefined) return [];
    const carrying = carriers(machine, binder, load);
    if (!carrying.includes(id)) return [];
    const current = binder.value(`${load}.${own}`);
    const sharing = carrying.filter((other) => other === id || !(loadsBehind(machine, other).includes(id) || loadsBehind(machine, id).includes(other)));
    return [(v) => current(v) / sharing.length];
  });
  return sum(...terms);
}

/** Outputs of the highest voltage among those that feed a load directly or through others of their height. */
function carriers(machine: Machine, binder: Binder, load: string): string[] {
  const feeding = [...machine.parts.values()].flatMap((part): { id: string; output_V: number }[] => {
    if (part.kind !== 'converter' && part.kind !== 'regulator') return [];
    if (!loadsBehind(machine, part.id).includes(load)) return [];
    return [{ id: part.id, output_V: binder.nominally(binder.value(`${part.id}.output`)) }];
  });
  // A converter in front of a regulator carries what the regulator does: only rivals on the same rail compete.
  const rivals = (one: string): typeof feeding => feeding.filter((other) => other.id === one || !(loadsBehind(machine, other.id).includes(one) || loadsBehind(machine, one).includes(other.id)));
  return feeding.filter((one) => one.output_V >= Math.max(...rivals(one.id).map((r) => r.output_V))).map((one) => one.id);
}

export function sum(...terms: readonly FromValues[]): FromValues {
  return (v) => terms.reduce((total, term) => total + term(v), 0);
}
