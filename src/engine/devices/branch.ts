import type { Automaton, RunControl } from '../automaton.ts';
import type { Expr } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';
import { addContact, arcAutomaton, partContact, touchContact, type Bounce, type ContactHandle, type ContactLaw } from './contact.ts';

export interface BranchContact {
  readonly name: string;
  readonly law: ContactLaw;
  readonly closedAtStart: boolean;
}

export interface BranchRequest {
  readonly resistance_ohm: number;
  readonly inductance_H: number;
  readonly contacts: readonly BranchContact[];
  /** Voltage that drives current from `from` to `to` (a pack's open-circuit voltage less its polarisation), V. */
  readonly drive?: Expr;
  /** Parts in the row whose voltage is a law of the branch's current: inrush limiters, solid-state switches. */
  readonly inserts?: readonly BranchInsert[];
  /** Sizes for the tolerances of what is gathered. */
  readonly contactEnergyScale_J?: number;
}

export interface BranchInsert {
  readonly name: string;
  /** Makes the part's voltage in the direction of the current. */
  readonly voltage: (current: Expr) => Expr;
  readonly energyScale_J: number;
}

export interface BranchContactHandle extends ContactHandle {
  readonly name: string;
  /** Unknowns that gather what wears it; none for a contact that closes at once. */
  readonly wear:
    | {
        /** Energy in the contact, J. */
        readonly energy: number;
        /** Energy in its metal while the spot melted, J. */
        readonly meltEnergy: number;
        /** Charge through its arcs, A·s. */
        readonly arcCharge: number;
      }
    | undefined;
  /** Watch: voltage its spot would have, were it not to melt, V. */
  readonly spotWatch: number;
}

export interface BranchHandle {
  readonly name: string;
  readonly resistance: number;
  readonly inductance: number;
  /** Unknown and watch: current from `from` to `to`, A. */
  readonly current: number;
  readonly currentWatch: number;
  readonly value: Expr;
  /** Watch: voltage that drives the branch, the voltage across its contacts while they are open, V. */
  readonly drivenWatch: number;
  /** Unknown: ∫i² dt, A²s. */
  readonly letThrough: number;
  /** Parameter: 1 while every contact in it conducts. */
  readonly connected: number;
  readonly contacts: readonly BranchContactHandle[];
  /** Unknown of each insert: energy turned to heat in it, J. */
  readonly insertHeat: readonly number[];
  readonly automata: readonly Automaton[];
}

/**
 * Conductors and contacts in a row between two nodes: one current, L i' = v_from − v_to + drive − R i − Σ contact voltages.
 * With a contact open the current dies out within microseconds and the ends no longer see each other.
 */
