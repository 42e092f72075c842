import { WIDTH } from '../../../src/engine/network/network.ts';
import type { MachineNetwork, NetworkLoad } from '../../../src/machine/network/machine-network.ts';
import { plainSolution, type Branch, type Curve } from './plain-circuit.ts';

/** One situation: the position of every switch, and 1 for every source that is there. */
export interface PlainSituation {
  readonly positions: readonly number[];
  readonly present: readonly number[];
}

/** What the brute force says of each load. */
export interface PlainClasses {
  /** `dead`, `leaking`, `awake` or `can move`. */
  readonly classes: readonly string[];
  /** True for a load whose class turns within ±2 % of a threshold. */
  readonly inBand: readonly boolean[];
}

const BAND = 0.02;
const DEAD_V = 1;
const DEAD_A = 1e-3;
const AMMETER_OHM = 1e-3;
const BREAKAWAY_S = 0.02;
const LEAST_OHM = 1e-5;

/** Every situation there is, none merged. */
export function* everyPlainSituation({ rows, sources }: MachineNetwork): Generator<PlainSituation> {
  // A bench lead is there or not as its own row says.
  const sizes = [...rows.map((row) => row.positions.length), ...sources.map((source) => (source.kind === 'bench lead' ? 1 : 2))];
  const total = sizes.reduce((product, size) => product * size, 1);
  for (let k = 0; k < total; k++) {
    let rest = k;
    const digits = sizes.map((size) => {
      const digit = rest % size;
      rest = (rest - digit) / size;
      return digit;
    });
    yield { positions: digits.slice(0, rows.length), present: digits.slice(rows.length).map((digit, s) => (sources[s]!.kind === 'bench lead' ? 1 : digit)) };
  }
}

/** A machine whose loads are classed by brute force. */
export class BruteForce {
  private readonly values: Float64Array;
  private readonly numbers: Float64Array;
  private readonly nodes: number;

  constructor(private readonly machine: MachineNetwork) {
    this.values = machine.inputs.nominal();
    this.numbers = machine.network.numbers.slice();
    machine.bind(this.numbers, this.values);
    this.nodes = machine.network.nodes.length;
  }

  classes(situation: PlainSituation): PlainClasses {
    const { machine, values } = this;
    const { loads } = machine;
    const rested = this.fromDead(situation);
    const classes = loads.map((load) => this.classOf(load, rested));
    return {
      classes: classes.map(([name]) => name),
      inBand: classes.map(([, near]) => near || rested.near || loads.some((load) => load.starting !== undefined && rested.state.started.has(load) && isNear(voltage(rested.voltages, load), load.stop(values)))),
    };
  }

  /** Loads start one after another as a rising bus lets them, the lowest start voltage first; one that then falls under its stop voltage hiccups and is off on the average. */
  private fromDead(situation: PlainSituation): Rested {
    const { machine, values } = this;
    const state: State = { situation, started: new Set(), hiccups: new Set() };
    let near = false;
    let voltages = this.settle(state, new Float64Array(this.nodes), undefined).voltages;
    const starting = machine.loads.filter((load) => load.starting !== undefined).sort((a, b) => a.start(values) - b.start(values));
    for (;;) {
      const waiting = starting.filter((load) => !state.started.has(load) && !state.hiccups.has(load) && this.isEnabled(load, situation));
      near ||= waiting.some((load) => isNear(voltage(voltages, load), load.start(values)));
      const next = waiting.find((load) => voltage(voltages, load) >= load.start(values));
      if (next === undefined) return { state, voltages, near };
      state.started.add(next);
      let settled = this.settle(state, voltages, undefined);
      while (settled.fallen !== undefined) {
        state.started.delete(settled.fallen);
        state.hiccups.add(settled.fallen);
        settled = this.settle(state, settled.fallen === next ? voltages : settled.voltages, undefined);
      }
      voltages = settled.voltages;
    }
  }

  private isEnabled(load: NetworkLoad, { positions }: PlainSituation): boolean {
    return load.waits.every(({ row, position }) => positions[row] === position);
  }

