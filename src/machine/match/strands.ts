import type { Automaton } from '../../engine/automaton.ts';
import type { BankHandle } from '../../engine/devices/bank.ts';
import { addBattery, stepCurveLaw, type BatteryHandle } from '../../engine/devices/battery.ts';
import { addMeltingFuse, type MeltingFuseHandle } from '../../engine/devices/melting-fuse.ts';
import { addTrip } from '../../engine/devices/trip.ts';
import { warmResistance, type WarmLaw } from '../../engine/devices/wire.ts';
import type { HeatNode } from '../../engine/devices/thermal.ts';
import type { Expr } from '../../engine/expression.ts';
import { CELL_CURVES, stepCurveAt } from '../../physics/cell-curves.ts';
import { COLD_LAW } from '../../physics/packs.ts';
import { fuseElement } from '../../physics/fuse-element.ts';
import { FUSE_GATES } from '../../physics/fuses.ts';
import type { Binder, FromValues } from '../circuit/binder.ts';
import type { Pack } from '../parts/pack.ts';
import type { Part } from '../parts.ts';
import type { Piece, Strand } from './feeding.ts';
import type { Warmth } from './warmth.ts';

/** A current that is followed: its watch, A, and the unknown that gathers its square, A²s. */
export interface Current {
  readonly key: string;
  readonly watch: number;
  readonly squared: number;
}

export interface FuseHandle {
  readonly part: string;
  readonly fuse: MeltingFuseHandle;
  readonly current: Current;
}

export interface PackHandle {
  readonly part: string;
  readonly battery: BatteryHandle;
  readonly current: Current;
  readonly capacity: FromValues;
  readonly openCircuit: FromValues;
}

/** Builds packs and the leads between packs, places and loads. */
export class StrandBuilder {
  readonly currents: Current[] = [];
  readonly fuses: FuseHandle[] = [];
  readonly protections: { readonly part: string; readonly current: Current }[] = [];
  readonly packs: PackHandle[] = [];
  readonly automata: Automaton[] = [];

  constructor(
    private readonly binder: Binder,
    private readonly warmth: Warmth,
    private readonly node: (point: string) => BankHandle,
  ) {}

  /** A lead between two nodes; diodes in it let current through one way. */
  strand(strand: Strand): void {
    const { binder } = this;
    const b = binder.system;
    const g = b.graph;
    const [from, to] = [this.node(strand.from).node, this.node(strand.to).node];
    const made = this.pieces(strand);
    const resistance = g.sum(made.map((one) => one.value));
    const connected = made.some((one) => one.opens) ? b.parameter(`${strand.name} connected`, 1) : undefined;
    const drops = strand.pieces.flatMap((piece) => (piece.sort === 'part' && (piece.part.kind === 'diode' || piece.part.kind === 'ideal diode') ? [piece.part] : []));
    const fixed = g.sum(drops.flatMap((part) => (part.kind === 'diode' ? [this.bound(`${part.id} drop`, binder.value(`${part.id}.forwardDrop`))] : [])));
    const across = g.subtract(from.voltage, to.voltage);
    const drive = drops.length === 0 ? across : this.forward(g.subtract(across, fixed));
    const whole = g.divide(drive, resistance);
    const flow = connected === undefined ? whole : g.multiply(connected.value, whole);
    b.flow(from, to, flow);
    b.account('loss', g.multiply(across, flow));
    for (const one of made) if (one.node !== undefined) this.warmth.heat(one.node, g.multiply(one.value, g.square(flow)));
    // What is lost at a diode besides its share of the resistance is its own.
    const diode = made.find((one) => one.diode);
    if (diode?.node !== undefined) this.warmth.heat(diode.node, g.multiply(g.subtract(across, g.multiply(resistance, flow)), flow));
    const current = this.follow(strand.name, flow);
    this.guards(strand, flow, current, connected?.index);
  }

