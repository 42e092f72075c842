import { RestPoint } from '../../engine/network/rest-point.ts';
import { WIDTH } from '../../engine/network/network.ts';
import type { MachineNetwork, NetworkLoad } from './machine-network.ts';

/** Where every switch stands and what can feed, as indices into a machine network's rows and sources. */
export interface Situation {
  /** Position of each switch. */
  readonly positions: Uint8Array;
  /** 1 for each source that is there: a pack plugged in, a motor that turns. */
  readonly present: Uint8Array;
}

/** What a failure may change before a situation is set; written back for the next one. */
export interface Changeable {
  /** Resistance of each strand without its switches, Ω. */
  readonly strandOhm: Float64Array;
  /** 1 for a strand that is cut. */
  readonly cut: Uint8Array;
  /** Resistance round the diode of each strand, Ω: what it leaks when it is whole. */
  readonly roundDiode: Float64Array;
  /** Resistance of each position of each switch, Ω: row times {@link Setting.width} plus position; infinite when open. */
  readonly rowOhm: Float64Array;
  /** Numbers of the network's elements. */
  readonly numbers: Float64Array;
  /** 1 for a load that cannot start any more. */
  readonly dead: Uint8Array;
  /** 1 for a load whose motor cannot turn any more. */
  readonly still: Uint8Array;
  /** 1 for a source that gives nothing any more. */
  readonly absent: Uint8Array;
  /** Conductance of each source, S. */
  readonly sourceS: Float64Array;
  /** 1 for a strand whose diode is fitted the wrong way round. */
  readonly turned: Uint8Array;
  /** 1 for a strand whose end at its load is swapped with the load's other wire. */
  readonly crossed: Uint8Array;
  /** True when every controller that is awake draws its full battery current. */
  readonly driving: boolean;
}

/** A failure as a change to a machine at rest. */
export type Change = (machine: Changeable) => void;

/** How one load came to rest. */
export const ASLEEP = 0;
export const STARTED = 1;
/** Starts, pulls its supply down, stops, and again. */
export const HICCUPS = 2;

/**
 * A machine that can be put into one situation after another: numbers and voltages live in arrays made once. Neighbouring
 * situations are solved from each other's voltages.
 */
export class Setting implements Changeable {
  readonly rest: RestPoint;
  readonly width: number;
  readonly strandOhm: Float64Array;
  readonly cut: Uint8Array;
  readonly roundDiode: Float64Array;
  readonly rowOhm: Float64Array;
  readonly numbers: Float64Array;
  readonly dead: Uint8Array;
  readonly still: Uint8Array;
  readonly absent: Uint8Array;
  readonly sourceS: Float64Array;
  readonly turned: Uint8Array;
  readonly crossed: Uint8Array;
  /** How each load came to rest. */
  readonly came: Uint8Array;
  readonly start_V: Float64Array;
  readonly stop_V: Float64Array;
  private readonly base: { readonly roundDiode: Float64Array; readonly strandOhm: Float64Array; readonly rowOhm: Float64Array; readonly numbers: Float64Array; readonly sourceS: Float64Array };
  /** Set to have every controller that is awake draw its full battery current. */
  driving = false;
  private touched = true;

  constructor(
    readonly machine: MachineNetwork,
    readonly values: Float64Array,
  ) {
    const { network, strands, rows, loads, sources } = machine;
    this.rest = new RestPoint(network);
    this.numbers = this.rest.numbers;
    machine.bind(this.numbers, values);
    this.width = Math.max(1, ...rows.map((row) => row.positions.length));
    this.strandOhm = Float64Array.from(strands, ({ strand }) => strand.items.reduce((sum, item) => sum + item.ohm(values), 0));
    this.rowOhm = new Float64Array(rows.length * this.width).fill(Infinity);
    rows.forEach((row, r) => {
      row.positions.forEach((position, p) => (this.rowOhm[r * this.width + p] = position.ohm?.(values) ?? Infinity));
    });
    this.cut = new Uint8Array(strands.length);
    this.roundDiode = Float64Array.from(strands, ({ leakage }) => leakage?.(values) ?? Infinity);
    this.dead = new Uint8Array(loads.length);
    this.still = new Uint8Array(loads.length);
    this.absent = new Uint8Array(sources.length);
    this.turned = new Uint8Array(strands.length);
    this.crossed = new Uint8Array(strands.length);
    this.came = new Uint8Array(loads.length);
    this.start_V = Float64Array.from(loads, (load) => load.start(values));
    this.stop_V = Float64Array.from(loads, (load) => load.stop(values));
    this.sourceS = Float64Array.from(sources, (source) => source.present(values));
    this.base = { roundDiode: this.roundDiode.slice(), strandOhm: this.strandOhm.slice(), rowOhm: this.rowOhm.slice(), numbers: this.numbers.slice(), sourceS: this.sourceS.slice() };
  }

