import type { Machine } from '../machine.ts';
import type { Part } from '../parts.ts';
import type { Strand } from './strands.ts';

/** A two-pole connection that can be made the wrong way round, and what then stands reversed. */
export interface Reversal {
  /** Connector, joint or converter that allows it. */
  readonly part: string;
  /** Pack or load that stands reversed. */
  readonly reverses: string;
  readonly side: 'pack' | 'load';
  /** Supply strand that it lies in. */
  readonly strand: Strand;
}

/**
 * Whether a part in a lead lets its two wires be swapped. A connector is polarised unless the file says otherwise, a joint a
 * splice, which nobody undoes; lugs and screw terminals go on either way. Common practice, no source.
 */
export function isReversible(part: Part | undefined): boolean {
  return (part?.kind === 'connector' && part.values.polarised === false) || (part?.kind === 'joint' && part.values.form !== undefined && part.values.form !== 'splice');
}

/**
 * Everything that can be connected the wrong way round: a pack whose lead has such a connection, a load whose lead has one,
 * and a converter, whose input pads or wires are alike, unless a polarised connector leads to it. What lies between two
 * places, and a pack or load with several leads of its own + through such connections, is left out.
 */
export function reversals(machine: Machine, strands: readonly Strand[]): Reversal[] {
  return strands.flatMap((strand): Reversal[] => {
    if (strand.role !== 'supply') return [];
    const through = strand.parts.map((id) => machine.parts.get(id));
    const loose = through.flatMap((part) => (part !== undefined && isReversible(part) ? [part.id] : []));
    const pack = machine.parts.get(strand.from.slice(0, -1));
    if (pack?.kind === 'pack' && strand.from === `${pack.id}+`) {
      const alone = strands.filter((other) => other.from === strand.from || other.to === strand.from).length === 1;
      return alone ? loose.map((part) => ({ part, reverses: pack.id, side: 'pack', strand })) : [];
    }
    const load = machine.parts.get(strand.to.slice(0, -1));
    if (load === undefined || strand.to !== `${load.id}+` || strand.diode !== undefined) return [];
    const ways = loose.map((part): Reversal => ({ part, reverses: load.id, side: 'load', strand }));
    const held = through.some((part) => part?.kind === 'connector' && part.values.polarised !== false);
    return load.kind === 'converter' && !held ? [...ways, { part: load.id, reverses: load.id, side: 'load', strand }] : ways;
  });
}

/** Strands whose ends at a load are swapped when it stands reversed, with the load. */
export function crossedLoads(machine: Machine, strands: readonly Strand[]): Map<Strand, string> {
  const crossed = new Map<Strand, string>();
  for (const { side, reverses, strand } of reversals(machine, strands)) {
    const back = strands.filter((other) => other.role === 'return' && other.from === `${reverses}-` && other.diode === undefined);
    if (side === 'pack' || back.length === 0) continue;
    for (const one of [strand, ...back]) crossed.set(one, reverses);
  }
  return crossed;
}
