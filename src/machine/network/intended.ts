import type { MachineNetwork } from './machine-network.ts';
import type { Situation } from './situation.ts';

/**
 * Which loads the builder means to be fed in a situation: wires are traced from the pack outwards, so a load is meant to
 * be live when a pack that is there reaches its + along supply chains in the direction in which they are written, through
 * switches that are closed, and its − finds the pack's − along returns. Anything else that makes it live is a bridge.
 */
export class Intended {
  private readonly onward: readonly Edge[];
  private readonly back: readonly Edge[];

  constructor(private readonly machine: MachineNetwork) {
    this.onward = machine.strands.flatMap(({ strand, a, b }) => (strand.role === 'supply' ? [{ from: a, to: b, switches: strand.switches }] : []));
    this.back = machine.strands.flatMap(({ strand, a, b }) => (strand.role === 'return' ? [{ from: a, to: b, switches: strand.switches }, { from: b, to: a, switches: strand.switches }] : []));
  }

  /** For each load 1 when it is meant to be fed. */
  fed(situation: Situation): Uint8Array {
    const { machine } = this;
    const packs = machine.sources.filter((source, k) => situation.present[k] === 1 && (source.kind === 'pack' || source.kind === 'bench supply'));
    const plus = this.reach(packs.map((pack) => pack.plus), this.onward, situation.positions, true);
    const minus = this.reach([0, ...packs.map((pack) => pack.minus)], this.back, situation.positions, false);
    return Uint8Array.from(machine.loads, (load, k) => (plus.has(load.plus) && minus.has(load.minus) && !this.isDeclaredOff(k, situation) ? 1 : 0));
  }

  /** Switches that stand open on the way that a load is meant to be fed by, nearest to the load first. */
  openOnTheWay(load: number, situation: Situation): string[] {
    const { machine } = this;
    const { positions } = situation;
    const open: string[] = this.isDeclaredOff(load, situation) ? [machine.rows[machine.loads[load]!.isolatedBy!]!.part] : [];
    const look = (edges: readonly Edge[], from: number): void => {
      const seen = new Set<number>([from]);
      const queue = [from];
      while (queue.length > 0) {
        const node = queue.shift()!;
        for (const edge of edges) {
          if (edge.to !== node || seen.has(edge.from)) continue;
          for (const row of edge.switches) {
            const one = machine.rows[row]!;
            if (one.positions[positions[row]!]!.ohm === undefined && !open.includes(one.part)) open.push(one.part);
          }
          seen.add(edge.from);
          queue.push(edge.from);
        }
      }
    };
    look(this.onward, machine.loads[load]!.plus);
    look(this.back.filter((edge) => edge.switches.length > 0 || edge.from !== machine.loads[load]!.minus), machine.loads[load]!.minus);
    return open;
  }

  /** Whether the switch that the file says isolates a load stands open. */
  private isDeclaredOff(load: number, { positions }: Situation): boolean {
    const row = this.machine.loads[load]!.isolatedBy;
    return row !== undefined && this.machine.rows[row]!.positions[positions[row]!]!.ohm === undefined;
  }

  private reach(starts: readonly number[], edges: readonly Edge[], positions: Uint8Array, throughSupplies: boolean): Set<number> {
    const { machine } = this;
    const seen = new Set(starts);
    const queue = [...starts];
    const visit = (node: number): void => {
      if (seen.has(node)) return;
      seen.add(node);
      queue.push(node);
    };
    while (queue.length > 0) {
      const node = queue.pop()!;
      for (const { from, to, switches } of edges) {
        if (from !== node) continue;
        if (switches.every((row) => machine.rows[row]!.positions[positions[row]!]!.ohm !== undefined)) visit(to);
      }
      if (!throughSupplies) continue;
      for (const load of machine.loads) {
        if (load.plus !== node) continue;
        const out = machine.node(`${load.part} out`);
        if (out !== undefined) visit(out);
      }
      // Packs that stand on each other lift what reaches the lower one.
      for (const source of machine.sources) if (source.kind === 'pack' && source.minus === node) visit(source.plus);
    }
    return seen;
  }
}

interface Edge {
  readonly from: number;
  readonly to: number;
  readonly switches: readonly number[];
}
