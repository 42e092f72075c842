import type { Automaton } from '../../engine/automaton.ts';
import { addBank, type BankHandle } from '../../engine/devices/bank.ts';
import { addSurroundings } from '../../engine/devices/thermal.ts';
import { compile, type Model } from '../../engine/model.ts';
import { laidOut, type SystemBuilder } from '../../engine/system.ts';
import { Binder, type FromValues } from '../circuit/binder.ts';
import { isDownstream, pointOf } from '../circuit/nets.ts';
import { Inputs } from '../inputs.ts';
import type { Machine } from '../machine.ts';
import type { Pack } from '../parts/pack.ts';
import { DriveBuilder, missingOf, motorsOf, roleOf, type DriveUnit } from './drives.ts';
import { feedingOf, type Feeding, type Piece, type Strand } from './feeding.ts';
import { ServiceBuilder, type ConverterUnit, type RadioUnit, type ServoUnit } from './services.ts';
import { StrandBuilder, type Current, type FuseHandle, type PackHandle } from './strands.ts';
import { Warmth, type Lump } from './warmth.ts';

/** A machine as it fights, compiled once; a sample of its values is other numbers in it. */
export interface MatchModel {
  readonly machine: Machine;
  readonly inputs: Inputs;
  readonly model: Model;
  readonly automata: readonly Automaton[];
  /** Inputs without which some motor cannot be driven: that motor stands still in the match. */
  readonly needs: readonly string[];
  readonly packs: readonly PackHandle[];
  readonly units: readonly DriveUnit[];
  readonly converters: readonly ConverterUnit[];
  readonly radios: readonly RadioUnit[];
  readonly servos: readonly ServoUnit[];
  readonly fuses: readonly FuseHandle[];
  readonly protections: readonly { readonly part: string; readonly current: Current }[];
  readonly currents: readonly Current[];
  readonly lumps: readonly Lump[];
  readonly buses: readonly { readonly point: string; readonly watch: number }[];
  readonly quiet: readonly QuietCable[];
  parametersFor(values: Float64Array): Float64Array;
  /** Unknowns at the start: packs at rest, banks full, everything as warm as the air inside. */
  initialFor(values: Float64Array): Float64Array;
}

/** A cable to a small load, whose current is its load's. */
export interface QuietCable {
  readonly piece: Extract<Piece, { sort: 'cable' }>;
  readonly load: string;
  readonly law: ReturnType<Warmth['quietCable']>;
  readonly current_A: FromValues;
}

/** Why a machine cannot fight in a simulation. */
export interface MatchImpossible {
  readonly needs: readonly string[];
}

/** Energy that the balance of a match is about, J. */
const ENERGY_SCALE_J = 1e4;
/**
 * A place without capacitors gets this much: it settles within microseconds through any lead, moves no figure of a match,
 * and spares the solver an algebraic equation.
 */
const PLACE_F = 50e-6;

/** Builds the model of a match; what it lacks when there is no pack to fight with. */
export function buildMatch(machine: Machine): MatchModel | MatchImpossible {
  const packs = [...machine.parts.values()].filter((part) => part.kind === 'pack');
  if (packs.length === 0) return { needs: ['a pack'] };
  const inputs = new Inputs(machine, 'match');
  const feeding = feedingOf(machine);
  const { system, binder, initial, ...found } = laidOut((builder) => assemble(machine, inputs, feeding, packs, builder));
  const model = compile(system);
  const start = Float64Array.from(system.unknowns, (unknown) => unknown.initial);
  return {
    machine, inputs, model, ...found,
    parametersFor: (values) => binder.parametersFor(model, values),
    initialFor(values) {
      const y = start.slice();
      for (const { unknown, from } of initial) y[unknown] = from(values);
      return y;
    },
  };
}

export function canFight(match: MatchModel | MatchImpossible): match is MatchModel {
  return 'model' in match;
}

