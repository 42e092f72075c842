import { WIDTH } from '../../engine/network/network.ts';
import type { Setting } from '../../machine/network/situation.ts';

/** What a load could draw where it stands. */
export interface Available {
  /** Through an ammeter across its terminals, A. */
  readonly current_A: number;
  /** Into the resistance that takes most, W. */
  readonly power_W: number;
}

/** Resistances that are tried for the most power: three a decade from a milliohm to a megohm. */
const TRIED = Array.from({ length: 28 }, (_, k) => 10 ** (k / 3 - 3));

/** Tries a load's terminals with one resistance after another, everything else standing as it stands. */
export function available(setting: Setting, load: number): Available {
  const { shunt, plus, minus } = setting.machine.loads[load]!;
  const { voltages } = setting.rest;
  const kept = voltages.slice();
  const at = shunt * WIDTH;
  const own = setting.numbers[at]!;
  let power_W = 0;
  let current_A = 0;
  for (const ohm of TRIED) {
    setting.numbers[at] = own + 1 / ohm;
    if (!setting.rest.solve()) continue;
    const v = voltages[plus]! - voltages[minus]!;
    power_W = Math.max(power_W, v ** 2 / ohm);
    current_A = Math.max(current_A, Math.abs(v) / ohm);
  }
  setting.numbers[at] = own;
  voltages.set(kept);
  return { current_A, power_W };
}