export function addBranch(b: SystemBuilder, name: string, from: CircuitNode, to: CircuitNode, request: BranchRequest): BranchHandle {
  if (!(request.inductance_H > 0)) throw new RangeError(`${name}: expected an inductance above 0 H, got ${request.inductance_H}`);
  const g = b.graph;
  const resistance = b.parameter(`${name} resistance`, request.resistance_ohm);
  const inductance = b.parameter(`${name} inductance`, request.inductance_H);
  const current = b.state(`${name} current`, 'current', 0);
  const made = request.contacts.map((c) => ({ ...addContact(b, c.name, current.value, c.law, c.closedAtStart), name: c.name }));
  const connected = b.parameter(`${name} connected`, request.contacts.every((c) => c.closedAtStart) ? 1 : 0);

  const inserts = (request.inserts ?? []).map((insert) => ({ ...insert, made: insert.voltage(current.value) }));
  const seriesVoltage = g.sum([...made.map((c) => c.voltage), ...inserts.map((insert) => insert.made)]);
  const drop = g.add(g.multiply(resistance.value, current.value), seriesVoltage);
  const driven = g.add(g.subtract(from.voltage, to.voltage), request.drive ?? g.zero);
  const joined = request.contacts.length === 0 ? g.one : connected.value;
  const dying = g.multiply(g.subtract(g.one, joined), g.divide(current.value, g.constant(DYING_S)));
  b.rate(current, g.subtract(g.multiply(joined, g.divide(g.subtract(driven, drop), inductance.value)), dying));
  b.flow(from, to, current.value);

  const dyingLoss = g.multiply(g.multiply(dying, current.value), inductance.value);
  // While the branch is parted its ends still feed what is left of the current: that work is lost in the gap too.
  const gapLoss = g.multiply(g.subtract(g.one, joined), g.multiply(driven, current.value));
  b.account('loss', g.add(g.multiply(joined, g.multiply(resistance.value, g.square(current.value))), g.add(dyingLoss, gapLoss)));
  b.stored(g.multiply(g.multiply(g.constant(0.5), inductance.value), g.square(current.value)));
  if (request.drive !== undefined) b.account('source', g.multiply(request.drive, current.value));

  const letThrough = b.quadrature(`${name} let-through`, g.square(current.value), 1);
  const currentWatch = b.watch(`${name} current`, current.value);
  const contacts = made.map((contact): BranchContactHandle => {
    const power = g.multiply(joined, g.multiply(contact.voltage, current.value));
    const spotWatch = b.watch(`${contact.name} spot voltage`, g.multiply(joined, contact.spotVoltage));
    if (!contact.wears) {
      b.account('loss', power);
      return { ...contact, wear: undefined, spotWatch };
    }
    const arcing = g.parameter(contact.arcing);
    const scale = request.contactEnergyScale_J ?? 1e-2;
    const wear = {
      energy: b.lossQuadrature(`${contact.name} contact energy`, power, scale),
      meltEnergy: b.quadrature(`${contact.name} melting energy`, g.multiply(joined, contact.meltingPower), scale),
      arcCharge: b.quadrature(`${contact.name} arc charge`, g.multiply(arcing, current.value), scale),
    };
    return { ...contact, wear, spotWatch };
  });
  const handle: BranchHandle = {
    name,
    resistance: resistance.index,
    inductance: inductance.index,
    current: current.index,
    currentWatch,
    value: current.value,
    drivenWatch: b.watch(`${name} driven`, driven),
    letThrough,
    connected: connected.index,
    contacts,
    insertHeat: inserts.map((insert) =>
      b.lossQuadrature(`${insert.name} heat`, g.multiply(joined, g.multiply(insert.made, current.value)), insert.energyScale_J),
    ),
    automata: [],
  };
  const automata = contacts.map((contact) => branchArc(handle, contact));
  return { ...handle, automata };
}

/** Closes a contact, with its bounces; `duration` of all of it is at most a few milliseconds. */
export function closeContact(run: RunControl, branch: BranchHandle, contact: BranchContactHandle, bounces: readonly Bounce[] = []): void {
  run.note(`${contact.name} touches`, run.unknowns[branch.current]!);
  touchContact(run, contact);
  refreshConnection(run, branch);
  const [next, ...rest] = bounces;
  if (next === undefined) return;
  run.schedule(run.time + next.after_s, (parting) => {
    openContact(parting, branch, contact);
    parting.schedule(parting.time + next.open_s, (again) => closeContact(again, branch, contact, rest));
  });
}

export function openContact(run: RunControl, branch: BranchHandle, contact: BranchContactHandle): void {
  run.note(`${contact.name} parts`, run.unknowns[branch.current]!);
  partContact(run, contact, run.unknowns[branch.current]!);
  refreshConnection(run, branch);
}

function refreshConnection(run: RunControl, branch: BranchHandle): void {
  run.parameters[branch.connected] = branch.contacts.every((c) => run.parameters[c.conducting] === 1) ? 1 : 0;
}

function branchArc(branch: BranchHandle, contact: BranchContactHandle): Automaton {
  const arc = arcAutomaton(contact.name, contact, branch.currentWatch);
  return {
    name: arc.name,
    distance: (w, p) => arc.distance(w, p),
    fire(run) {
      arc.fire(run);
      refreshConnection(run, branch);
    },
  };
}

/** What is left of a current when its contact is open dies within about a microsecond (recovery of the gap). */
const DYING_S = 1e-6;
