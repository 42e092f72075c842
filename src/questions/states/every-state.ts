import type { MachineNetwork } from '../../machine/network/machine-network.ts';
import type { Setting, Situation } from '../../machine/network/situation.ts';
import { graphOf, SourceBlocks } from './source-blocks.ts';

/** A situation that stands for all that differ from it only in switches through which nothing can flow. */
export interface MergedSituation extends Situation {
  /** How many situations it stands for. */
  readonly standsFor: number;
  /** 1 for each switch whose position counts; the others may stand anywhere. */
  readonly asked: Uint8Array;
  /** 1 for each strand that a source can drive a current through. */
  readonly driven: Uint8Array;
  /** 1 for each node that such a strand or load touches. */
  readonly reached: Uint8Array;
}

/** Number of combinations of switch positions that a machine has. */
export function positionCount(machine: MachineNetwork): number {
  return machine.rows.reduce((product, row) => product * row.positions.length, 1);
}

/**
 * Goes through every combination of switch positions, merged: a switch is asked for its positions only where a closed way
 * with a source may lead through it, whatever the switches not yet asked do. Diodes count both ways, for they leak.
 *
 * The ways are those of `setting` as it stands: with a failure set in it, those of the failed machine.
 */
export class EverySituation {
  private readonly blocks: SourceBlocks;
  private readonly open: Uint8Array;
  private readonly positions: Uint8Array;
  private readonly decided: Uint8Array;
  private readonly strandCount: number;
  private readonly sourceEdges: readonly number[];
  private readonly ends: (readonly [number, number])[];
  /** Ways that stand in for a strand's own when its load is connected the wrong way round. */
  private readonly crosses: readonly { readonly strand: number; readonly edge: number }[];
  /** Strands with switches, those nearest to a pack first. */
  private readonly switched: readonly number[];

  constructor(private readonly setting: Setting) {
    const { machine } = setting;
    const { strands, network, sources, rows } = machine;
    this.strandCount = strands.length;
    const strandElements = new Set(strands.flatMap(({ wire, diode, turned, cross }) => [wire, diode, turned, cross?.element]));
    const others = network.elements.flatMap((element, e) => (strandElements.has(e) ? [] : [{ element, e }]));
    this.ends = [...strands.map(({ a, b }): [number, number] => [a, b]), ...others.map(({ element }): [number, number] => [element.a, element.b])];
    this.crosses = strands.flatMap(({ cross }, strand) => (cross === undefined ? [] : [{ strand, edge: this.ends.push([cross.a, cross.b]) - 1 }]));
    this.blocks = new SourceBlocks(graphOf(network.nodes.length, this.ends));
    this.open = new Uint8Array(this.ends.length);
    this.sourceEdges = sources.map((source) => this.strandCount + others.findIndex(({ e }) => e === source.element));
    this.positions = new Uint8Array(rows.length);
    this.decided = new Uint8Array(rows.length);
    const rank = distances(machine);
    this.switched = strands.flatMap(({ strand }, s) => (strand.switches.length + strand.gates.length > 0 ? [s] : [])).sort((x, y) => rank[x]! - rank[y]! || x - y);
  }

  /** @param present  1 for each source that is there */
  visit(present: Uint8Array, look: (situation: MergedSituation) => void): void {
    const sources = this.sourceEdges.filter((_, k) => present[k] === 1);
    // A source that is not there conducts nothing either.
    this.sourceEdges.forEach((edge, k) => (this.open[edge] = present[k] === 1 ? 0 : 1));
    this.branch(present, sources, look);
  }

  /** What a source can reach in one situation. */
  reach({ positions, present }: Situation): { readonly driven: Uint8Array; readonly reached: Uint8Array } {
    this.positions.set(positions);
    this.decided.fill(1);
    this.sourceEdges.forEach((edge, k) => (this.open[edge] = present[k] === 1 ? 0 : 1));
    const driven = this.flow(this.sourceEdges.filter((_, k) => present[k] === 1));
    this.positions.fill(0);
    this.decided.fill(0);
    return { driven: driven.slice(0, this.strandCount), reached: this.touched(driven) };
  }

