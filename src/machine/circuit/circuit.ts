import type { Automaton } from '../../engine/automaton.ts';
import type { BranchHandle } from '../../engine/devices/branch.ts';
import { addResistor } from '../../engine/devices/resistor.ts';
import { compile, type Model } from '../../engine/model.ts';
import { laidOut, type SystemBuilder } from '../../engine/system.ts';
import { conductorResistance_ohm } from '../../physics/conductors.ts';
import { Inputs } from '../inputs.ts';
import type { Chain, Machine } from '../machine.ts';
import { addBenchLead, benchLeadOf, mergeEarthedEnds, type BenchLeadPath } from './bench-leads.ts';
import { Binder, type FromValues } from './binder.ts';
import { ChainBuilder, type Heated, type ProtectedBranch, type Way } from './chains.ts';
import { addCoils, type Coil } from './coils.ts';
import { LoadBuilder, type Loads } from './loads.ts';
import { barPoints, companionOf, impliedReturns, isDownstream, NEGATIVES, pointOf, seriesStack } from './nets.ts';

/** The circuit of a machine, compiled, with what the questions need to find their way in it. */
export interface Circuit {
  readonly machine: Machine;
  readonly inputs: Inputs;
  readonly model: Model;
  readonly loads: Loads;
  readonly automata: readonly Automaton[];
  /** For each operated switch its ways. */
  readonly ways: ReadonlyMap<string, readonly Way[]>;
  readonly resistors: ReadonlyMap<string, readonly BranchHandle[]>;
  /** Watch of the voltage between a supply point and its return point. */
  readonly pointWatch: ReadonlyMap<string, number>;
  readonly heats: ReadonlyMap<string, readonly Heated[]>;
  readonly protections: readonly ProtectedBranch[];
  /** Branches whose currents together flow through each fuse. */
  readonly fuses: ReadonlyMap<string, readonly BranchHandle[]>;
  /** Coils of contactors whose file says what feeds them. */
  readonly coils: readonly Coil[];
  readonly benchLeads: readonly BenchLeadPath[];
  readonly followed: FollowedCurrents;
  /** Open-circuit voltage of the packs that stand on each other at the bottom of the machine, V. */
  readonly supply: FromValues;
  parametersFor(values: Float64Array): Float64Array;
}

/** Watches of currents that only somebody who looks at a whole run wants to see, A; none unless they were asked for. */
export interface FollowedCurrents {
  /** What a chain takes at its first end. */
  readonly chains: ReadonlyMap<Chain, number>;
  /** What a load takes at its +. */
  readonly loads: ReadonlyMap<string, number>;
}

/** Energy that the balance of a power-up is about, J; sets the tolerance of its terms. */
const ENERGY_SCALE_J = 0.05;

/**
 * Builds a machine's circuit: every chain, return, signal lead and load that a power-up involves.
 * @param follow  whether the current of every chain and load is watched; it costs every step of a run a little
 */
export function buildCircuit(machine: Machine, follow = false): Circuit {
  const inputs = new Inputs(machine);
  const { system, binder, ...found } = laidOut((builder) => assemble(machine, inputs, builder, follow));
  const model = compile(system);
  return { machine, inputs, model, ...found, supply: binder.supply, parametersFor: (values) => binder.parametersFor(model, values) };
}

