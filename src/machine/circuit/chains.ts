import { addBranch, type BranchContact, type BranchHandle } from '../../engine/devices/branch.ts';
import { addDiode, setDiodeLaw } from '../../engine/devices/diode.ts';
import { addResistor } from '../../engine/devices/resistor.ts';
import type { CircuitNode } from '../../engine/system.ts';
import { conductorResistance_ohm } from '../../physics/conductors.ts';
import { CONTACT_METALS } from '../../physics/contacts.ts';
import { layInductance_H } from '../../physics/inductance.ts';
import type { Chain, Conductor, Machine } from '../machine.ts';
import type { Isolator } from '../parts/switching.ts';
import type { Part } from '../parts.ts';
import type { Binder, FromValues } from './binder.ts';
import { diodeLaw } from './diode-law.ts';

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
}

export interface ChainResult {
  readonly ways: ReadonlyMap<string, readonly Way[]>;
  /** Branches whose current flows through each resistor part. */
  readonly resistors: ReadonlyMap<string, readonly BranchHandle[]>;
}

/** Parts of a chain between two diodes. */
interface Segment {
  readonly resistance: FromValues[];
  readonly inductance: FromValues[];
  readonly contacts: { readonly part: Part }[];
  readonly resistors: string[];
  isolator: Isolator | undefined;
  empty: boolean;
}

/** Lead inductance of a contact's own loop where the file gives no lead: a few centimetres. Common practice, no source. */
const CONTACT_LOOP_H = 30e-9;

export class ChainBuilder {
  private readonly ways = new Map<string, Way[]>();
  private readonly resistors = new Map<string, BranchHandle[]>();

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
        const inductive = pieces.some((other) => !('diode' in other) && (other.contacts.length > 0 || other.inductance.length > 0 || other.isolator !== undefined));
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
    return { ways: this.ways, resistors: this.resistors };
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
      if (part.kind === 'diode') {
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
      case 'fuse':
        segment.resistance.push(this.binder.value(`${part.id}.resistance`));
        return;
      case 'resistor':
        segment.resistance.push(this.binder.value(`${part.id}.resistance`));
        segment.resistors.push(part.id);
        return;
      case 'isolator':
        if (segment.isolator !== undefined) segment.contacts.push({ part });
        else segment.isolator = part;
        return;
      case 'link':
      case 'connector':
      case 'button':
        if (this.operated.has(part.id)) segment.contacts.push({ part });
        else segment.resistance.push(this.binder.value(`${part.id}.closedResistance`));
        return;
      default:
        throw new Error(`${part.kind} ${part.id} cannot stand in a chain`);
    }
  }

  private segment(chainName: string, segment: Segment, fromPoint: string, toPoint: string): void {
    const from = this.binder.node(fromPoint);
    const to = this.binder.node(toPoint);
    const inductive = segment.contacts.length > 0 || segment.inductance.length > 0 || segment.isolator !== undefined;
    if (!inductive) {
      const total = sumOf(segment.resistance);
      const handle = addResistor(this.binder.system, chainName, from, to, this.binder.nominally(total));
      this.binder.bind(handle.resistance, total);
      return;
    }
    if (segment.isolator === undefined) {
      this.branch(chainName, segment, fromPoint, toPoint, from, to, undefined, undefined, undefined);
      return;
    }
    for (const [position, path] of positionsOf(segment.isolator))
      if (path.path !== 'open')
        this.branch(`${chainName} ${position}`, segment, fromPoint, toPoint, from, to, segment.isolator, position, path.path === 'through' ? path.part : undefined);
  }

  private branch(
    name: string, segment: Segment, fromPoint: string, toPoint: string, from: CircuitNode, to: CircuitNode,
    isolator: Isolator | undefined, position: string | undefined, through: string | undefined,
  ): void {
    const { binder } = this;
    const resistance = sumOf([...segment.resistance, ...(through === undefined ? [] : [binder.value(`${through}.resistance`)])]);
    const inductance = sumOf([() => CONTACT_LOOP_H, ...segment.inductance]);
    const switched: { part: Part; position: string; through: string | undefined }[] = segment.contacts.map(({ part }) => ({ part, position: 'closed', through: undefined }));
    if (isolator !== undefined && position !== undefined) switched.push({ part: isolator, position, through });
    const contacts: BranchContact[] = switched.map(({ part, position: at }) => ({
      name: at === 'closed' ? part.id : `${part.id} ${at}`,
      law: contactLaw(part, binder),
      closedAtStart: false,
    }));
    const handle = addBranch(binder.system, name, from, to, {
      resistance_ohm: binder.nominally(resistance),
      inductance_H: binder.nominally(inductance),
      contacts,
    });
    binder.bind(handle.resistance, resistance);
    binder.bind(handle.inductance, inductance);
    switched.forEach(({ part, position: at, through: resistor }, k) => {
      const contact = handle.contacts[k]!;
      binder.bind(contact.closed, binder.value(`${part.id}.closedResistance`));
      binder.bind(contact.forceRise, binder.value(`${part.id}.forceRise`));
      push(this.ways, part.id, { position: at, branch: handle, contact: k, through: resistor, from: fromPoint, to: toPoint });
    });
    for (const resistor of [...segment.resistors, ...(through === undefined ? [] : [through])]) push(this.resistors, resistor, handle);
  }

  private diode(id: string, anode: CircuitNode, cathode: CircuitNode, inductive: boolean): void {
    const part = this.machine.parts.get(id)!;
    if (part.kind !== 'diode') throw new Error(`${id} is not a diode`);
    const drop = this.binder.value(`${id}.forwardDrop`);
    const rating = this.binder.value(`${id}.rating`);
    const law = (v: Float64Array) => diodeLaw(part.values.type ?? 'silicon', rating(v), drop(v));
    const handle = addDiode(this.binder.system, id, anode, cathode, law(this.binder.nominalValues()), { damped: inductive });
    this.binder.bindAll((p, v) => setDiodeLaw(p, handle, law(v)));
  }
}

/** Positions of an isolator in order; OFF and ON when the file names none. */
export function positionsOf(isolator: Isolator): readonly (readonly [string, { readonly path: 'open' } | { readonly path: 'direct' } | { readonly path: 'through'; readonly part: string }])[] {
  const given = isolator.values.positions;
  return given === undefined ? [['OFF', { path: 'open' }], ['ON', { path: 'direct' }]] : [...given.entries()];
}

function contactLaw(part: Part, binder: Binder) {
  if (part.kind !== 'isolator' && part.kind !== 'link' && part.kind !== 'connector' && part.kind !== 'button') throw new Error(`${part.id} has no contact`);
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
  return { resistance: [], inductance: [], contacts: [], resistors: [], isolator: undefined, empty: true };
}

function sumOf(terms: readonly FromValues[]): FromValues {
  return (v) => terms.reduce((sum, term) => sum + term(v), 0);
}

function push<T>(map: Map<string, T[]>, key: string, value: T): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}
