import type { Way } from '../machine/circuit/chains.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import { isDownstream, pointOf } from '../machine/circuit/nets.ts';
import type { Bank, StandbyLoad, StartingLoad } from '../machine/circuit/loads.ts';

/** A soft start of a machine: a way through a resistor, and the contacts that it prepares. */
export interface SoftStart {
  /** `Q1 CHARGE`, `S1`. */
  readonly name: string;
  readonly resistor: string;
  /** The way whose closing starts it. */
  readonly entry: Way;
  readonly entryPart: string;
  /** Contacts that close directly onto what it has charged. */
  readonly mains: readonly { readonly part: string; readonly way: Way }[];
  /** Points that it charges. */
  readonly points: ReadonlySet<string>;
  readonly banks: readonly Bank[];
  readonly starting: readonly StartingLoad[];
  readonly standby: readonly StandbyLoad[];
}

/** Finds every soft start: a switch way with a resistor in it, or a switched chain with one. */
export function findSoftStarts(circuit: Circuit): SoftStart[] {
  const found: SoftStart[] = [];
  for (const [resistor, branches] of circuit.resistors)
    for (const [part, ways] of circuit.ways)
      for (const entry of ways) {
        if (!branches.includes(entry.branch)) continue;
        const points = chargedPoints(circuit, entry.to, new Set([entry.from]));
        const mains = mainWays(circuit, entry, points, branches);
        if (mains.length === 0) continue;
        const behind = <T extends { readonly part: string }>(loads: readonly T[]): T[] => loads.filter((load) => points.has(`${load.part}+`));
        found.push({
          name: entry.position === 'closed' ? part : `${part} ${entry.position}`,
          resistor,
          entry,
          entryPart: part,
          mains,
          points,
          banks: behind(circuit.loads.banks),
          starting: behind(circuit.loads.starting),
          standby: behind(circuit.loads.standby),
        });
      }
  return found;
}

/** Points that are charged from `start` without passing a switch: through leads and in the direction of diodes. */
export function chargedPoints(circuit: Circuit, start: string, never: ReadonlySet<string>): ReadonlySet<string> {
  const { machine } = circuit;
  const reached = new Set([start]);
  const open = [start];
  while (open.length > 0) {
    const at = open.pop()!;
    for (const chain of machine.wiring.chains) {
      if (chain.role !== 'supply' || isDownstream(machine, chain)) continue;
      const kinds = chain.items.map((item) => ('part' in item ? machine.parts.get(item.part)?.kind : undefined));
      if (chain.items.some((item) => 'part' in item && circuit.ways.has(item.part))) continue;
      const from = pointOf(chain.from);
      const to = pointOf(chain.to);
      const next = from === at ? to : to === at && !kinds.includes('diode') ? from : undefined;
      if (next === undefined || reached.has(next) || never.has(next)) continue;
      reached.add(next);
      open.push(next);
    }
  }
  return reached;
}

function mainWays(circuit: Circuit, entry: Way, points: ReadonlySet<string>, through: readonly unknown[]): { part: string; way: Way }[] {
  const mains: { part: string; way: Way }[] = [];
  for (const [part, ways] of circuit.ways)
    for (const way of ways) {
      if (way === entry || through.includes(way.branch) || way.through !== undefined) continue;
      // A main contact leads from where the soft start begins to something that it charges.
      if (way.from === entry.from && points.has(way.to)) mains.push({ part, way });
    }
  return mains;
}