/** Puts a machine's equations together; what is compiled and run is the result of a second time, in the solver's order. */
function assemble(machine: Machine, inputs: Inputs, builder: SystemBuilder, follow: boolean) {
  const binder = new Binder(inputs, builder);
  const supply = machine.wiring.chains.filter((chain) => chain.role === 'supply');
  const live = supply.filter((chain) => !isDownstream(machine, chain));

  for (const chain of [...live, ...machine.wiring.chains.filter((c) => c.role !== 'supply')])
    if (chain.items.length === 0) binder.merge(pointOf(chain.to), pointOf(chain.from));
  for (const point of barPoints(machine)) binder.merge(point, NEGATIVES);
  mergeEarthedEnds(machine, binder);
  const [ground] = seriesStack(machine);
  if (ground !== undefined) binder.ground(`${ground}-`);

  const chains = new ChainBuilder(machine, binder, operatedParts(machine));
  const followed = { chains: new Map<Chain, number>(), loads: new Map<string, number>() };
  const taken = (name: string, point: string, add: () => void): number | undefined => {
    if (!follow) {
      add();
      return undefined;
    }
    const given = builder.injectedBy(binder.node(point), add);
    return given === undefined ? undefined : builder.watch(`${name} taken`, builder.graph.negate(given));
  };
  const lay = (chain: Chain): void => {
    const watch = taken(chain.name, pointOf(chain.from), () => { chains.add(chain, pointOf(chain.from), pointOf(chain.to)); });
    if (watch !== undefined) followed.chains.set(chain, watch);
  };
  for (const chain of live) if (chain.items.length > 0) lay(chain);
  const benchLeads = addReturns(machine, binder, lay);

  const loads = new LoadBuilder(machine, binder);
  const fed = new Set(live.flatMap((chain) => [pointOf(chain.from), pointOf(chain.to)]));
  for (const part of machine.parts.values()) {
    if (part.kind === 'pack') loads.pack(part);
    else if (part.kind === 'bench supply') loads.supply(part);
    else if (fed.has(`${part.id}+`)) {
      const watch = taken(part.id, `${part.id}+`, () => { loads.load(part); });
      if (watch !== undefined) followed.loads.set(part.id, watch);
    }
  }

  const pointWatch = new Map<string, number>();
  const g = binder.system.graph;
  for (const chain of live)
    for (const end of [chain.from, chain.to]) {
      const point = pointOf(end);
      if (pointWatch.has(point) || !binder.exists(point)) continue;
      const companion = companionOf(end);
      const below = binder.exists(companion) ? binder.node(companion).voltage : g.zero;
      pointWatch.set(point, binder.system.watch(`${point} voltage`, g.subtract(binder.node(point).voltage, below)));
    }

  const { ways, resistors, heats, protections, fuses } = chains.result();
  const coils = addCoils(machine, binder, ways);
  binder.supply = (values) => seriesStack(machine).reduce((sum, id) => sum + (loads.loads.packs.find((p) => p.part === id)?.openCircuit(values) ?? 0), 0);
  const arcs = new Set([...ways.values()].flat().flatMap((way) => way.branch.automata));
  return {
    binder,
    system: builder.finish(ENERGY_SCALE_J),
    loads: loads.loads,
    automata: [...arcs, ...protections.flatMap((one) => one.trip.automata), ...loads.loads.automata, ...coils.map((coil) => coil.handle.automaton)],
    ways,
    resistors,
    heats,
    protections,
    fuses,
    coils,
    benchLeads,
    pointWatch,
    followed,
  };
}

const OPERATED: ReadonlySet<string> = new Set(['isolator', 'button', 'contactor', 'solid-state switch']);

/** Switches that somebody operates in a procedure; links and connectors only when a step names them. */
export function operatedParts(machine: Machine): ReadonlySet<string> {
  const operated = new Set<string>();
  for (const part of machine.parts.values()) if (OPERATED.has(part.kind)) operated.add(part.id);
  for (const step of [...machine.powerUp, ...machine.powerDown]) if ('part' in step) operated.add(step.part);
  return operated;
}

/** The return side: the leads that the one-line form implies, own return chains, signal grounds, leads to the chassis and the bench. */
function addReturns(machine: Machine, binder: Binder, lay: (chain: Chain) => void): BenchLeadPath[] {
  for (const { chain, low, high } of impliedReturns(machine)) {
    const resistance = returnResistance(chain, binder);
    const handle = addResistor(binder.system, `${chain.name} return`, binder.node(low), binder.node(high), binder.nominally(resistance));
    binder.bind(handle.resistance, resistance);
  }
  const benchLeads: BenchLeadPath[] = [];
  for (const chain of machine.wiring.chains) {
    if (chain.role === 'supply' || chain.items.length === 0) continue;
    const lead = benchLeadOf(machine, chain);
    if (lead === undefined) lay(chain);
    else benchLeads.push(addBenchLead(binder, chain, lead));
  }
  return benchLeads;
}

function returnResistance(chain: Chain, binder: Binder): FromValues {
  const joint = binder.value('returns.joint');
  const temperature = binder.value('surroundings.inside');
  const leads = chain.items.flatMap((item, k): FromValues[] => {
    if (!('conductor' in item)) return [];
    const section = binder.value(`${chain.name}#${k}.section`);
    const length = binder.value(`${chain.name}#${k}.length`);
    return [(v) => conductorResistance_ohm(section(v), length(v), temperature(v), undefined, 'fine')];
  });
  return (v) => joint(v) + leads.reduce((sum, lead) => sum + lead(v), 0);
}
