import { addBranch, openContact, type BranchContact, type BranchHandle } from '../../engine/devices/branch.ts';
import type { ContactLaw } from '../../engine/devices/contact.ts';
import { addDiode, setDiodeLaw, type DiodeLaw } from '../../engine/devices/diode.ts';
import { addInrushLimiter, type InrushLimiterHandle } from '../../engine/devices/limiter.ts';
import { addRamp, type RampHandle } from '../../engine/devices/ramp.ts';
import { addTrip, type TripHandle } from '../../engine/devices/trip.ts';
import { addResistor } from '../../engine/devices/resistor.ts';
import type { Expr } from '../../engine/expression.ts';
import type { CircuitNode } from '../../engine/system.ts';
import { conductorResistance_ohm } from '../../physics/conductors.ts';
import { CONTACT_METALS } from '../../physics/contacts.ts';
import { layInductance_H } from '../../physics/inductance.ts';
import type { Chain, Conductor, Machine } from '../machine.ts';
import type { InrushLimiter, Protection, SolidStateSwitch } from '../parts/protective.ts';
import type { Isolator } from '../parts/switching.ts';
import type { Part } from '../parts.ts';
import type { Binder, FromValues } from './binder.ts';
import { diodeLaw, idealDiodeLaw } from './diode-law.ts';

/** One way through a switch: its contact in the branch that it stands in. */
export interface Way {
  /** Positions of the switch in which it is closed; `closed` for a link, connector or button. */
  readonly position: string;
  readonly branch: BranchHandle;
  readonly contact: number;
  /** Resistor that this way leads through. */
  readonly through: string | undefined;
  readonly from: string;
  readonly to: string;
  /** Ramp of a solid-state switch. */
  readonly ramp: RampHandle | undefined;
}

/** A part that turns a branch's energy to heat by a law of its own: an inrush limiter, a solid-state switch. */
export interface Heated {
  readonly branch: BranchHandle;
  /** Unknown: energy turned to heat, J. */
  readonly heat: number;
  /** Unknown: temperature rise, K, where it is followed. */
  readonly temperature: number | undefined;
}

export interface ProtectedBranch {
  readonly part: string;
  readonly branch: BranchHandle;
  readonly trip: TripHandle;
}

export interface ChainResult {
  readonly heats: ReadonlyMap<string, readonly Heated[]>;
  readonly protections: readonly ProtectedBranch[];
  readonly ways: ReadonlyMap<string, readonly Way[]>;
  /** Branches whose current flows through each resistor part. */
  readonly resistors: ReadonlyMap<string, readonly BranchHandle[]>;
  /** Branches whose currents together flow through each fuse. */
  readonly fuses: ReadonlyMap<string, readonly BranchHandle[]>;
}

/** A switch with several ways, each perhaps through a resistor. */
interface Selector {
  readonly part: Part;
  readonly paths: readonly { readonly position: string; readonly resistor: string | undefined }[];
}

/** Parts of a chain between two diodes. */
interface Segment {
  readonly resistance: FromValues[];
  readonly inductance: FromValues[];
  /** Switches with one way, and protections. */
  readonly contacts: Part[];
  readonly limiters: InrushLimiter[];
  readonly resistors: string[];
  readonly fuses: string[];
  selector: Selector | undefined;
  empty: boolean;
}

/** Lead inductance of a contact's own loop where the file gives no lead: a few centimetres. Common practice, no source. */
const CONTACT_LOOP_H = 30e-9;

export class ChainBuilder {
  private readonly ways = new Map<string, Way[]>();
  private readonly resistors = new Map<string, BranchHandle[]>();
  private readonly heats = new Map<string, Heated[]>();
  private readonly protections: ProtectedBranch[] = [];
  private readonly fuses = new Map<string, BranchHandle[]>();

  constructor(
    private readonly machine: Machine,
    private readonly binder: Binder,
    /** Parts that somebody operates; other switches stay as they are wired and count as resistance. */
    private readonly operated: ReadonlySet<string>,
  ) {}

  /** Makes the elements of one chain between its two points. */
  add(chain: Chain, fromPoint: string, toPoint: string): void {
    const pieces = this.segments(chain);
    let at = fromPoint;
    pieces.forEach((piece, k) => {
      const last = k === pieces.length - 1;
      if ('diode' in piece) {
        const next = last ? toPoint : `${chain.name} behind ${piece.diode}`;
        const inductive = pieces.some((other) => !('diode' in other) && (other.contacts.length > 0 || other.inductance.length > 0 || other.selector !== undefined || other.limiters.length > 0 || other.fuses.length > 0));
        this.diode(piece.diode, this.binder.node(at), this.binder.node(next), inductive);
        at = next;
      } else if (!piece.empty) {
        const next = last ? toPoint : `${chain.name} before ${(pieces[k + 1] as { diode: string }).diode}`;
        this.segment(chain.name, piece, at, next);
        at = next;
      }
    });
  }

