import { CONTACT_METALS, type ContactMetalName } from '../../physics/contacts.ts';
import { arcBreak, extinctionGap_m, type ArcBreak } from '../../physics/contact-opening.ts';
import { layInductance_H } from '../../physics/inductance.ts';
import type { FaultCurrents } from './fault-currents.ts';

/** A part of a lead that opens while every controller draws its limit. */
export interface Broken {
  readonly current_A: number;
  /** Energy in the inductance of the leads that opening sets free, J, and the inductance that stands for it, H. */
  readonly stored_J: number;
  readonly inductance_H: number;
  /** Voltage before the gap once it is open, V. */
  readonly supply_V: number;
  /** Voltage across the gap just after opening, V: what the leads no longer lose, as long as the banks behind hold. */
  readonly ends_V: number;
  /** Resistance of the loop that goes with it, Ω. */
  readonly resistance_ohm: number;
  /** Capacitance that holds the far side up, F. */
  readonly behind_F: number;
  /** Voltage below which the controllers behind let go, V: an arc cannot take that from them; 0 where there is none. */
  readonly awake_V: number;
  /** Loads that go dark, by their numbers in the network. */
  readonly dark: readonly number[];
}

/** A contact's own loop, and any lead's without a length. Common practice, no source. */
const LOOP_H = 30e-9;

/** What the leads of each strand have, H; returns are counted with the supply that they run beside. */
export function strandInductances(faults: FaultCurrents): Float64Array {
  const { network, values } = faults;
  return Float64Array.from(network.strands, ({ strand }) => {
    if (strand.role !== 'supply') return 0;
    const lays = strand.chain.items.flatMap((item) => ('conductor' in item ? [item.conductor.lay] : []));
    const leads = strand.items.filter((item) => item.section !== undefined);
    return leads.reduce((sum, item, k) => sum + layInductance_H(item.length!(values), item.section!(values), lays[k] ?? 'tied'), LOOP_H);
  });
}

/** A part opened at full drive; undefined where it carries nothing or there is no state of rest. */
export function breakAtLimits(faults: FaultCurrents, part: string): Broken | undefined {
  const cut = new Set(faults.strandsOf(part));
  const before = faults.atLimits();
  const after = faults.atLimits(cut);
  if (before === undefined || after === undefined) return undefined;
  const carries = (s: number): number => Math.abs(before.currents[s]!);
  const main = [...cut].sort((a, b) => carries(b) - carries(a))[0];
  if (main === undefined || !(carries(main) > 0.01)) return undefined;
  const current_A = carries(main);
  const inductances = strandInductances(faults);
  const stored_J = inductances.reduce((sum, H, s) => sum + 0.5 * H * Math.max(0, before.currents[s]! ** 2 - after.currents[s]! ** 2), 0);
  const { a, b } = faults.network.strands[main]!;
  const [near, far] = before.currents[main]! > 0 ? [a, b] : [b, a];
  const dark = faults.darkWith(cut);
  const behind_F = dark.reduce((sum, k) => sum + (faults.network.loads[k]!.bank?.(faults.values) ?? 0), 0);
  const awake_V = dark.map((k) => faults.network.loads[k]!).filter(({ kind }) => kind === 'controller').reduce((least, load) => Math.min(least, load.start(faults.values)), Infinity);
  const held_V = dark.length === 0 ? after.voltages[far]! : behind_F > 0 ? before.voltages[far]! : Math.min(before.voltages[far]!, after.voltages[far]!);
  const ends_V = Math.max(0, after.voltages[near]! - held_V);
  return {
    current_A, stored_J, inductance_H: (2 * stored_J) / current_A ** 2, supply_V: Math.max(ends_V, Math.abs(after.voltages[near]! - after.voltages[far]!)), ends_V, behind_F, awake_V: awake_V < Infinity ? awake_V : 0, dark,
    // Without resistance nothing of the drop would be there; a micro-ohm keeps the closed form finite.
    resistance_ohm: Math.max(1e-6, ends_V / current_A),
  };
}

/** What a parting contact makes of it. */
export interface PartingArc extends ArcBreak {
  readonly kind: 'none' | 'short' | 'fed';
  /** Gap up to which the circuit feeds it, m; 0 when the banks behind put it out before. */
  readonly gap_m: number;
}

/** Longest gap that is looked at, m. */
const WIDEST_M = 0.05;

/**
 * The arc of a contact that parts: short where the far side is held up until the current is gone, fed where the voltage
 * across the gap comes up to what an arc needs before.
 */
export function partingArc({ current_A, inductance_H, resistance_ohm, ends_V, supply_V, behind_F, awake_V, dark }: Broken, metal: ContactMetalName): PartingArc {
  const { minimumArc_V, minimumArc_A } = CONTACT_METALS[metal];
  const nothing: PartingArc = { kind: 'none', time_s: 0, energy_J: 0, charge_C: 0, gap_m: 0 };
  if (current_A < minimumArc_A) return nothing;
  const own = arcBreak(current_A, Math.max(inductance_H, LOOP_H), resistance_ohm, ends_V, minimumArc_V);
  // The loads behind go on drawing: their banks fall until the circuit can feed the arc.
  const holds_s = dark.length === 0 ? Infinity : (behind_F * Math.max(0, minimumArc_V - ends_V)) / current_A;
  if (own.time_s < Infinity && (own.time_s <= holds_s || supply_V - awake_V < minimumArc_V)) return { kind: 'short', ...own, gap_m: 0 };
  return { kind: 'fed', ...own, gap_m: extinctionGap_m(supply_V - awake_V, resistance_ohm, WIDEST_M) };
}