  /**
   * Puts the machine into a situation, with what has failed.
   * @param reached  1 for each node that something can feed; the others begin at 0 V, not at what they had before
   */
  set({ positions, present }: Situation, failures: readonly Change[] = [], reached?: Uint8Array): void {
    if (this.touched) this.restore();
    for (const change of failures) change(this);
    this.touched = failures.length > 0;
    const { machine, numbers, width } = this;
    for (let s = 0; s < machine.strands.length; s++) {
      const { strand, wire, diode, turned, cross } = machine.strands[s]!;
      let ohm = this.strandOhm[s]!;
      for (const row of strand.switches) ohm += this.rowOhm[row * width + positions[row]!]!;
      for (const gate of strand.gates) if (this.rowOhm[gate * width + positions[gate]!] === Infinity) ohm = Infinity;
      const open = this.cut[s] === 1 || ohm === Infinity;
      if (diode === undefined) {
        const swapped = cross !== undefined && this.crossed[s] === 1;
        const g = open ? 0 : 1 / Math.max(ohm, SHORT_OHM);
        numbers[wire * WIDTH] = swapped ? 0 : g;
        if (cross !== undefined) numbers[cross.element * WIDTH] = swapped ? g : 0;
        continue;
      }
      numbers[turned! * WIDTH] = 0;
      numbers[diode * WIDTH] = 0;
      const at = (this.turned[s] === 1 ? turned! : diode) * WIDTH;
      const junction = this.base.numbers[at + 3]!;
      numbers[at] = open ? 0 : 1;
      if (!open) {
        numbers[at + 3] = junction + ohm;
        numbers[at + 4] = this.base.numbers[at + 4]! + Math.log((junction + ohm) / junction);
      }
      const round = ohm + this.roundDiode[s]!;
      numbers[wire * WIDTH] = open || round === Infinity ? 0 : 1 / Math.max(round, SHORT_OHM);
    }
    machine.sources.forEach(({ element, kind, row }, k) => {
      const at = element * WIDTH;
      // A motor at rest is still a winding.
      if (kind === 'spinning motor') numbers.set([this.sourceS[k]!, present[k] === 0 ? 0 : this.base.numbers[at + 1]!], at);
      else if (kind === 'bench lead') numbers[at] = row === undefined || row < 0 || positions[row] === 1 ? present[k]! : 0;
      else numbers[at] = present[k] === 0 || this.absent[k] === 1 ? 0 : kind === 'bench supply' ? 1 : this.sourceS[k]!;
    });
    machine.loads.forEach(({ waits, starting, draws }, k) => {
      // A load that draws steadily does so only while nothing holds it off.
      if (waits.length > 0 && starting === undefined && draws[0] !== undefined) numbers[draws[0] * WIDTH] = this.heldOff(k, positions) || this.dead[k] === 1 ? 0 : 1;
    });
    for (const { drive } of machine.loads) if (drive !== undefined) numbers[drive * WIDTH] = this.driving ? 1 : 0;
    this.positions = positions;
    if (reached !== undefined) for (let n = 1; n < reached.length; n++) if (reached[n] === 0) this.rest.voltages[n] = 0;
  }

  private positions: Uint8Array = new Uint8Array(0);

