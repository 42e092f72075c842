import { diodeNumbers, NetworkBuilder, WIDTH } from '../../engine/network/network.ts';
import { openCircuit_V, resistanceFactor } from '../../physics/cells.ts';
import type { FromValues } from '../circuit/binder.ts';
import { diodeLaw, idealDiodeLaw } from '../circuit/diode-law.ts';
import { benchLeadOf, EARTH } from '../circuit/bench-leads.ts';
import { feedPoint } from '../circuit/feeds.ts';
import { closedPosition } from '../circuit/positions.ts';
import { barPoints, NEGATIVES, pointOf, seriesStack } from '../circuit/nets.ts';
import { Inputs } from '../inputs.ts';
import type { Machine } from '../machine.ts';
import type { Controller, Converter, Regulator } from '../parts/loads.ts';
import type { BenchLead } from '../parts/leads.ts';
import type { Pack } from '../parts/pack.ts';
import type { Part } from '../parts.ts';
import { converterPower } from './draws.ts';
import type { BrakeElement, MachineNetwork, NetworkLoad, NetworkSource, PassElement, StrandElements } from './machine-network.ts';
import { leakageRound } from './leakage.ts';
import { motorBehind, type MotorBehind } from './motors.ts';
import { Points } from './points.ts';
import { crossedLoads } from './reversible.ts';
import { strandsOf, switchRows, valueOf, type Strand, type SwitchRow } from './strands.ts';

/** Output resistance of supplies for the radio, Ω. Common practice, no source. */
const OUTPUT_OHM = 0.05;
/** Output current where a converter's is not stated, A. Common practice, no source. */
const OUTPUT_A = 3;
/** Body diode of a supply's transistor, or of a switch's, for a rating in A. Common practice, no source. */
const BODY_DROP_V = 0.9;
/** Half bridges of a controller, of which a brushed motor has two and a brushless one three. */
const LEGS = 2;
/** Current that a regulator's transistor is made for, A. Common practice, no source. */
const REGULATOR_A = 1;
/** Voltage at which a servo's electronics answer, V. Common practice, no source. */
const SERVO_V = 3;
/** What its logic leaves when it lets go, as a share of where it wakes. Common practice, no source. */
const LETS_GO = 0.9;

/**
 * What the electronics of a load leak even when they sleep, Ω: dividers, input filters. It keeps what only a diode's
 * reverse current feeds at the few millivolts that a meter shows. Common practice, no source.
 */
const SLEEPING_OHM = 100e3;

/** Builds the network of a machine: every chain, return, signal lead, load and possible source. */
export function buildNetwork(machine: Machine): MachineNetwork {
  return new Assembly(machine).build();
}

class Assembly {
  private readonly inputs: Inputs;
  private readonly builder = new NetworkBuilder();
  private readonly points = new Points();
  private readonly nodes = new Map<string, number>();
  private readonly binds: ((numbers: Float64Array, values: Float64Array) => void)[] = [];
  private readonly loads: NetworkLoad[] = [];
  private readonly sources: NetworkSource[] = [];
  private readonly passes: PassElement[] = [];
  private readonly brakes: BrakeElement[] = [];
  private readonly value: (key: string) => FromValues;
  private readonly rows: readonly SwitchRow[];

  constructor(private readonly machine: Machine) {
    this.inputs = new Inputs(machine);
    this.value = valueOf(this.inputs);
    this.rows = switchRows(machine, this.inputs);
  }

