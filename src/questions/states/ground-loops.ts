import { NetworkBuilder } from '../../engine/network/network.ts';
import { RestPoint } from '../../engine/network/rest-point.ts';
import { fullDrive } from '../../machine/network/network.ts';
import type { MachineNetwork } from '../../machine/network/machine-network.ts';
import { Refused } from '../runs.ts';
import { graphOf, SourceBlocks } from './source-blocks.ts';

/** A lead of the negative or signal-ground side that lies in a loop, with what it carries. */
export interface LoopLead {
  readonly strand: number;
  readonly name: string;
  readonly signal: boolean;
  readonly ohm: number;
  /** Smallest section in it, m²; undefined where it is all joints. */
  readonly section_m2: number | undefined;
  /** Current while every controller draws its full battery current, A. */
  readonly normal_A: number;
  /** The negative whose loss loads it most, and its current then, A. */
  readonly lost: string | undefined;
  readonly lost_A: number;
}

/** A loop of leads: everything that lies on a closed way of negatives. */
export interface GroundLoop {
  readonly leads: readonly LoopLead[];
}

/** Every loop of the negative and signal-ground side with its split of current, whole and with each negative opened in turn. */
export function groundLoops(network: MachineNetwork, values: Float64Array): GroundLoop[] {
  const side = network.strands.flatMap(({ strand, a, b }, s) => (strand.role === 'supply' ? [] : [{ strand, a, b, s }]));
  const graph = graphOf(network.network.nodes.length, side.map(({ a, b }): [number, number] => [a, b]));
  const blocks = new SourceBlocks(graph);
  const taken = new Set<number>();
  const loops: GroundLoop[] = [];
  const whole = split(network, values, undefined);
  if (whole === undefined) throw new Refused('the negatives have no state of rest');
  const opened = side.flatMap(({ strand, s }) => (strand.role === 'return' ? [{ name: strand.name, currents: split(network, values, s) ?? new Map<number, number>() }] : []));
  side.forEach((_, e) => {
    if (taken.has(e)) return;
    const driven = new Uint8Array(side.length);
    blocks.find(new Uint8Array(side.length), [e], driven);
    const members = side.flatMap((_one, k) => (driven[k] === 1 ? [k] : []));
    for (const k of members) taken.add(k);
    if (members.length < 2) return;
    loops.push({
      leads: members.map((k): LoopLead => {
        const { strand, s } = side[k]!;
        const heaviest = opened.filter((one) => one.name !== strand.name).map((one) => ({ name: one.name, current: Math.abs(one.currents.get(s) ?? 0) })).sort((x, y) => y.current - x.current)[0];
        const sections = strand.items.flatMap((item) => (item.section === undefined ? [] : [item.section(values)]));
        return {
          strand: s,
          name: strand.name,
          signal: strand.role === 'signal ground',
          ohm: strand.items.reduce((sum, item) => sum + item.ohm(values), 0),
          section_m2: sections.length === 0 ? undefined : Math.min(...sections),
          normal_A: Math.abs(whole.get(s) ?? 0),
          lost: heaviest?.name,
          lost_A: heaviest?.current ?? 0,
        };
      }),
    });
  });
  return loops;
}

/** Currents in the strands of the negative side at full drive, by strand; `cut` is left out. */
function split(network: MachineNetwork, values: Float64Array, cut: number | undefined): Map<number, number> | undefined {
  const builder = new NetworkBuilder();
  const nodes = new Map<number, number>([[0, 0]]);
  const node = (n: number): number => {
    let found = nodes.get(n);
    if (found === undefined) {
      found = builder.node(network.network.nodes[n]!);
      nodes.set(n, found);
    }
    return found;
  };
  const made = new Map<number, number>();
  network.strands.forEach(({ strand, a, b }, s) => {
    if (strand.role === 'supply' || s === cut) return;
    made.set(s, builder.conductance(strand.name, node(a), node(b), 1 / strand.items.reduce((sum, item) => sum + item.ohm(values), 1e-6)));
  });
  for (const load of network.loads)
    if (load.kind === 'controller') builder.standby(load.part, 0, node(load.minus), fullDrive(network.inputs, load.part)(values), ALWAYS_V);
  // Packs beside the lowest one take their share of the return current back.
  const packs = network.sources.filter((source) => source.kind === 'pack');
  for (const pack of packs.slice(1)) if (pack.minus !== 0) builder.source(pack.part, node(pack.minus), 0, 0, 1 / pack.present(values));
  const rest = new RestPoint(builder.finish());
  // A load that no negative reaches any more cannot drive: such a loss is a dark load, and no current elsewhere.
  if (!rest.solve()) return undefined;
  return new Map([...made].map(([s, element]) => [s, rest.current(element)]));
}

/** Threshold of a load that draws whatever its voltage, V. */
const ALWAYS_V = -1e4;