  result(): ChainResult {
    return { ways: this.ways, resistors: this.resistors, heats: this.heats, protections: this.protections, fuses: this.fuses };
  }

  private segments(chain: Chain): (Segment | { readonly diode: string })[] {
    const pieces: (Segment | { readonly diode: string })[] = [];
    let current = newSegment();
    const close = (): void => {
      if (!current.empty) pieces.push(current);
      current = newSegment();
    };
    chain.items.forEach((item, k) => {
      if ('conductor' in item) {
        this.conductor(current, chain, item.conductor, k);
        return;
      }
      const part = this.machine.parts.get(item.part)!;
      if (part.kind === 'diode' || part.kind === 'ideal diode') {
        close();
        pieces.push({ diode: part.id });
      } else this.element(current, part);
    });
    close();
    return pieces;
  }

  private conductor(segment: Segment, chain: Chain, conductor: Conductor, k: number): void {
    const section = this.binder.value(`${chain.name}#${k}.section`);
    const length = this.binder.value(`${chain.name}#${k}.length`);
    const temperature = this.binder.value('surroundings.inside');
    segment.resistance.push((v) => conductorResistance_ohm(section(v), length(v), temperature(v), undefined, 'fine'));
    // The loop's inductance stands in the outgoing lead; returns and signal leads carry resistance only.
    if (chain.role === 'supply') segment.inductance.push((v) => layInductance_H(length(v), section(v), conductor.lay));
    segment.empty = false;
  }

  private element(segment: Segment, part: Part): void {
    segment.empty = false;
    switch (part.kind) {
      case 'joint':
        segment.resistance.push(this.binder.value(`${part.id}.resistance`));
        return;
      case 'fuse':
        segment.resistance.push(this.binder.value(`${part.id}.resistance`));
        segment.fuses.push(part.id);
        return;
      case 'resistor':
        segment.resistance.push(this.binder.value(`${part.id}.resistance`));
        segment.resistors.push(part.id);
        return;
      case 'isolator':
      case 'contactor':
        this.selector(segment, part);
        return;
      case 'connector':
        if (this.operated.has(part.id)) this.selector(segment, part);
        else segment.resistance.push(this.binder.value(`${part.id}.closedResistance`));
        return;
      case 'link':
      case 'button':
        if (this.operated.has(part.id)) segment.contacts.push(part);
        else segment.resistance.push(this.binder.value(`${part.id}.closedResistance`));
        return;
      case 'solid-state switch':
        segment.contacts.push(part);
        return;
      case 'protection':
        segment.resistance.push(this.binder.value(`${part.id}.resistance`));
        segment.contacts.push(part);
        return;
      case 'inrush limiter':
        segment.limiters.push(part);
        return;
      default:
        throw new Error(`${part.kind} ${part.id} cannot stand in a chain`);
    }
  }

  /** A switch with several ways; a second one in the same segment has to do with its direct way. */
  private selector(segment: Segment, part: Part): void {
    const paths = switchPaths(part);
    if (segment.selector === undefined && paths.length > 1) segment.selector = { part, paths };
    else segment.contacts.push(part);
  }

  private segment(chainName: string, segment: Segment, fromPoint: string, toPoint: string): void {
    const from = this.binder.node(fromPoint);
    const to = this.binder.node(toPoint);
    // A fuse's let-through is gathered by a branch, whatever else stands in it.
    const inductive = segment.contacts.length > 0 || segment.inductance.length > 0 || segment.selector !== undefined || segment.limiters.length > 0 || segment.fuses.length > 0;
    if (!inductive) {
      const total = sumOf(segment.resistance);
      const handle = addResistor(this.binder.system, chainName, from, to, this.binder.nominally(total));
      this.binder.bind(handle.resistance, total);
      return;
    }
    if (segment.selector === undefined) {
      this.branch(chainName, segment, fromPoint, toPoint, undefined, undefined);
      return;
    }
    for (const { position, resistor } of segment.selector.paths) this.branch(`${chainName} ${position}`, segment, fromPoint, toPoint, position, resistor);
  }

