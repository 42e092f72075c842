import { WIDTH } from '../../engine/network/network.ts';
import type { Setting } from '../../machine/network/situation.ts';

/** What a load could draw where it stands. */
export interface Available {
  /** Through an ammeter across its terminals, A. */
  readonly current_A: number;
  /** Into the resistance that takes most, W. */
  readonly power_W: number;
}

/** Resistances that are tried for the most power: six a decade from a megohm down to a milliohm. */
const TRIED = Array.from({ length: 55 }, (_, k) => 10 ** (6 - k / 6));

/**
 * Tries a load's terminals with one resistance after another. Other loads of constant power let go, as they do when they
 * are starved: what is found is the most there can be.
 * @param least_V  voltage below which power is of no use to the load, V
 */
export function available(setting: Setting, load: number, least_V = 0): Available {
  const { shunt, plus, minus } = setting.machine.loads[load]!;
  const { voltages } = setting.rest;
  const kept = voltages.slice();
  const at = shunt * WIDTH;
  const own = setting.numbers[at]!;
  const others = setting.machine.loads.flatMap(({ starting }) => (starting === undefined || setting.numbers[starting * WIDTH] === 0 ? [] : [starting * WIDTH]));
  for (const other of others) setting.numbers[other] = 0;
  let power_W = 0;
  let current_A = 0;
  for (const ohm of TRIED) {
    setting.numbers[at] = own + 1 / ohm;
    if (!setting.rest.solve()) continue;
    const v = voltages[plus]! - voltages[minus]!;
    if (Math.abs(v) >= least_V) power_W = Math.max(power_W, v ** 2 / ohm);
    current_A = Math.max(current_A, Math.abs(v) / ohm);
  }
  setting.numbers[at] = own;
  for (const other of others) setting.numbers[other] = 1;
  voltages.set(kept);
  return { current_A, power_W };
}
