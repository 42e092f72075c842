import type { Way } from '../machine/circuit/chains.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import { isDownstream, isSource, leadsOf, pointOf } from '../machine/circuit/nets.ts';
import { planSteps } from '../machine/circuit/power-up.ts';
import { allClosed, closedPosition, positionsBefore } from '../machine/circuit/positions.ts';
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
  /** Ways closed when it begins, and those that lead to it from a pack. */
  readonly closed: ReadonlySet<Way>;
  /** Points that it charges. */
  readonly points: ReadonlySet<string>;
  readonly banks: readonly Bank[];
  readonly starting: readonly StartingLoad[];
  /** What draws at rest while it charges; a logic that its key switch holds off then is not among it. */
  readonly standby: readonly StandbyLoad[];
}

/** Finds every soft start: a switch way with a resistor in it, or a switched chain with one. */
export function findSoftStarts(circuit: Circuit): SoftStart[] {
  const { machine } = circuit;
  const closings = planSteps(circuit, machine.powerUp, 'power up', circuit.inputs.nominal(), 0).closings;
  const found: SoftStart[] = [];
  for (const [resistor, branches] of circuit.resistors)
    for (const [part, ways] of circuit.ways)
      for (const entry of ways) {
        if (!branches.includes(entry.branch)) continue;
        const step = closings.find((closing) => closing.way === entry)?.step ?? 0;
        const standing = positionsBefore(machine, machine.powerUp, step);
        const closed = closedWays(circuit, standing);
        const { start, source } = chargedEnd(circuit, entry, closed);
        const points = chargedPoints(circuit, start, new Set([source]), closed);
        const mains = mainWays(circuit, entry, source, points, branches);
        if (mains.length === 0) continue;
        const behind = <T extends { readonly part: string }>(loads: readonly T[]): T[] => loads.filter((load) => points.has(`${load.part}+`) || points.has(`${load.part}-`));
        found.push({
          name: entry.position === 'closed' ? part : `${part} ${entry.position}`,
          resistor,
          entry,
          entryPart: part,
          mains,
          closed: new Set([...closed, ...upstreamWays(circuit, entry.from)]),
          points,
          banks: behind(circuit.loads.banks),
          starting: behind(circuit.loads.starting),
          standby: circuit.loads.standby.filter((load) => (points.has(load.point) || points.has(`${load.part}-`)) && allClosed(machine, load.waitsFor, standing)),
        });
      }
  return found;
}

/** Ways that are closed with the switches in given positions. */
export function closedWays(circuit: Circuit, positions: ReadonlyMap<string, string>): ReadonlySet<Way> {
  const closed = new Set<Way>();
  for (const [part, ways] of circuit.ways) for (const way of ways) if (positions.get(part) === way.position) closed.add(way);
  return closed;
}

/**
 * Points that are charged from `start`: through leads and closed switches, and in the direction of diodes.
 * @param slowly  also through positions that lead through a resistor
 */
export function chargedPoints(circuit: Circuit, start: string, never: ReadonlySet<string>, closed: ReadonlySet<Way>, slowly = false): ReadonlySet<string> {
  const { machine } = circuit;
  const leads = leadsOf(machine);
  const reached = new Set([start]);
  const open = [start];
  while (open.length > 0) {
    const at = open.pop()!;
    for (const lead of leads) {
      const next = lead.from === at ? lead.to : lead.to === at && !lead.parts.some((id) => machine.parts.get(id)?.kind === 'diode') ? lead.from : undefined;
      if (next === undefined || reached.has(next) || never.has(next)) continue;
      const passable = lead.parts.every((id) => (circuit.ways.get(id) ?? []).length === 0 || circuit.ways.get(id)!.some((way) => closed.has(way) && (slowly || way.through === undefined)));
      if (!passable) continue;
      reached.add(next);
      open.push(next);
    }
  }
  return reached;
}

/** The end of a way that does not lead to a pack: what it charges. In the positive that is its far end, in the negative its near one. */
export function chargedEnd(circuit: Circuit, way: Way, closed: ReadonlySet<Way>): { readonly start: string; readonly source: string } {
  const packs = [...circuit.machine.parts.values()].filter((part) => isSource(part.kind));
  const hasPack = (points: ReadonlySet<string>): boolean => packs.some((pack) => points.has(`${pack.id}-`) || points.has(`${pack.id}+`));
  const onReturn = leadsOf(circuit.machine).some((lead) => lead.side === 'return' && lead.from === way.from && lead.to === way.to);
  if (onReturn && !hasPack(chargedPoints(circuit, way.from, new Set([way.to]), closed))) return { start: way.from, source: way.to };
  return { start: way.to, source: way.from };
}

function mainWays(circuit: Circuit, entry: Way, source: string, points: ReadonlySet<string>, through: readonly unknown[]): { part: string; way: Way }[] {
  const mains: { part: string; way: Way }[] = [];
  for (const [part, ways] of circuit.ways)
    for (const way of ways) {
      if (way === entry || through.includes(way.branch) || way.through !== undefined) continue;
      // A main contact leads between where the soft start begins and something that it charges.
      const joins = (way.from === source && points.has(way.to)) || (way.to === source && points.has(way.from));
      if (joins) mains.push({ part, way });
    }
  return mains;
}

/** Ways that lead from a pack to a point, the direct ones where a switch has several. */
export function upstreamWays(circuit: Circuit, point: string): ReadonlySet<Way> {
  const closed = new Set<Way>();
  const seen = new Set<string>([point]);
  const open = [point];
  while (open.length > 0) {
    const at = open.pop()!;
    for (const chain of circuit.machine.wiring.chains) {
      if (chain.role !== 'supply' || isDownstream(circuit.machine, chain) || pointOf(chain.to) !== at) continue;
      const parts = chain.items.flatMap((item) => ('part' in item ? [item.part] : []));
      // A soft start is not a way to stay closed by.
      if (parts.some((id) => circuit.machine.parts.get(id)?.kind === 'button')) continue;
      for (const id of parts)
        for (const way of circuit.ways.get(id) ?? [])
          if (way.through === undefined && way.position === closedPosition(circuit.machine, id)) closed.add(way);
      const from = pointOf(chain.from);
      if (seen.has(from)) continue;
      seen.add(from);
      open.push(from);
    }
  }
  return closed;
}