  private branch(name: string, segment: Segment, fromPoint: string, toPoint: string, position: string | undefined, resistor: string | undefined): void {
    const { binder } = this;
    const from = binder.node(fromPoint);
    const resistance = sumOf([...segment.resistance, ...(resistor === undefined ? [] : [binder.value(`${resistor}.resistance`)])]);
    const inductance = sumOf([() => CONTACT_LOOP_H, ...segment.inductance]);
    const switched = segment.contacts.map((part) => ({ part, position: directPosition(part), through: undefined as string | undefined }));
    if (segment.selector !== undefined && position !== undefined) switched.push({ part: segment.selector.part, position, through: resistor });
    const ramps = new Map<string, RampHandle>();
    const limiters = new Map<string, InrushLimiterHandle>();
    const handle = addBranch(binder.system, name, from, binder.node(toPoint), {
      resistance_ohm: binder.nominally(resistance),
      inductance_H: binder.nominally(inductance),
      contacts: switched.map(({ part, position: at }): BranchContact => ({
        name: at === 'closed' || part.kind === 'protection' ? part.id : `${part.id} ${at}`,
        law: contactLaw(part, binder),
        closedAtStart: part.kind === 'protection',
      })),
      inserts: [
        ...segment.limiters.map((part) => ({ name: part.id, energyScale_J: 1, voltage: this.limiter(part, limiters) })),
        ...segment.contacts.flatMap((part) => (part.kind === 'solid-state switch' ? [{ name: part.id, energyScale_J: 1, voltage: this.ramp(part, from, binder.node(toPoint), ramps) }] : [])),
      ],
    });
    binder.bind(handle.resistance, resistance);
    binder.bind(handle.inductance, inductance);
    switched.forEach(({ part, position: at, through }, k) => {
      const contact = handle.contacts[k]!;
      if (part.kind === 'protection') {
        this.protect(part, handle, k);
        return;
      }
      if (contact.wears) {
        binder.bind(contact.closed, binder.value(`${part.id}.closedResistance`));
        binder.bind(contact.forceRise, binder.value(`${part.id}.forceRise`));
      }
      push(this.ways, part.id, { position: at, branch: handle, contact: k, through, from: fromPoint, to: toPoint, ramp: ramps.get(part.id) });
    });
    const heats = [...segment.limiters.map((part) => part.id), ...ramps.keys()];
    heats.forEach((id, k) => push(this.heats, id, { branch: handle, heat: handle.insertHeat[k]!, temperature: limiters.get(id)?.temperature }));
    for (const id of [...segment.resistors, ...(resistor === undefined ? [] : [resistor])]) push(this.resistors, id, handle);
    for (const id of segment.fuses) push(this.fuses, id, handle);
  }

  private limiter(part: InrushLimiter, made: Map<string, InrushLimiterHandle>): (current: Expr) => Expr {
    const { binder } = this;
    const value = (field: string): FromValues => binder.value(`${part.id}.${field}`);
    const dissipation: FromValues = (v) => 1 / value('dissipation')(v);
    return (current) => {
      const handle = addInrushLimiter(binder.system, part.id, current, {
        cold_ohm: binder.nominally(value('resistance')),
        b_K: binder.nominally(value('steepness')),
        heatCapacity_J_K: binder.nominally(value('heatCapacity')),
        dissipation_W_K: binder.nominally(dissipation),
        ambient_C: binder.nominally(binder.value('surroundings.inside')),
      });
      binder.bind(handle.cold, value('resistance'));
      binder.bind(handle.b, value('steepness'));
      binder.bind(handle.heatCapacity, value('heatCapacity'));
      binder.bind(handle.dissipation, dissipation);
      binder.bind(handle.ambient, binder.value('surroundings.inside'));
      made.set(part.id, handle);
      return handle.voltage;
    };
  }

  private ramp(part: SolidStateSwitch, from: CircuitNode, to: CircuitNode, made: Map<string, RampHandle>): (current: Expr) => Expr {
    const { binder } = this;
    const on = binder.value(`${part.id}.onResistance`);
    const rise = binder.value(`${part.id}.ramp`);
    return (current) => {
      const handle = addRamp(binder.system, part.id, from, to, binder.system.reference, current, { on_ohm: binder.nominally(on), rise_s: binder.nominally(rise), span_V: 1 });
      binder.bind(handle.on, on);
      binder.bind(handle.rise, rise);
      binder.bindSupply(handle.span);
      made.set(part.id, handle);
      return handle.voltage;
    };
  }