  /** A pack with the leads between it and its first node: they carry its current and need no node of their own. */
  pack(pack: Pack, strand: Strand | undefined, positive: string, negative: string | undefined): void {
    const { binder, warmth } = this;
    const b = binder.system;
    const g = b.graph;
    const value = (field: string): FromValues => binder.value(`${pack.id}.${field}`);
    const { chemistry } = pack.values;
    const [cells, charge, each, parallel] = [value('cells'), value('charge'), value('cellResistance'), value('parallel')];
    const full = binder.has(`${pack.id}.fullVoltage`) ? value('fullVoltage') : undefined;
    const raised: FromValues = (v) => (full === undefined ? 0 : full(v) - stepCurveAt(CELL_CURVES[chemistry], 1));
    const raisedBy = this.bound(`${pack.id} full voltage over the curve`, raised);
    const resistance: FromValues = (v) => (cells(v) * each(v)) / parallel(v);
    const capacity: FromValues = (v) => value('capacity')(v) / 3600;
    const body = warmth.part(pack.id, pack.id, 'pack', { capacity: value('heatCapacity'), rise: value('thermalResistance'), limit: value('limitTemperature'), start: value('temperature') }, pack.id);
    const made = strand === undefined ? [] : this.pieces(strand, true);
    const curve = stepCurveLaw(CELL_CURVES[chemistry]);
    const battery = addBattery(b, pack.id, this.node(positive).node, negative === undefined ? b.reference : this.node(negative).node, {
      cells: binder.nominally(cells), capacity_Ah: binder.nominally(capacity), soc: binder.nominally(charge),
      openCircuit: (graph, soc) => graph.add(curve(graph, soc), graph.multiply(raisedBy, soc)),
      resistance_ohm: binder.nominally(resistance),
      slow: SLOW.map(({ share, time_s }) => ({ resistance_ohm: share * binder.nominally(resistance), capacitance_F: time_s / (share * binder.nominally(resistance)) })),
      lump: body, cold: COLD_LAW,
      lead: made.map(({ name, law, node }) => ({ name, law, ...(node === undefined ? {} : { lump: node }) })),
      parts: made.some((one) => one.opens),
      weakest: { capacityShare: binder.nominally(value('weakestCapacity')), resistanceShare: binder.nominally(value('weakestResistance')) },
    });
    binder.bind(battery.cells, cells);
    binder.bind(battery.capacity, capacity);
    binder.bind(battery.resistance, resistance);
    binder.bind(battery.socAtStart, charge);
    battery.slow.forEach((pair, k) => {
      binder.bind(pair.resistance, (v) => SLOW[k]!.share * resistance(v));
      binder.bind(pair.capacitance, (v) => SLOW[k]!.time_s / (SLOW[k]!.share * resistance(v)));
    });
    binder.bind(battery.weakest!.capacityShare, value('weakestCapacity'));
    binder.bind(battery.weakest!.resistanceShare, value('weakestResistance'));
    made.forEach((one, k) => one.bindLaw(battery.lead[k]!.resistance));
    const current: Current = { key: pack.id, watch: battery.currentWatch, squared: b.quadrature(`${pack.id} let-through`, g.square(battery.current), 1e5) };
    this.currents.push(current);
    const openCircuit: FromValues = (v) => cells(v) * (stepCurveAt(CELL_CURVES[chemistry], charge(v)) + raised(v) * charge(v));
    this.packs.push({ part: pack.id, battery, current, capacity: value('capacity'), openCircuit });
    if (strand === undefined) return;
    this.currents.push({ ...current, key: strand.name });
    this.guards(strand, battery.current, current, battery.connected);
  }

  private pieces(strand: Strand, bindLater = false): Made[] {
    return strand.pieces.map((piece, k) => this.piece(strand, piece, k, bindLater));
  }

  /** One piece as a resistance; with `bindLater` its caller makes the resistance from the law. */
  private piece(strand: Strand, piece: Piece, k: number, bindLater: boolean): Made {
    const { binder, warmth } = this;
    const b = binder.system;
    const finish = (name: string, law: WarmLaw, bindLaw: (parameter: number) => void, rest: Partial<Made> = {}): Made => {
      if (bindLater) return { name, law, bindLaw, value: b.graph.zero, opens: false, diode: false, node: undefined, ...rest };
      const warm = warmResistance(b, name, law, law.coefficient_per_K === 0 ? undefined : rest.node);
      bindLaw(warm.resistance);
      return { name, law, bindLaw, value: warm.value, opens: false, diode: false, node: undefined, ...rest };
    };
    const constant = (name: string, from: FromValues, rest: Partial<Made> = {}): Made =>
      finish(name, { resistance_ohm: binder.nominally(from), reference_C: 20, coefficient_per_K: 0 }, (parameter) => { binder.bind(parameter, from); }, rest);
    if (piece.sort === 'cable') {
      const cable = warmth.cable(piece, strand.name);
      return finish(piece.where, cable.law, cable.bindLaw, { node: cable.node });
    }
    if (piece.sort === 'return joint') return constant(`${strand.name} return joint ${k}`, binder.value('returns.joint'));
    const { part } = piece;
    const value = (field: string): FromValues => binder.value(`${part.id}.${field}`);
    const lump = (sort: 'contact' | 'switch' | 'diode'): HeatNode => warmth.part(part.id, part.id, sort, { capacity: value('heatCapacity'), rise: value('thermalResistance'), limit: value('limitTemperature') }, strand.name);
    switch (part.kind) {
      case 'isolator': case 'link': case 'connector': case 'contactor': case 'button':
        return constant(part.id, value('closedResistance'), { node: lump('contact') });
      case 'solid-state switch':
        return constant(part.id, value('onResistance'), { node: lump('switch') });
      case 'ideal diode':
        return constant(part.id, value('onResistance'), { node: lump('diode'), diode: true });
      case 'diode':
        // Above a third of its rating a junction's voltage rises by some tenth of its drop for each such third.
        return constant(part.id, (v) => (DIODE_SLOPE * value('forwardDrop')(v)) / value('rating')(v), { node: lump('diode'), diode: true });
      case 'fuse': case 'protection':
        return constant(part.id, value('resistance'), { opens: true });
      default:
        return constant(part.id, binder.has(`${part.id}.resistance`) ? value('resistance') : () => NOTHING_OHM);
    }
  }