  build(): MachineNetwork {
    const { machine, inputs } = this;
    for (const chain of machine.wiring.chains) if (chain.items.length === 0) this.points.merge(pointOf(chain.to), pointOf(chain.from));
    for (const point of barPoints(machine)) this.points.merge(point, NEGATIVES);
    const [ground] = seriesStack(machine);
    if (ground !== undefined) this.nodes.set(this.points.rootOf(`${ground}-`), 0);

    for (const chain of machine.wiring.chains) if (benchLeadOf(machine, chain)?.values.farEnd === 'earthed') this.points.merge(pointOf(chain.to), EARTH);
    const { rows } = this;
    const plain = strandsOf(machine, inputs, rows);
    const crossed = crossedLoads(machine, plain);
    const strands = plain.map((strand) => this.strand(strand, rows, crossed));
    const wired = new Set(machine.wiring.chains.flatMap((chain) => [chain.from, chain.to].flatMap((end) => ('part' in end ? [end.part] : []))));
    for (const part of machine.parts.values()) if (wired.has(part.id)) this.part(part);
    for (const part of machine.parts.values()) if (part.kind === 'bench lead') this.feed(part);
    const { binds } = this;
    return {
      machine, inputs, rows, strands,
      network: this.builder.finish(),
      loads: this.loads,
      sources: this.sources,
      passes: this.passes,
      brakes: this.brakes,
      node: (point) => this.nodes.get(this.points.rootOf(point)),
      bind: (numbers, values) => {
        for (const set of binds) set(numbers, values);
      },
    };
  }

  private strand(strand: Strand, rows: readonly SwitchRow[], crossed: ReadonlyMap<Strand, string>): StrandElements {
    const a = this.node(strand.from);
    const b = this.node(strand.to);
    const wire = this.builder.conductance(strand.name, a, b, 0);
    if (strand.switches.some((row) => this.machine.parts.get(rows[row]!.part)?.kind === 'solid-state switch')) this.bodyDiode(strand, a, b);
    if (strand.diode === undefined) return { strand, a, b, wire, diode: undefined, leakage: undefined, turned: undefined, cross: this.cross(strand, a, b, crossed.get(strand)) };
    const law = this.diodeLaw(strand.diode);
    const diode = this.builder.diode(strand.diode, a, b, law(this.inputs.nominal()));
    const turned = this.builder.diode(`${strand.diode} the wrong way round`, b, a, law(this.inputs.nominal()));
    this.binds.push((numbers, values) => {
      numbers.set(diodeNumbers(law(values)), diode * WIDTH);
      numbers.set(diodeNumbers(law(values)), turned * WIDTH);
      numbers[turned * WIDTH] = 0;
    });
    return { strand, a, b, wire, diode, leakage: leakageRound(this.machine, this.inputs, strand.diode, (v) => this.full(v)), turned, cross: undefined };
  }

  private cross(strand: Strand, a: number, b: number, load: string | undefined): StrandElements['cross'] {
    if (load === undefined) return undefined;
    const [from, to] = strand.role === 'supply' ? [a, this.node(`${load}-`)] : [this.node(`${load}+`), b];
    return { element: this.builder.conductance(`${strand.name} crossed`, from, to, 0), a: from, b: to };
  }

  /** What a part of two transistors one on the other, times `beside`, conducts from its − to its +. */
  private legs(part: Part, rating_A: number, beside: number): number {
    const law = diodeLaw('silicon', rating_A, BODY_DROP_V);
    const element = this.builder.diode(`${part.id} the wrong way round`, this.minus(part), this.plus(part), { saturation_A: beside * law.saturation_A, slope_V: 2 * law.slope_V, series_ohm: (2 * law.series_ohm) / beside });
    this.binds.push((numbers) => (numbers[element * WIDTH] = 0));
    this.passes.push({ part: part.id, words: `body diodes of ${part.id}`, element, a: this.minus(part), b: this.plus(part), backwards: true });
    return element;
  }

  /** A transistor switch that is off still conducts backwards. */
  private bodyDiode(strand: Strand, a: number, b: number): void {
    const part = strand.parts.find((id) => this.machine.parts.get(id)?.kind === 'solid-state switch')!;
    const rating = this.inputs.nominal()[this.inputs.at(`${part}.rating`)]!;
    const element = this.builder.diode(`${part} body diode`, b, a, diodeLaw('silicon', rating, BODY_DROP_V));
    this.passes.push({ part, words: `body diode of ${part}`, element, a: b, b: a, backwards: true });
  }