  private protect(part: Protection, branch: BranchHandle, k: number): void {
    const { binder } = this;
    const value = (field: string): FromValues => binder.value(`${part.id}.${field}`);
    const contact = branch.contacts[k]!;
    const handle = addTrip(
      binder.system,
      part.id,
      branch.currentWatch,
      [
        { name: 'short circuit', current_A: binder.nominally(value('shortCurrent')), delay_s: binder.nominally(value('shortDelay')) },
        { name: 'over-current', current_A: binder.nominally(value('overCurrent')), delay_s: binder.nominally(value('overDelay')) },
      ],
      (run) => {
        openContact(run, branch, contact);
      },
    );
    const [short, over] = handle.steps;
    binder.bind(short!.current, value('shortCurrent'));
    binder.bind(short!.delay, value('shortDelay'));
    binder.bind(over!.current, value('overCurrent'));
    binder.bind(over!.delay, value('overDelay'));
    this.protections.push({ part: part.id, branch, trip: handle });
  }

  private diode(id: string, anode: CircuitNode, cathode: CircuitNode, inductive: boolean): void {
    const part = this.machine.parts.get(id)!;
    const law = this.diodeLawOf(part);
    const handle = addDiode(this.binder.system, id, anode, cathode, law(this.binder.nominalValues()), { damped: inductive });
    this.binder.bindAll((p, v) => {
      setDiodeLaw(p, handle, law(v));
    });
  }

  private diodeLawOf(part: Part): (v: Float64Array) => DiodeLaw {
    const rating = this.binder.value(`${part.id}.rating`);
    if (part.kind === 'ideal diode') {
      const on = this.binder.value(`${part.id}.onResistance`);
      return (v) => idealDiodeLaw(on(v));
    }
    if (part.kind !== 'diode') throw new Error(`${part.id} is not a diode`);
    const drop = this.binder.value(`${part.id}.forwardDrop`);
    return (v) => diodeLaw(part.values.type ?? 'silicon', rating(v), drop(v));
  }
}

/** Positions of an isolator in order; OFF and ON when the file names none. */
export function positionsOf(isolator: Isolator): readonly (readonly [string, { readonly path: 'open' } | { readonly path: 'direct' } | { readonly path: 'through'; readonly part: string }])[] {
  const given = isolator.values.positions;
  return given === undefined ? [['OFF', { path: 'open' }], ['ON', { path: 'direct' }]] : [...given.entries()];
}

/** Ways of a switch in the order in which they are used. */
function switchPaths(part: Part): Selector['paths'] {
  switch (part.kind) {
    case 'isolator':
      return positionsOf(part).flatMap(([position, path]) => (path.path === 'open' ? [] : [{ position, resistor: path.path === 'through' ? path.part : undefined }]));
    case 'contactor':
      return [...(part.values.softStart === undefined ? [] : [{ position: SOFT, resistor: part.values.softStart }]), { position: 'ON', resistor: undefined }];
    case 'connector':
      return [...(part.values.builtInResistor === undefined ? [] : [{ position: SOFT, resistor: part.id }]), { position: 'closed', resistor: undefined }];
    default:
      return [{ position: 'closed', resistor: undefined }];
  }
}

/** Position of a switch that closes its own soft start first. */
export const SOFT = 'SOFT';

function directPosition(part: Part): string {
  return switchPaths(part).find((path) => path.resistor === undefined)?.position ?? 'closed';
}

/** A transistor closes at once and burns no arc. */
const SOLID = { forceRise_s: 0, melting_V: 1, arc_V: 1, arc_A: 1 };

function contactLaw(part: Part, binder: Binder): ContactLaw {
  if (part.kind === 'protection' || part.kind === 'solid-state switch') return { closed_ohm: 1e-6, ...SOLID };
  if (part.kind !== 'isolator' && part.kind !== 'link' && part.kind !== 'connector' && part.kind !== 'button' && part.kind !== 'contactor') throw new Error(`${part.id} has no contact`);
  const metal = CONTACT_METALS[part.values.metal ?? 'copper'];
  return {
    closed_ohm: binder.nominally(binder.value(`${part.id}.closedResistance`)),
    forceRise_s: binder.nominally(binder.value(`${part.id}.forceRise`)),
    melting_V: metal.melting_V,
    arc_V: metal.minimumArc_V,
    arc_A: metal.minimumArc_A,
  };
}

function newSegment(): Segment {
  return { resistance: [], inductance: [], contacts: [], limiters: [], resistors: [], fuses: [], selector: undefined, empty: true };
}

function sumOf(terms: readonly FromValues[]): FromValues {
  return (v) => terms.reduce((sum, term) => sum + term(v), 0);
}

function push<T>(map: Map<string, T[]>, key: string, value: T): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}