  /**
   * Lets the machine come to rest from dead: loads that start do so in the order of their start voltages, as a rising
   * bus lets them. One that then falls below its stop voltage, or whose power the supply cannot give at all, hiccups.
   * @returns false where no state of rest was found
   */
  settle(): boolean {
    const { machine, rest, came, start_V, stop_V } = this;
    came.fill(ASLEEP);
    for (let k = 0; k < machine.loads.length; k++) this.run(k, false);
    if (!rest.solve() && !this.afresh()) return false;
    for (let round = 0; round <= 2 * machine.loads.length; round++) {
      let next = -1;
      for (let k = 0; k < machine.loads.length; k++) {
        const load = machine.loads[k]!;
        if (load.starting === undefined || came[k] !== ASLEEP || this.dead[k] === 1 || !this.enabled(k)) continue;
        if (this.across(load) >= start_V[k]! && (next < 0 || start_V[k]! < start_V[next]!)) next = k;
      }
      if (next < 0) return true;
      came[next] = STARTED;
      this.run(next, true);
      for (;;) {
        const { plus, minus } = machine.loads[next]!;
        const found = rest.solve({ plus, minus, least_V: stop_V[next]! });
        let fallen = found ? -1 : next;
        if (found)
          for (let k = 0; k < machine.loads.length; k++)
            if (came[k] === STARTED && machine.loads[k]!.starting !== undefined && this.across(machine.loads[k]!) < stop_V[k]!) fallen = k;
        if (fallen < 0) break;
        came[fallen] = HICCUPS;
        this.run(fallen, false);
        if (fallen === next) {
          if (!rest.solve() && !this.afresh()) return false;
          break;
        }
      }
    }
    return true;
  }

  /** Voltage across a load, V. */
  across(load: NetworkLoad): number {
    return this.rest.voltages[load.plus]! - this.rest.voltages[load.minus]!;
  }

  /** Solves from dead, where the voltages of the last situation were no help. */
  private afresh(): boolean {
    this.rest.voltages.fill(0);
    return this.rest.solve();
  }

  private run(k: number, on: boolean): void {
    const { starting, output, backwards } = this.machine.loads[k]!;
    if (starting !== undefined) this.numbers[starting * WIDTH] = on ? 1 : 0;
    if (output === undefined || backwards === undefined) return;
    const ran = this.numbers[output * WIDTH] === 1;
    this.numbers[backwards * WIDTH] = on ? 0 : 1;
    this.numbers[output * WIDTH] = on ? 1 : 0;
    const { a, b } = this.machine.network.elements[output]!;
    const { voltages } = this.rest;
    if (!on && ran) voltages[a] = voltages[b]!;
    // A supply that is limited in current says nothing of where its output ends: begin there.
    if (on) voltages[a] = Math.max(voltages[a]!, voltages[b]! + this.numbers[output * WIDTH + 1]!);
  }

  /** Current through a strand, whichever way its wires and its diode are connected, from its first end, A. */
  strandCurrent(s: number): number {
    const { rest, machine } = this;
    const { wire, diode, turned, cross } = machine.strands[s]!;
    return rest.current(wire) + (diode === undefined ? 0 : rest.current(diode)) - (turned === undefined ? 0 : rest.current(turned)) + (cross === undefined ? 0 : rest.current(cross.element));
  }

  /** Whether nothing that a load waits for holds it off. */
  enabled(k: number): boolean {
    return !this.heldOff(k, this.positions);
  }

  private heldOff(k: number, positions: Uint8Array): boolean {
    const { rowOhm, base, width } = this;
    // A contact that is welded lets it run in every position, and one that is open for good in none; one gone bad still does.
    for (const { row, position } of this.machine.loads[k]!.waits)
      if (!(rowOhm[row * width + positions[row]!]! <= LETS_RUN * base.rowOhm[row * width + position]!)) return true;
    return false;
  }

  /** Whether a load is held off as the switches stand, whatever has failed. */
  meantOff(k: number, positions: Uint8Array): boolean {
    return this.machine.loads[k]!.waits.some(({ row, position }) => positions[row] !== position);
  }

  /** Whether a bench lead that is plugged in feeds a load's logic. */
  fedOnTheBench(k: number): boolean {
    const { bench } = this.machine.loads[k]!;
    return bench !== undefined && this.positions[bench] === 1;
  }

  /** Voltage at a load's logic, V. */
  atLogic(load: NetworkLoad): number {
    return this.rest.voltages[load.logic ?? load.plus]! - this.rest.voltages[load.minus]!;
  }

  private restore(): void {
    this.strandOhm.set(this.base.strandOhm);
    this.rowOhm.set(this.base.rowOhm);
    this.numbers.set(this.base.numbers);
    this.cut.fill(0);
    this.roundDiode.set(this.base.roundDiode);
    this.sourceS.set(this.base.sourceS);
    this.dead.fill(0);
    this.still.fill(0);
    this.absent.fill(0);
    this.turned.fill(0);
    this.crossed.fill(0);
  }
}

/** An enable or key input asks for next to no current: a contact of so many times its own resistance still gives it. */
const LETS_RUN = 100;

/** What a short is at least, Ω: a few millimetres of metal. */
export const SHORT_OHM = 1e-5;