  private full(v: Float64Array): number {
    return seriesStack(this.machine).reduce((sum, id) => sum + (this.sources.find((source) => source.part === id)?.voltage(v) ?? 0), 0);
  }

  private diodeLaw(id: string) {
    const part = this.machine.parts.get(id)!;
    const rating = this.value(`${id}.rating`);
    if (part.kind === 'ideal diode') {
      const on = this.value(`${id}.onResistance`);
      return (v: Float64Array) => idealDiodeLaw(on(v));
    }
    const drop = this.value(`${id}.forwardDrop`);
    const type = part.kind === 'diode' ? (part.values.type ?? 'silicon') : 'silicon';
    return (v: Float64Array) => diodeLaw(type, rating(v), drop(v));
  }

  private part(part: Part): void {
    switch (part.kind) {
      case 'pack':
        this.pack(part);
        return;
      case 'bench supply': {
        const voltage = this.value(`${part.id}.voltage`);
        const limit = this.value(`${part.id}.limit`);
        const element = this.builder.limited(part.id, this.plus(part), this.minus(part), 1, 1);
        this.binds.push((numbers, v) => {
          numbers.set([1, voltage(v), limit(v)], element * WIDTH);
        });
        this.sources.push({ part: part.id, element, plus: this.plus(part), minus: this.minus(part), present: () => 1, kind: 'bench supply', voltage });
        return;
      }
      case 'controller':
        this.controller(part);
        return;
      case 'converter':
        this.converter(part);
        return;
      case 'regulator':
        this.regulator(part);
        return;
      case 'receiver':
        this.steady(part, this.value(`${part.id}.current`), this.value(`${part.id}.reset`));
        return;
      case 'servo':
        this.steady(part, this.value(`${part.id}.idle`), () => SERVO_V);
        return;
      case 'load':
        this.plainLoad(part);
        return;
      case 'bleed':
        this.resistive(part, this.value(`${part.id}.resistance`));
        return;
      case 'lamp': {
        const resistance = this.value(`${part.id}.resistance`);
        const forward = this.value(`${part.id}.forwardDrop`);
        const element = this.builder.lamp(part.id, this.plus(part), this.minus(part), 1, 1);
        this.binds.push((numbers, v) => {
          numbers.set([1, resistance(v), forward(v)], element * WIDTH);
        });
        this.load(part, { start: forward, stop: forward, draws: [element] });
        return;
      }
      case 'brake resistor': {
        const ohm = this.value(`${part.id}.resistance`);
        const element = this.builder.conductance(`${part.id} held on`, this.plus(part), this.minus(part), 0);
        this.brakes.push({ part: part.id, plus: this.plus(part), minus: this.minus(part), element, closed_S: (v) => 1 / ohm(v) });
        return;
      }
      case 'capacitors':
        this.load(part, { start: NEVER, stop: NEVER, draws: [], bank: this.value(`${part.id}.capacitance`) });
        return;
      default:
        return;
    }
  }

  private pack(pack: Pack): void {
    const { value } = this;
    const cells = value(`${pack.id}.cells`);
    const parallel = value(`${pack.id}.parallel`);
    const each = value(`${pack.id}.cellResistance`);
    const charge = value(`${pack.id}.charge`);
    const ambient = value('surroundings.inside');
    const { chemistry } = pack.values;
    const full = this.inputs.has(`${pack.id}.fullVoltage`) ? value(`${pack.id}.fullVoltage`) : undefined;
    const voltage: FromValues = (v) => cells(v) * (openCircuit_V(chemistry, charge(v)) + (full === undefined ? 0 : (full(v) - openCircuit_V(chemistry, 1)) * charge(v)));
    const present: FromValues = (v) => parallel(v) / (cells(v) * each(v) * resistanceFactor(Math.min(Math.max(ambient(v), 0), 45)));
    const element = this.builder.source(pack.id, this.plus(pack), this.minus(pack), 1, 1);
    this.binds.push((numbers, v) => {
      numbers.set([present(v), -voltage(v)], element * WIDTH);
    });
    const inItsPlace = this.builder.limited(`bench supply for ${pack.id}`, this.plus(pack), this.minus(pack), 1, 1);
    this.binds.push((numbers, v) => {
      numbers.set([0, voltage(v), 1], inItsPlace * WIDTH);
    });
    this.sources.push({ part: pack.id, element, plus: this.plus(pack), minus: this.minus(pack), present, kind: 'pack', voltage, inItsPlace });
  }