  private classOf(load: NetworkLoad, { state, voltages }: Rested): readonly [string, boolean] {
    const { values } = this;
    const v = voltage(voltages, load);
    const start = load.start(values);
    const logic = voltages[load.logic ?? load.plus]! - voltages[load.minus]!;
    const woken = load.starting === undefined ? logic >= start && this.isEnabled(load, state.situation) : state.started.has(load) || state.hiccups.has(load);
    const onTheBench = load.bench !== undefined && state.situation.positions[load.bench] === 1;
    const awake = woken || onTheBench;
    const near = load.starting === undefined && !onTheBench && isNear(logic, start);
    if (awake) {
      if (load.motor === undefined) return ['awake', near];
      const power = load.motor.breakaway(values) ** 2 * load.motor.resistance(values);
      const burst = 0.5 * (load.bank?.(values) ?? 0) * (v ** 2 - load.stop(values) ** 2);
      if (burst >= (1 - BAND) * power * BREAKAWAY_S) return ['can move', near || isNear(burst, power * BREAKAWAY_S)];
      const could = [1 - BAND, 1, 1 + BAND].map((factor) => this.settle(state, voltages, { load, power: factor * power, stop: load.stop(values) }).fallen === undefined);
      return [could[1] === true ? 'can move' : 'awake', near || could[0] !== could[2]];
    }
    if (Math.abs(v) >= DEAD_V) return ['leaking', near || isNear(Math.abs(v), DEAD_V)];
    const ammeter: Branch = { a: load.plus, b: load.minus, c: 0, curve: { kind: 'resistor', ohm: AMMETER_OHM } };
    const shorted = this.settle(state, voltages, undefined, ammeter).voltages;
    const amps = Math.abs(voltage(shorted, load)) / AMMETER_OHM;
    return [amps >= DEAD_A ? 'leaking' : 'dead', near || isNear(Math.abs(v), DEAD_V) || isNear(amps, DEAD_A)];
  }

  /** The state of rest with what has started, and what falls under its stop voltage in it; from the voltages before, which are higher. */
  private settle(state: State, from: Float64Array, trial: { readonly load: NetworkLoad; readonly power: number; readonly stop: number } | undefined, extra?: Branch): Settled {
    const { machine, values } = this;
    const pulls = [...state.started].map((load) => ({ load, power: this.numbers[load.starting! * WIDTH + 1]!, stop: load.stop(values) }));
    if (trial !== undefined) pulls.push(trial);
    const branches = [
      ...this.branches(state),
      ...pulls.map(({ load, power }): Branch => ({ a: load.plus, b: load.minus, c: 0, curve: { kind: 'power', watts: power } })),
      ...(extra === undefined ? [] : [extra]),
    ];
    const voltages = plainSolution(this.nodes, branches, from, from.some((v) => v !== 0));
    if (voltages === undefined) throw new Error(`brute force: no state of rest in ${machine.machine.name} at ${JSON.stringify(state.situation)}`);
    const watched = extra !== undefined ? [] : trial !== undefined ? [trial] : pulls;
    const ratio = ({ load, stop }: (typeof pulls)[number]): number => voltage(voltages, load) / stop;
    const lowest = [...watched].sort((x, y) => ratio(x) - ratio(y))[0];
    return { voltages, fallen: lowest !== undefined && ratio(lowest) < 1 ? lowest.load : undefined };
  }

  /** Reverse leakage as a resistance: the voltage of the full packs over a leakage that doubles every 10 K from 25 °C (common practice, no source). */
  private leakage(id: string): number {
    const { machine, values } = this;
    const part = machine.machine.parts.get(id)!;
    const perAmpere = part.kind === 'diode' ? (part.values.type === 'schottky' ? 20e-6 : 0.5e-6) : 0;
    const at25 = part.kind === 'diode' ? perAmpere * part.values.rating.value : 10e-6;
    const inside = values[machine.inputs.at('surroundings.inside')]!;
    // The packs of these machines stand beside each other, or alone.
    const volts = machine.sources.find(({ kind }) => kind === 'pack')!.voltage(values);
    return volts / (at25 * 2 ** ((inside - 25) / 10));
  }

