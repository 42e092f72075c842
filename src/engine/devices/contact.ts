import type { Automaton, RunControl } from '../automaton.ts';
import type { Expr } from '../expression.ts';
import type { SystemBuilder } from '../system.ts';

/** How a contact closes, bounces and opens. */
export interface ContactLaw {
  /** Resistance when fully closed, Ω. */
  readonly closed_ohm: number;
  /** Time over which the contact force builds up, s; 0 closes at once. */
  readonly forceRise_s: number;
  /** Voltage at which the touching spot melts, V: the spot then grows and the voltage rises no further. */
  readonly melting_V: number;
  /** Voltage that an arc across it needs, V. */
  readonly arc_V: number;
  /** Current below which an arc goes out, A. */
  readonly arc_A: number;
}

export interface ContactHandle {
  readonly closed: number;
  readonly forceRise: number;
  readonly melting: number;
  readonly arcVoltage: number;
  readonly arcCurrent: number;
  /** Parameter: 1 while it conducts, by metal or by arc. */
  readonly conducting: number;
  /** Parameter: ±1 while it burns an arc, the direction of its current. */
  readonly arcing: number;
  readonly touching: number;
  readonly touchedAt: number;
  /** False for a contact that closes at once: it neither melts nor arcs. */
  readonly wears: boolean;
  /** Voltage across it while it conducts, as a function of the branch's current. */
  readonly voltage: Expr;
  /** Voltage that the touching spot would have, were it not to melt. */
  readonly spotVoltage: Expr;
  /** Power in its metal while the spot melts, W: 0 well below the melting voltage, all of it well above. */
  readonly meltingPower: Expr;
}

/** Bounces of one closing: after so long the contact parts, for so long. */
export interface Bounce {
  readonly after_s: number;
  readonly open_s: number;
}

/**
 * A contact in a branch of current `current`: its voltage while it conducts.
 *
 * Closing is a process: force rises linearly over `forceRise_s`, and the constriction resistance goes as one over its
 * root, R(t) = R / √((t − t₀)/rise). The spot's voltage is bounded by the melting voltage u = R i / √(1 + (R i/U)²).
 * Parted with current, it burns an arc of constant voltage until the current falls below what an arc needs.
 * @see R. Holm, Electric Contacts, 4th ed. 1967 (constriction resistance against force; melting voltage; minimum arc)
 */
export function addContact(b: SystemBuilder, name: string, current: Expr, law: ContactLaw, closedAtStart: boolean): ContactHandle {
  const g = b.graph;
  const closed = b.parameter(`${name} closed resistance`, law.closed_ohm);
  const conducting = b.parameter(`${name} conducts`, closedAtStart ? 1 : 0);
  const arcing = b.parameter(`${name} arcs`, 0);
  const touching = b.parameter(`${name} force still rising`, 0);
  const touchedAt = b.parameter(`${name} touched at`, LONG_AGO_S);
  const forceRise = b.parameter(`${name} force rise`, law.forceRise_s);
  const melting = b.parameter(`${name} melting voltage`, law.melting_V);
  const arcVoltage = b.parameter(`${name} arc voltage`, law.arc_V);
  const arcCurrent = b.parameter(`${name} arc current`, law.arc_A);
  const handle = {
    closed: closed.index,
    forceRise: forceRise.index,
    melting: melting.index,
    arcVoltage: arcVoltage.index,
    arcCurrent: arcCurrent.index,
    conducting: conducting.index,
    arcing: arcing.index,
    touching: touching.index,
    touchedAt: touchedAt.index,
  };
  if (law.forceRise_s === 0) {
    const voltage = g.multiply(closed.value, current);
    return { ...handle, wears: false, voltage, spotVoltage: voltage, meltingPower: g.zero };
  }
  // √(x² + floor²) is x from the touch on, and stays above zero before it, where the law is not used.
  const share = g.divide(g.subtract(g.time, touchedAt.value), forceRise.value);
  const force = g.sqrt(g.add(g.square(share), g.constant(FORCE_FLOOR ** 2)));
  // Metal, closed or closing; the touching flag is 0 or 1 and picks the law.
  const settled = g.subtract(g.one, touching.value);
  const resistance = g.multiply(closed.value, g.add(settled, g.divide(touching.value, g.sqrt(force))));
  const spotVoltage = g.multiply(resistance, current);
  const bounded = g.divide(spotVoltage, g.sqrt(g.add(g.one, g.square(g.divide(spotVoltage, melting.value)))));
  const metal = g.subtract(g.one, g.square(arcing.value));
  const arc = g.add(g.multiply(arcing.value, arcVoltage.value), g.multiply(g.square(arcing.value), g.multiply(g.constant(ARC_OHM), current)));
  const excess = g.square(g.square(g.divide(spotVoltage, melting.value)));
  const melts = g.divide(excess, g.add(g.one, excess));
  return {
    ...handle,
    wears: true,
    voltage: g.add(g.multiply(metal, bounded), arc),
    spotVoltage: g.multiply(metal, spotVoltage),
    meltingPower: g.multiply(g.multiply(metal, melts), g.multiply(bounded, current)),
  };
}

/** Parts a contact: through an arc when its current can feed one, at once otherwise. */
export function partContact(run: RunControl, contact: ContactHandle, current_A: number): void {
  const p = run.parameters;
  if (p[contact.conducting] === 0) return;
  p[contact.touching] = 0;
  if (p[contact.forceRise]! > 0 && Math.abs(current_A) > p[contact.arcCurrent]!) p[contact.arcing] = Math.sign(current_A);
  else {
    p[contact.conducting] = 0;
    p[contact.arcing] = 0;
  }
}

/** Lets a contact touch; its force rises from now. */
export function touchContact(run: RunControl, contact: ContactHandle): void {
  const p = run.parameters;
  p[contact.conducting] = 1;
  p[contact.arcing] = 0;
  if (!(p[contact.forceRise]! > 0)) return;
  p[contact.touching] = 1;
  p[contact.touchedAt] = run.time;
  const touched = run.time;
  run.schedule(touched + p[contact.forceRise]!, (later) => {
    if (later.parameters[contact.touchedAt] === touched) later.parameters[contact.touching] = 0;
  });
}

/** Lets the arc of a contact in a branch go out when the current is too small to feed it. */
export function arcAutomaton(name: string, contact: ContactHandle, currentWatch: number): Automaton {
  return {
    name: `${name} arc`,
    distance: (w, p) => (p[contact.arcing] === 0 ? -1 : p[contact.arcCurrent]! - p[contact.arcing]! * w[currentWatch]!),
    fire(run) {
      run.parameters[contact.arcing] = 0;
      run.parameters[contact.conducting] = 0;
      run.note(`${name} arc goes out`, run.watched[currentWatch]!);
    },
  };
}

const LONG_AGO_S = -1e6;
/** Share of the final force with which the first spot touches: keeps the resistance finite, 100 times the closed one. */
const FORCE_FLOOR = 1e-4;
/** Slope of an arc's voltage with current, Ω: small, it only keeps the law increasing. */
const ARC_OHM = 1e-3;