function assemble(machine: Machine, inputs: Inputs, feeding: Feeding, packs: readonly Pack[], builder: SystemBuilder) {
  const binder = new Binder(inputs, builder);
  const inside = binder.value('surroundings.inside');
  const air = addSurroundings(builder, 'air inside', binder.nominally(inside));
  binder.bind(air.parameter, inside);
  const warmth = new Warmth(binder, air);
  const absorbed = new Map(feeding.strands.filter((strand) => isPackStrand(strand, feeding, packs)).map((strand) => [strand.from, strand.to]));
  const places = new Places(machine, binder, feeding, absorbed);
  const strands = new StrandBuilder(binder, warmth, (point) => places.node(point));
  const bottom = bottoms(feeding, packs);
  for (const strand of feeding.strands) if (!isPackStrand(strand, feeding, packs)) strands.strand(strand);
  for (const pack of packs) {
    const own = feeding.strands.find((strand) => isPackStrand(strand, feeding, packs) && strand.from === feeding.nodeOf(`${pack.id}+`));
    const negative = bottom.has(pack.id) ? undefined : feeding.nodeOf(`${pack.id}-`);
    strands.pack(pack, own, own?.to ?? feeding.nodeOf(`${pack.id}+`), negative);
  }
  const stack: FromValues = (v) => Math.max(...strands.packs.map((pack) => pack.openCircuit(v))) * Math.max(1, packs.length - bottom.size + 1);
  places.startAt(strands.packs, packs, bottom, feeding);

  const controllers = [...machine.parts.values()].filter((part) => part.kind === 'controller');
  const fed = (id: string): boolean => machine.wiring.chains.some((chain) => chain.role === 'supply' && !isDownstream(machine, chain) && [chain.from, chain.to].some((end) => pointOf(end) === `${id}+`));
  const needs = [...new Set(controllers.flatMap((part) => missingOf(machine, part)))];
  const driven = controllers.filter((part) => fed(part.id) && missingOf(machine, part).length === 0 && motorsOf(machine, part).length > 0);
  const wheeled = driven.filter((part) => roleOf(motorsOf(machine, part)[0]!.values) === 'drive').length;
  const drives = new DriveBuilder(machine, binder, warmth, (point) => places.node(point), stack, wheeled, (point) => places.indexOf(point));
  for (const controller of driven) drives.add(controller);
  const services = new ServiceBuilder(machine, binder, warmth, (point) => places.node(point), fed);
  services.build((run, obeys) => {
    for (const unit of drives.units) run.parameters[unit.drive.enabled!] = obeys ? 1 : 0;
  });
  const quiet = feeding.quiet.flatMap(({ pieces, load }) => pieces.flatMap((piece): QuietCable[] => {
    const current_A = quietCurrent(machine, binder, load, stack);
    return piece.sort === 'cable' && current_A !== undefined ? [{ piece, load, law: warmth.quietCable(piece), current_A }] : [];
  }));

  const buses = places.named();
  return {
    binder,
    system: builder.finish(ENERGY_SCALE_J),
    initial: [...places.initial, ...warmth.fromAir.map((unknown) => ({ unknown, from: inside })), ...strands.packs.flatMap((pack) => startOf(pack, binder, warmth))],
    automata: [...strands.automata, ...services.automata, ...drives.units.flatMap((unit) => unit.drive.automata)],
    needs,
    packs: strands.packs, units: drives.units, converters: services.converters.filter(({ part }) => machine.parts.get(part)?.kind === 'converter'), radios: services.radios, servos: services.servos,
    fuses: strands.fuses, protections: strands.protections, currents: [...strands.currents, ...drives.units.map((unit) => unit.motorCurrent)],
    lumps: warmth.lumps, buses, quiet,
  };
}

function startOf(pack: PackHandle, binder: Binder, warmth: Warmth): { readonly unknown: number; readonly from: FromValues }[] {
  const body = warmth.lumps.find((lump) => lump.where === pack.part)!;
  return [
    { unknown: pack.battery.soc, from: binder.value(`${pack.part}.charge`) },
    { unknown: body.node.unknown, from: binder.value(`${pack.part}.temperature`) },
  ];
}

/** What a small load draws at most while its supply is full, A. */
function quietCurrent(machine: Machine, binder: Binder, load: string, supply: FromValues): FromValues | undefined {
  const part = machine.parts.get(load);
  switch (part?.kind) {
    case 'converter': {
      const running = binder.has(`${load}.running`) ? binder.value(`${load}.running`) : undefined;
      const stop = binder.value(`${load}.stop`);
      return running === undefined ? undefined : (v) => running(v) / Math.max(stop(v), 0.5 * supply(v));
    }
    case 'lamp': case 'bleed':
      return (v) => supply(v) / binder.value(`${load}.resistance`)(v);
    case 'load':
      return part.values.power === undefined ? undefined : (v) => (2 * binder.value(`${load}.power`)(v)) / supply(v);
    default:
      return undefined;
  }
}

/** A strand that a pack takes into itself: the only one from its +, without a diode. */
function isPackStrand(strand: Strand, feeding: Feeding, packs: readonly Pack[]): boolean {
  const pack = packs.find(({ id }) => feeding.nodeOf(`${id}+`) === strand.from);
  if (pack === undefined) return false;
  const alone = feeding.strands.filter((other) => other.from === strand.from || other.to === strand.from).length === 1;
  return alone && strand.pieces.every((piece) => piece.sort !== 'part' || (piece.part.kind !== 'diode' && piece.part.kind !== 'ideal diode'));
}