  private controller(part: Controller): void {
    const { builder, value } = this;
    const motor = motorBehind(this.machine, this.inputs, part);
    const start = value(`${part.id}.logicStart`);
    const own = value(`${part.id}.standby`);
    const keyFrom = part.values.keyFrom === undefined ? undefined : feedPoint(this.machine, part.values.keyFrom);
    const logic = keyFrom === undefined ? undefined : this.node(keyFrom);
    const draw = builder.standby(part.id, logic ?? this.plus(part), this.minus(part), 1, 1);
    const trial = builder.power(`${part.id} on trial`, this.plus(part), this.minus(part), 1);
    const drive = builder.standby(`${part.id} at full drive`, this.plus(part), this.minus(part), 1, 1);
    const full = fullDrive(this.inputs, part.id);
    this.binds.push((numbers, v) => {
      numbers.set([1, own(v), start(v)], draw * WIDTH);
      numbers.set([0, motor.breakaway(v) ** 2 * motor.resistance(v)], trial * WIDTH);
      numbers.set([0, full(v), start(v)], drive * WIDTH);
    });
    const rated = this.inputs.nominal()[this.inputs.at(`${part.id}.motorCurrent`)]!;
    this.load(part, { start, stop: (v) => LETS_GO * start(v), draws: [draw], trial, drive, legs: this.legs(part, rated, LEGS), motor, logic, waits: this.waits([part.values.keySwitch, part.values.waitsFor]), bank: value(`${part.id}.capacitance`) });

    // A motor that turns feeds the bus through two of the bridge's body diodes, brushed or not.
    const inner = builder.node(`${part.id} bridge`);
    const spinning = builder.source(`${part.id} motor`, inner, this.minus(part), 1, 1);
    const law = diodeLaw('silicon', rated, BODY_DROP_V);
    const bridge = builder.diode(`${part.id} body diodes`, inner, this.plus(part), { ...law, slope_V: 2 * law.slope_V, series_ohm: 2 * law.series_ohm });
    const voltage = this.turning(motor);
    this.binds.push((numbers, v) => {
      numbers.set([0, -voltage(v)], spinning * WIDTH);
    });
    this.passes.push({ part: part.id, words: `body diodes of ${part.id}`, element: bridge, a: inner, b: this.plus(part), backwards: true });
    this.sources.push({ part: motor.part ?? part.id, element: spinning, plus: inner, minus: this.minus(part), present: (v) => 1 / motor.resistance(v), kind: 'spinning motor', voltage });
  }

  /** Back-EMF of a motor at the highest speed at which it can still turn: where none is stated, that which the full packs give it. */
  private turning({ part, torqueConstant }: MotorBehind): FromValues {
    const full: FromValues = (v) => this.full(v);
    const coast = part !== undefined && this.inputs.has(`${part}.coastSpeed`) ? this.value(`${part}.coastSpeed`) : undefined;
    // V·s and Nm/A are the same number.
    return coast === undefined || torqueConstant === undefined ? full : (v) => coast(v) * torqueConstant(v);
  }