  private branches({ situation, started }: State): Branch[] {
    const { machine, numbers, values } = this;
    const { elements } = machine.network;
    const branches: Branch[] = [];
    const own = new Set<number>();
    const running = new Set([...started].map((load) => load.output));
    for (const { strand, a, b, wire, diode, turned, cross } of machine.strands) {
      for (const element of [wire, diode, turned, cross?.element]) if (element !== undefined) own.add(element);
      const switches = strand.switches.map((row) => machine.rows[row]!.positions[situation.positions[row]!]!.ohm);
      if (switches.includes(undefined) || strand.gates.some((row) => machine.rows[row]!.positions[situation.positions[row]!]!.ohm === undefined)) continue;
      const ohm = [...strand.items.map((item) => item.ohm), ...switches].reduce((sum, one) => sum + one!(values), 0);
      if (diode === undefined) branches.push({ a, b, c: 0, curve: { kind: 'resistor', ohm: Math.max(ohm, LEAST_OHM) } });
      else branches.push({ a, b, c: 0, curve: diodeCurve(numbers, diode, ohm) }, { a, b, c: 0, curve: { kind: 'resistor', ohm: ohm + this.leakage(strand.diode!) } });
    }
    machine.sources.forEach(({ element, kind, present, plus, minus, row, voltage: volts }, k) => {
      own.add(element);
      const there = situation.present[k] === 1 && (kind !== 'bench lead' || row === undefined || row < 0 || situation.positions[row] === 1);
      if (kind === 'bench supply' || kind === 'bench lead') {
        if (there) branches.push({ a: plus, b: minus, c: 0, curve: { kind: 'supply', volts: numbers[element * WIDTH + 1]!, limit: numbers[element * WIDTH + 2]! } });
      } else if (there || kind === 'spinning motor') branches.push({ a: plus, b: minus, c: 0, curve: { kind: 'source', volts: there ? volts(values) : 0, ohm: 1 / present(values) } });
    });
    for (const load of machine.loads) {
      for (const element of [load.starting, load.trial, load.drive]) if (element !== undefined) own.add(element);
      // A load that something holds off draws nothing.
      if (load.waits.length > 0 && load.starting === undefined && !this.isEnabled(load, situation)) own.add(load.draws[0]!);
      // A supply that runs holds its output and does not conduct backwards; one that does not run only does the latter.
      const off = started.has(load) ? load.backwards : load.output;
      if (off !== undefined) own.add(off);
    }
    elements.forEach(({ kind, a, b, c }, e) => {
      const at = e * WIDTH;
      if (own.has(e) || (numbers[at] === 0 && !running.has(e))) return;
      const [first, second, third] = [numbers[at]!, numbers[at + 1]!, numbers[at + 2]!];
      switch (kind) {
        case 'conductance':
          branches.push({ a, b, c, curve: { kind: 'resistor', ohm: 1 / first } });
          return;
        case 'diode':
          branches.push({ a, b, c, curve: diodeCurve(numbers, e, 0) });
          return;
        case 'standby':
          branches.push({ a, b, c, curve: { kind: 'standby', amps: second, threshold: third } });
          return;
        case 'lamp':
          branches.push({ a, b, c, curve: { kind: 'lamp', ohm: second, forward: third } });
          return;
        case 'limited':
          branches.push({ a, b, c, curve: { kind: 'supply', volts: second, limit: third } });
          return;
        case 'regulator':
          branches.push({ a, b, c, curve: { kind: 'regulator', volts: second, dropOut: third, ohm: numbers[at + 3]! } });
          return;
        default:
          throw new Error(`brute force: ${kind} is not expected here`);
      }
    });
    return branches;
  }
}

interface State {
  readonly situation: PlainSituation;
  readonly started: Set<NetworkLoad>;
  readonly hiccups: Set<NetworkLoad>;
}

interface Rested {
  readonly state: State;
  readonly voltages: Float64Array;
  /** True when a load starts, stops or runs within ±2 % of not doing so. */
  readonly near: boolean;
}

interface Settled {
  readonly voltages: Float64Array;
  readonly fallen: NetworkLoad | undefined;
}

function diodeCurve(numbers: Float64Array, element: number, ohm: number): Curve {
  const at = element * WIDTH;
  return { kind: 'diode', saturation: numbers[at + 1]!, slope: numbers[at + 2]!, ohm: numbers[at + 3]! + ohm };
}

function voltage(voltages: Float64Array, { plus, minus }: NetworkLoad): number {
  return voltages[plus]! - voltages[minus]!;
}

function isNear(value: number, threshold: number): boolean {
  return Number.isFinite(threshold) && Math.abs(value - threshold) <= BAND * Math.abs(threshold);
}