  private branch(present: Uint8Array, sources: readonly number[], look: (situation: MergedSituation) => void): void {
    const { rows } = this.setting.machine;
    const driven = this.flow(sources);
    const asks = this.undecided(driven);
    if (asks < 0) {
      let standsFor = 1;
      for (let row = 0; row < rows.length; row++) if (this.decided[row] === 0) standsFor *= rows[row]!.positions.length;
      look({ positions: this.positions.slice(), present, standsFor, asked: this.decided.slice(), driven: driven.slice(0, this.strandCount), reached: this.touched(driven) });
      return;
    }
    this.decided[asks] = 1;
    for (let position = 0; position < rows[asks]!.positions.length; position++) {
      this.positions[asks] = position;
      this.branch(present, sources, look);
    }
    this.positions[asks] = 0;
    this.decided[asks] = 0;
  }

  /** 1 for each edge that the sources can drive a current through, whatever the switches not yet asked do. */
  private flow(sources: readonly number[]): Uint8Array {
    const { open, setting, crosses } = this;
    for (let s = 0; s < this.strandCount; s++) open[s] = this.isOpen(s) ? 1 : 0;
    for (const { strand, edge } of crosses) {
      const swapped = setting.crossed[strand] === 1;
      open[edge] = swapped ? open[strand]! : 1;
      if (swapped) open[strand] = 1;
    }
    const driven = new Uint8Array(this.ends.length);
    this.blocks.find(open, sources, driven);
    for (const { strand, edge } of crosses) if (driven[edge] === 1) driven[strand] = 1;
    return driven;
  }

  private undecided(driven: Uint8Array): number {
    for (const s of this.switched) {
      if (driven[s] === 0) continue;
      const { switches, gates } = this.setting.machine.strands[s]!.strand;
      for (const row of switches) if (this.decided[row] === 0) return row;
      for (const row of gates) if (this.decided[row] === 0) return row;
    }
    // What only lets a load run matters where the load is fed.
    const reached = this.touched(driven);
    for (const { plus, minus, logic = plus, waits, bench } of this.setting.machine.loads) {
      if (bench !== undefined && this.decided[bench] === 0) return bench;
      if ((reached[plus] === 0 && reached[logic] === 0) || reached[minus] === 0) continue;
      for (const { row } of waits) if (this.decided[row] === 0) return row;
    }
    return -1;
  }

  /** Open whatever the switches not yet asked do. */
  private isOpen(s: number): boolean {
    const { setting } = this;
    if (setting.cut[s] === 1) return true;
    const { switches, gates } = setting.machine.strands[s]!.strand;
    for (const row of [...switches, ...gates])
      if (this.decided[row] === 1 && setting.rowOhm[row * setting.width + this.positions[row]!] === Infinity) return true;
    return false;
  }

  private touched(driven: Uint8Array): Uint8Array {
    const reached = new Uint8Array(this.setting.machine.network.nodes.length);
    for (let e = 0; e < driven.length; e++) {
      if (driven[e] === 0) continue;
      reached[this.ends[e]![0]] = 1;
      reached[this.ends[e]![1]] = 1;
    }
    return reached;
  }
}

/** How many strands lie between each strand and a pack. */
function distances(machine: MachineNetwork): number[] {
  const rank = machine.strands.map(() => Infinity);
  const seen = new Set(machine.sources.filter((source) => source.kind !== 'spinning motor').map((source) => source.plus));
  let front = [...seen];
  for (let steps = 0; front.length > 0; steps++) {
    const next: number[] = [];
    machine.strands.forEach(({ a, b }, s) => {
      for (const [near, far] of [[a, b], [b, a]] as const) {
        if (!front.includes(near)) continue;
        rank[s] = Math.min(rank[s]!, steps);
        if (seen.has(far)) continue;
        seen.add(far);
        next.push(far);
      }
    });
    front = next;
  }
  return rank;
}