  /** Where each of some switches must stand for a load to be let run. */
  private waits(parts: readonly (string | undefined)[]): NetworkLoad['waits'] {
    return parts.flatMap((part) => {
      const row = part === undefined ? -1 : this.rows.findIndex((one) => one.part === part);
      if (part === undefined || row < 0) return [];
      const closed = closedPosition(this.machine, part);
      return [{ row, position: this.rows[row]!.positions.findIndex((position) => position.name === closed) }];
    });
  }

  /** The switch that the file says isolates a load, where the wiring alone does not. */
  private declared(part: Part): number | undefined {
    const by = part.kind === 'controller' || part.kind === 'converter' || part.kind === 'load' ? part.values.isolatedBy : undefined;
    const row = by === undefined ? -1 : this.rows.findIndex((one) => one.part === by);
    return row < 0 ? undefined : row;
  }

  /** The bench lead that feeds a part's logic, where it is one that is plugged in. */
  private benchRow(part: string): number | undefined {
    const row = this.rows.findIndex((one) => {
      const lead = this.machine.parts.get(one.part);
      return lead?.kind === 'bench lead' && lead.values.feeds === part;
    });
    return row < 0 ? undefined : row;
  }

  /** A bench lead that feeds backwards into a part's supply, as far as its device and what lies between let it. */
  private feed(part: BenchLead): void {
    const { feeds, reaches = 'supply' } = part.values;
    const chain = this.machine.wiring.chains.find((one) => one.items.some((item) => 'part' in item && item.part === part.id));
    if (feeds === undefined || reaches === 'logic' || chain === undefined) return;
    const value = (field: string): FromValues => this.value(`${part.id}.${field}`);
    const plus = this.node(`${feeds}+`);
    const far = this.node(pointOf(chain.to));
    const element = this.builder.limited(`${part.id} feed`, plus, far, 1, 1);
    const voltage: FromValues = (v) => Math.max(0, value('feedVoltage')(v) - value('feedDrop')(v));
    this.binds.push((numbers, v) => {
      numbers.set([0, voltage(v), value('feedCurrent')(v)], element * WIDTH);
    });
    this.sources.push({ part: part.id, element, plus, minus: far, present: () => 1, kind: 'bench lead', voltage, row: this.rows.findIndex((row) => row.part === part.id) });
  }

  private converter(part: Converter): void {
    const { builder, value } = this;
    const power = converterPower(this.machine, this.inputs, part);
    const start = value(`${part.id}.start`);
    const stop = value(`${part.id}.stop`);
    const output_V = value(`${part.id}.output`);
    const most = this.inputs.has(`${part.id}.outputCurrent`) ? value(`${part.id}.outputCurrent`) : () => OUTPUT_A;
    const draw = builder.power(part.id, this.plus(part), this.minus(part), 1);
    const out = this.node(`${part.id} out`);
    const output = builder.limited(`${part.id} output`, out, this.minus(part), 1, 1);
    this.binds.push((numbers, v) => {
      numbers.set([0, power(v)], draw * WIDTH);
      numbers.set([0, output_V(v), most(v)], output * WIDTH);
    });
    const backwards = this.backwards(part, out, OUTPUT_A);
    this.load(part, { start, stop: (v) => Math.min(stop(v), 0.98 * start(v)), draws: [draw], starting: draw, output, backwards, legs: this.legs(part, OUTPUT_A, 1), bank: value(`${part.id}.electrolytic`), waits: this.waits([part.values.waitsFor]) });
  }

  private regulator(part: Regulator): void {
    const { builder, value } = this;
    const set = value(`${part.id}.output`);
    const dropOut = value(`${part.id}.dropOut`);
    const idle = value(`${part.id}.idle`);
    const start: FromValues = (v) => set(v) + dropOut(v);
    const draw = builder.standby(part.id, this.plus(part), this.minus(part), 1, 1);
    const out = this.node(`${part.id} out`);
    const pass = builder.regulator(`${part.id} pass`, this.plus(part), out, this.minus(part), 1, 1, OUTPUT_OHM);
    this.binds.push((numbers, v) => {
      numbers.set([1, idle(v), start(v)], draw * WIDTH);
      numbers.set([1, set(v), dropOut(v), OUTPUT_OHM], pass * WIDTH);
    });
    this.passes.push({ part: part.id, words: `regulator ${part.id}`, element: pass, a: this.plus(part), b: out, backwards: false });
    this.backwards(part, out, REGULATOR_A);
    this.load(part, { start, stop: start, draws: [draw] });
  }