  /** Fuses and protections of a strand, which open it. */
  private guards(strand: Strand, flow: Expr, current: Current, connected: number | undefined): void {
    const { binder } = this;
    for (const piece of strand.pieces) {
      if (piece.sort !== 'part' || connected === undefined) continue;
      const { part } = piece;
      if (part.kind === 'fuse') {
        const element = fuseElement(part.values.rating.value, FUSE_GATES[part.values.class ?? 'bolt-in large'], 'middle');
        const fuse = addMeltingFuse(binder.system, part.id, flow, element, (run) => (run.parameters[connected] = 0));
        binder.bind(fuse.rating, binder.value(`${part.id}.rating`));
        this.fuses.push({ part: part.id, fuse, current });
        this.automata.push(fuse.automaton);
      }
      if (part.kind === 'protection') this.protection(part, current, connected);
    }
  }

  private protection(part: Part, current: Current, connected: number): void {
    const { binder } = this;
    const value = (field: string): FromValues => binder.value(`${part.id}.${field}`);
    const steps = [
      { name: 'short circuit', current: value('shortCurrent'), delay: value('shortDelay') },
      { name: 'over-current', current: value('overCurrent'), delay: value('overDelay') },
    ];
    const handle = addTrip(binder.system, part.id, current.watch, steps.map((step) => ({ name: step.name, current_A: binder.nominally(step.current), delay_s: binder.nominally(step.delay) })), (run) => (run.parameters[connected] = 0));
    steps.forEach((step, k) => {
      binder.bind(handle.steps[k]!.current, step.current);
      binder.bind(handle.steps[k]!.delay, step.delay);
    });
    this.protections.push({ part: part.id, current });
    this.automata.push(...handle.automata);
  }

  private follow(key: string, flow: Expr): Current {
    const b = this.binder.system;
    const current = { key, watch: b.watch(`${key} current`, flow), squared: b.quadrature(`${key} let-through`, b.graph.square(flow), 1e5) };
    this.currents.push(current);
    return current;
  }

  /**
   * What a diode lets through of a voltage over its drop. A smooth maximum alone leaks a little at any reverse voltage,
   * enough to drain a bus that nothing feeds.
   */
  private forward(over: Expr): Expr {
    const g = this.binder.system.graph;
    const knee = g.constant(DIODE_KNEE_V);
    const gate = g.multiply(g.constant(0.5), g.add(g.one, g.tanh(g.divide(over, knee))));
    return g.multiply(gate, g.smoothMaximum(over, g.zero, knee));
  }

  private bound(name: string, from: FromValues): Expr {
    const parameter = this.binder.system.parameter(name, this.binder.nominally(from));
    this.binder.bind(parameter.index, from);
    return parameter.value;
  }
}

interface Made {
  readonly name: string;
  readonly law: WarmLaw;
  readonly bindLaw: (parameter: number) => void;
  readonly value: Expr;
  readonly node: HeatNode | undefined;
  readonly opens: boolean;
  readonly diode: boolean;
}

/** Of a pack's resistance after ten seconds two thirds are there at once, as in a power-up. Common practice, no source. */
const SLOW = [
  { share: 0.2, time_s: 1 },
  { share: 0.3, time_s: 20 },
] as const;
const DIODE_KNEE_V = 0.02;
const DIODE_SLOPE = 0.3;
const NOTHING_OHM = 1e-5;
