import { integrate } from './odex.mjs';

/** Something that takes current at the star: a bank behind its lead. */
export interface InrushBank {
  readonly capacitance_F: number;
  readonly resistance_ohm: number;
  readonly inductance_H: number;
  readonly initial_V: number;
  /** Constant drop of a diode in its lead, V. */
  readonly drop_V?: number;
}

export interface Inrush {
  readonly source_V: number;
  /** From the source through the closing contact to the star. */
  readonly resistance_ohm: number;
  readonly inductance_H: number;
  readonly contact: { readonly closed_ohm: number; readonly forceRise_s: number; readonly melting_V: number };
  readonly banks: readonly InrushBank[];
  readonly until_s: number;
}

/**
 * Largest current through a contact that closes onto banks, A, by an independent integrator, from the textbook equations
 * of the loop. The contact's resistance falls as one over the root of a force that rises linearly, and its voltage is
 * bounded by the melting voltage (R. Holm, Electric Contacts, 4th ed. 1967).
 */
export function inrushPeak(loop: Inrush): number {
  const { banks, contact } = loop;
  // State: loop current in each bank's lead, then the bank's voltages.
  const n = banks.length;
  const slope = (t: number, y: number[]): number[] => {
    const total = y.slice(0, n).reduce((sum, i) => sum + i, 0);
    const spot_V = (contact.closed_ohm / Math.sqrt(t / contact.forceRise_s + 1e-4)) * total;
    const driven = loop.source_V - loop.resistance_ohm * total - spot_V / Math.hypot(1, spot_V / contact.melting_V);
    // The star's voltage follows from equal slopes of the loop's current and the sum of the leads'.
    const back = banks.map((bank, k) => y[n + k]! + bank.resistance_ohm * y[k]! + (bank.drop_V ?? 0));
    const share = banks.reduce((sum, bank) => sum + 1 / bank.inductance_H, 0);
    const star = (driven / loop.inductance_H + banks.reduce((sum, bank, k) => sum + back[k]! / bank.inductance_H, 0)) / (1 / loop.inductance_H + share);
    return [...banks.map((bank, k) => (star - back[k]!) / bank.inductance_H), ...banks.map((bank, k) => y[k]! / bank.capacitance_F)];
  };
  const steps = 200;
  let y = [...banks.map(() => 0), ...banks.map((bank) => bank.initial_V)];
  let peak = 0;
  for (let k = 0; k < steps; k++) {
    y = integrate(slope, (loop.until_s * k) / steps, y, (loop.until_s * (k + 1)) / steps, 1e-7);
    peak = Math.max(peak, y.slice(0, n).reduce((sum, i) => sum + i, 0));
  }
  return peak;
}