  /** From its output to its input a supply's transistor has a body diode. */
  private backwards(part: Part, out: number, rating_A: number): number {
    const element = this.builder.diode(`${part.id} backwards`, out, this.plus(part), diodeLaw('silicon', rating_A, BODY_DROP_V));
    this.passes.push({ part: part.id, words: `body diode of ${part.id}, backwards`, element, a: out, b: this.plus(part), backwards: true });
    return element;
  }

  private plainLoad(part: Extract<Part, { kind: 'load' }>): void {
    const { power, current, resistance } = part.values;
    const start = this.value(`${part.id}.start`);
    const stop = this.value(`${part.id}.stop`);
    if (power !== undefined) {
      const draw = this.builder.power(part.id, this.plus(part), this.minus(part), 1);
      const watts = this.value(`${part.id}.power`);
      this.binds.push((numbers, v) => {
        numbers.set([0, watts(v)], draw * WIDTH);
      });
      this.load(part, { start, stop: (v) => Math.min(stop(v), 0.98 * start(v)), draws: [draw], starting: draw });
    } else if (current !== undefined) this.steady(part, this.value(`${part.id}.current`), start);
    else if (resistance !== undefined) this.resistive(part, this.value(`${part.id}.resistance`));
  }

  private steady(part: Part, current: FromValues, threshold: FromValues): void {
    const draw = this.builder.standby(part.id, this.plus(part), this.minus(part), 1, 1);
    this.binds.push((numbers, v) => {
      numbers.set([1, current(v), threshold(v)], draw * WIDTH);
    });
    this.load(part, { start: threshold, stop: threshold, draws: [draw] });
  }

  private resistive(part: Part, resistance: FromValues): void {
    const draw = this.builder.conductance(part.id, this.plus(part), this.minus(part), 0);
    this.binds.push((numbers, v) => {
      numbers[draw * WIDTH] = 1 / resistance(v);
    });
    this.load(part, { start: NEVER, stop: NEVER, draws: [draw] });
  }

  private load(part: Part, own: Partial<NetworkLoad> & Pick<NetworkLoad, 'start' | 'stop' | 'draws'>): void {
    const plus = this.plus(part);
    const minus = this.minus(part);
    const shunt = this.builder.conductance(`${part.id} leakage`, plus, minus, 1 / SLEEPING_OHM);
    this.loads.push({
      part: part.id, kind: part.kind, plus, minus, shunt,
      starting: undefined, output: undefined, backwards: undefined, trial: undefined, drive: undefined, legs: undefined, motor: undefined, bank: undefined, waits: [], isolatedBy: this.declared(part), logic: undefined, bench: this.benchRow(part.id),
      ...own,
    });
  }

  private plus(part: Part): number {
    return this.node(`${part.id}+`);
  }

  private minus(part: Part): number {
    return this.node(`${part.id}-`);
  }

  private node(point: string): number {
    const root = this.points.rootOf(point);
    let node = this.nodes.get(root);
    if (node === undefined) {
      node = this.builder.node(root);
      this.nodes.set(root, node);
    }
    return node;
  }
}

/** Battery current of a controller at full drive, A: its limit, or its motor current where none is stated. */
export function fullDrive(inputs: Inputs, controller: string): FromValues {
  const stated = `${controller}.batteryCurrent`;
  return valueOf(inputs)(inputs.has(stated) ? stated : `${controller}.motorCurrent`);
}

/** What only stores or warms has no voltage at which it wakes. */
const NEVER: FromValues = () => Infinity;
