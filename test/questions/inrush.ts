import { integrate } from './odex.mjs';

/** A branch from the star: a pack or a bank behind its resistance and loop inductance. */
export interface StarBranch {
  /** Voltage at the start, V. */
  readonly volts: number;
  /** Infinity for a pack. */
  readonly capacitance_F: number;
  readonly resistance_ohm: number;
  readonly inductance_H: number;
  /** Constant drop of a diode that leads away from the star, V. */
  readonly drop_V?: number;
}

export interface ClosingContact {
  readonly branch: number;
  readonly closed_ohm: number;
  readonly forceRise_s: number;
  readonly melting_V: number;
}

/**
 * Largest current through a contact that closes in one branch of a star, A, by an independent integrator, from the
 * textbook equations of the loops. The contact's resistance falls as one over the root of a force that rises linearly,
 * and its voltage is bounded by the melting voltage (R. Holm, Electric Contacts, 4th ed. 1967).
 */
export function inrushPeak(branches: readonly StarBranch[], contact: ClosingContact, until_s: number): number {
  const n = branches.length;
  const share = branches.reduce((sum, branch) => sum + 1 / branch.inductance_H, 0);
  // State: currents away from the star, then the voltages behind them.
  const slope = (t: number, y: number[]): number[] => {
    const spot_V = (contact.closed_ohm / Math.sqrt(t / contact.forceRise_s + 1e-4)) * y[contact.branch]!;
    const contact_V = spot_V / Math.hypot(1, spot_V / contact.melting_V);
    const back = branches.map((branch, k) => y[n + k]! + branch.resistance_ohm * y[k]! + (branch.drop_V ?? 0) + (k === contact.branch ? contact_V : 0));
    // The star's voltage is the one at which the slopes of all currents add up to nothing.
    const star = branches.reduce((sum, branch, k) => sum + back[k]! / branch.inductance_H, 0) / share;
    return [...branches.map((branch, k) => (star - back[k]!) / branch.inductance_H), ...branches.map((branch, k) => y[k]! / branch.capacitance_F)];
  };
  const steps = 100;
  let y = [...branches.map(() => 0), ...branches.map((branch) => branch.volts)];
  let peak = 0;
  for (let k = 0; k < steps; k++) {
    y = integrate(slope, (until_s * k) / steps, y, (until_s * (k + 1)) / steps, 1e-6);
    peak = Math.max(peak, Math.abs(y[contact.branch]!));
  }
  return peak;
}