/** Packs whose − is the machine's negative: not those that stand on another. */
function bottoms(feeding: Feeding, packs: readonly Pack[]): ReadonlySet<string> {
  const raised = new Set(feeding.strands.map((strand) => strand.to));
  const merged = (id: string): boolean => packs.some((other) => feeding.nodeOf(`${other.id}+`) === feeding.nodeOf(`${id}-`));
  return new Set(packs.filter(({ id }) => !raised.has(feeding.nodeOf(`${id}-`)) && !merged(id)).map(({ id }) => id));
}

/** The nodes of a match: every one is a bank, of the capacitors that hang there. */
class Places {
  private readonly made = new Map<string, BankHandle>();
  readonly initial: { readonly unknown: number; readonly from: FromValues }[] = [];

  constructor(
    private readonly machine: Machine,
    private readonly binder: Binder,
    private readonly feeding: Feeding,
    /** For the + of every pack that has its leads in itself, where these end. */
    private readonly absorbed: ReadonlyMap<string, string>,
  ) {}

  /** A pack's own + lies inside its leads' resistance: what hangs there hangs behind them. */
  private rootOf(point: string): string {
    const root = this.feeding.nodeOf(point);
    return this.absorbed.get(root) ?? root;
  }

  /** Its place among the nodes, in the order in which they were made. */
  indexOf(point: string): number {
    return [...this.made.keys()].indexOf(this.rootOf(point));
  }

  node(point: string): BankHandle {
    const root = this.rootOf(point);
    const known = this.made.get(root);
    if (known !== undefined) return known;
    const { binder } = this;
    const banks = [...this.machine.parts.values()].flatMap((part): FromValues[] => {
      if (this.rootOf(`${part.id}+`) !== root) return [];
      if (part.kind === 'controller' || part.kind === 'capacitors') return [binder.value(`${part.id}.capacitance`)];
      return part.kind === 'converter' ? [binder.value(`${part.id}.electrolytic`), binder.value(`${part.id}.ceramic`)] : [];
    });
    const capacitance: FromValues = (v) => Math.max(PLACE_F, banks.reduce((sum, bank) => sum + bank(v), 0));
    const bank = addBank(binder.system, root, binder.nominally(capacitance), 0);
    binder.bind(bank.capacitance, capacitance);
    this.made.set(root, bank);
    return bank;
  }

  /** Every node starts at the voltage of the packs below and beside it, at rest. */
  startAt(handles: readonly PackHandle[], packs: readonly Pack[], bottom: ReadonlySet<string>, feeding: Feeding): void {
    const volts = new Map<string, FromValues>();
    const rest: FromValues = (v) => Math.max(...[...this.tops(handles, packs, bottom, feeding, volts)].map((from) => from(v)));
    for (const [root, bank] of this.made) this.initial.push({ unknown: bank.voltage, from: volts.get(root) ?? rest });
    this.rest = rest;
  }

  private rest: FromValues = () => 0;

  /** Voltage at every pack's +, from the bottom up; remembered for the nodes in a stack. */
  private tops(handles: readonly PackHandle[], packs: readonly Pack[], bottom: ReadonlySet<string>, feeding: Feeding, volts: Map<string, FromValues>): FromValues[] {
    const above = (id: string): FromValues => {
      const own = handles.find(({ part }) => part === id)!.openCircuit;
      if (bottom.has(id)) return own;
      const below = packs.find((other) => other.id !== id && (feeding.nodeOf(`${other.id}+`) === feeding.nodeOf(`${id}-`) || feeding.strands.some((strand) => strand.from === feeding.nodeOf(`${other.id}+`) && strand.to === feeding.nodeOf(`${id}-`))));
      const under: FromValues = below === undefined ? () => 0 : above(below.id);
      volts.set(feeding.nodeOf(`${id}-`), under);
      return (v) => own(v) + under(v);
    };
    return packs.map(({ id }) => above(id));
  }

  /** Nodes with a name that people know, with a watch of their voltage. */
  named(): { readonly point: string; readonly watch: number }[] {
    const seen = new Set(this.initial.map(({ unknown }) => unknown));
    return [...this.made].map(([root, bank]) => {
      if (!seen.has(bank.voltage)) this.initial.push({ unknown: bank.voltage, from: this.rest });
      return { point: root.endsWith('+') ? root.slice(0, -1) : root, watch: this.binder.system.watch(`${root} voltage`, bank.node.voltage) };
    });
  }
}
