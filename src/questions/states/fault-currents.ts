import { WIDTH } from '../../engine/network/network.ts';
import { changed } from '../../machine/edit.ts';
import { isDownstream, pointOf } from '../../machine/circuit/nets.ts';
import type { Machine } from '../../machine/machine.ts';
import type { MachineNetwork } from '../../machine/network/machine-network.ts';
import { buildNetwork } from '../../machine/network/network.ts';
import { Setting, SHORT_OHM, type Change, type Situation } from '../../machine/network/situation.ts';
import { poweredUp } from './procedure-states.ts';

/** A lead that a current can harm: one conductor of a strand on the packs' side. */
export interface Cable {
  /** `lead of drive`. */
  readonly words: string;
  readonly strand: number;
  readonly section_mm2: number;
  readonly length_m: number;
  /** Point at its far end, for a lead on the supply side. */
  readonly farEnd: string | undefined;
}

/** A machine at rest: current of each strand, A, and voltage of each node, V. */
export interface RestState {
  readonly currents: Float64Array;
  readonly voltages: Float64Array;
}

/** A place with a resistor across it that can be made a short. */
interface Probe {
  readonly point: string;
  readonly load: number;
}

/** Resistance of a probe that nothing notices. */
const ASLEEP = '1 MΩ';

/** A machine with everything on, in which any place can be shorted and any strand cut. Capacitors are not part of it. */
export class FaultCurrents {
  readonly network: MachineNetwork;
  readonly cables: readonly Cable[];
  readonly values: Float64Array;
  private readonly setting: Setting;
  private readonly situation: Situation;
  private readonly probes: readonly Probe[];

  constructor(machine: Machine) {
    const places = new Set(machine.wiring.chains.flatMap((chain) => (chain.role === 'supply' && !isDownstream(machine, chain) ? [chain.from, chain.to] : [])).flatMap((end) => ('place' in end ? [end.place] : [])));
    let probed = machine;
    for (const place of places)
      probed = changed(probed, { change: 'part', id: `probe ${place}`, kind: 'bleed', values: { resistance: ASLEEP }, chain: `probe ${place}`, from: { place } }).machine;
    const network = buildNetwork(probed);
    this.network = network;
    this.values = network.inputs.nominal();
    this.setting = new Setting(network, this.values);
    this.situation = poweredUp(network);
    this.probes = network.loads.flatMap(({ part }, load): Probe[] => [{ point: part.startsWith('probe ') ? part.slice('probe '.length) : `${part}+`, load }]);
    this.cables = network.strands.flatMap(({ strand }, s): Cable[] => {
      if (strand.role === 'signal ground' || isDownstream(machine, strand.chain) || (strand.role === 'return' && strand.chain.role === 'supply')) return [];
      return strand.items.flatMap((item): Cable[] =>
        item.section === undefined || item.length === undefined ? [] : [
          { words: item.words, strand: s, section_mm2: item.section(this.values) * 1e6, length_m: item.length(this.values), farEnd: strand.role === 'supply' ? pointOf(strand.chain.to) : undefined },
        ],
      );
    });
  }

  /** Points that can be shorted. */
  get points(): readonly string[] {
    return this.probes.map(({ point }) => point);
  }

  /**
   * The machine with every controller at its battery-current limit at once.
   * @param cut  strands that have opened
   * @returns undefined without a state of rest
   */
  atLimits(cut: ReadonlySet<number> = new Set()): RestState | undefined {
    const { setting } = this;
    setting.driving = true;
    setting.set(this.situation, [opened(cut)]);
    setting.driving = false;
    setting.rest.voltages.fill(0);
    return setting.settle() ? { currents: this.currents(), voltages: setting.rest.voltages.slice() } : undefined;
  }

  /** Loads that no pack reaches any more, through closed ways and with diodes, once strands have opened. */
  darkWith(cut: ReadonlySet<number>): readonly number[] {
    const all = this.reached(new Set());
    const left = this.reached(cut);
    return this.network.loads.flatMap(({ part, plus, minus }, k) => (!part.startsWith('probe ') && all.plus.has(plus) && all.minus.has(minus) && !(left.plus.has(plus) && left.minus.has(minus)) ? [k] : []));
  }

  /** Whether packs feed a part with everything on, and no longer once strands have opened. */
  isCutOff(part: string, cut: ReadonlySet<number>): boolean {
    const [plus, minus] = [this.network.node(`${part}+`), this.network.node(`${part}-`)];
    if (plus === undefined || minus === undefined) return false;
    const fed = (sides: ReturnType<FaultCurrents['reached']>): boolean => sides.plus.has(plus) && sides.minus.has(minus);
    return fed(this.reached(new Set())) && !fed(this.reached(cut));
  }

  /** Nodes that belong to the packs' positive and negative side, through closed ways. */
  private reached(cut: ReadonlySet<number>): { readonly plus: ReadonlySet<number>; readonly minus: ReadonlySet<number> } {
    const { network, situation } = this;
    const closed = network.strands.filter(({ strand }, s) => !cut.has(s) && strand.role !== 'signal ground' && strand.switches.every((row) => network.rows[row]!.positions[situation.positions[row]!]!.ohm !== undefined));
    const ways = closed.flatMap(({ strand, a, b }) => (strand.diode === undefined ? [[a, b], [b, a]] : [[a, b]]));
    const minus = spread([0], ways);
    const packs = network.sources.filter(({ kind }) => kind === 'pack' || kind === 'bench supply');
    const outputs = network.loads.flatMap(({ part, plus }) => {
      const out = network.node(`${part} out`);
      return out === undefined ? [] : [[plus, out]];
    });
    // A pack that stands on another one lifts what reaches its foot.
    const stacked = packs.filter((pack) => !minus.has(pack.minus)).map((pack) => [pack.minus, pack.plus]);
    const plus = spread(packs.filter((pack) => minus.has(pack.minus)).map((pack) => pack.plus), [...ways, ...outputs, ...stacked]);
    return { plus, minus };
  }

  /**
   * Currents in a dead short between a point and its return, A, strand by strand: what the packs give once the leads have
   * let it rise.
   * @param cut  strands that have opened by now
   * @returns undefined when the point is none that can be shorted or there is no state of rest
   */
  short(point: string, cut: ReadonlySet<number> = new Set()): Float64Array | undefined {
    const { setting, network } = this;
    const probe = this.probes.find((one) => one.point === point);
    if (probe === undefined) return undefined;
    const shunt = network.loads[probe.load]!.shunt * WIDTH;
    setting.set(this.situation, [
      (m) => (m.numbers[shunt] = 1 / SHORT_OHM),
      opened(cut),
    ]);
    setting.rest.voltages.fill(0);
    return setting.settle() ? this.currents() : undefined;
  }

  private currents(): Float64Array {
    const { rest } = this.setting;
    return Float64Array.from(this.network.strands, ({ wire, diode }) => rest.current(wire) + (diode === undefined ? 0 : rest.current(diode)));
  }

  /** Strands in which a part stands. */
  strandsOf(part: string): readonly number[] {
    return this.network.strands.flatMap(({ strand }, s) => (strand.parts.includes(part) ? [s] : []));
  }
}

function opened(cut: ReadonlySet<number>): Change {
  return (m) => {
    for (const s of cut) m.cut[s] = 1;
  };
}

function spread(starts: readonly number[], ways: readonly (readonly number[])[]): ReadonlySet<number> {
  const seen = new Set(starts);
  for (let before = -1; before < seen.size; ) {
    before = seen.size;
    for (const [from, to] of ways) if (seen.has(from!)) seen.add(to!);
  }
  return seen;
}
