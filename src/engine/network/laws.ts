import { STANDBY_RAMP_V } from '../devices/load.ts';
import { omega } from '../omega.ts';
import type { ElementKind } from './network.ts';

/** Below this voltage a load's current no longer rises as its voltage falls, V; smoothed over 0.1 V. */
const FLOOR_V = 1;
const FLOOR_WIDTH_V = 0.1;
const LAMP_KNEE_V = 0.2;
const SUPPLY_OHM = 0.02;
const SUPPLY_SOFTNESS_A = 0.02;
/** Width over which a regulator begins to conduct, V. */
const REGULATOR_KNEE_V = 0.02;

/** Numbers of the kinds, for tables. */
export const CODES = { conductance: 0, source: 1, diode: 2, standby: 3, lamp: 4, power: 5, limited: 6, regulator: 7 } as const satisfies Record<ElementKind, number>;

/**
 * Current of an element and its slopes into `out`: current, its slope with the voltage across, and, for a regulator, that
 * with the output over the negative. The laws are those of the devices in a run: see devices/diode.ts, load.ts, source.ts.
 * @param blur  how many times as wide as it is a threshold is taken
 */
export function law(code: number, p: Float64Array, at: number, v: number, output_V: number, out: Float64Array, blur = 1): void {
  out[2] = 0;
  if (code !== 0 && code !== 1 && p[at] === 0) {
    out[0] = 0;
    out[1] = 0;
    return;
  }
  switch (code) {
    case 0:
      out[0] = p[at]! * v;
      out[1] = p[at]!;
      return;
    case 1:
      out[0] = p[at]! * (v + p[at + 1]!);
      out[1] = p[at]!;
      return;
    case 2: {
      const saturation = p[at + 1]!;
      const slope = p[at + 2]!;
      const series = p[at + 3]!;
      const w = omega((v + saturation * series) / slope + p[at + 4]!);
      out[0] = (slope / series) * w - saturation;
      out[1] = w / (series * (1 + w));
      return;
    }
    case 3: {
      const ramp_V = STANDBY_RAMP_V * blur;
      const t = Math.tanh((v - p[at + 2]!) / ramp_V);
      out[0] = p[at + 1]! * 0.5 * (1 + t);
      out[1] = (p[at + 1]! * 0.5 * (1 - t * t)) / ramp_V;
      return;
    }
    case 4: {
      const x = v - p[at + 2]!;
      const root = Math.sqrt(x * x + LAMP_KNEE_V * LAMP_KNEE_V);
      const dark = -p[at + 2]! + Math.sqrt(p[at + 2]! ** 2 + LAMP_KNEE_V * LAMP_KNEE_V);
      out[0] = (0.5 * (x + root) - 0.5 * dark) / p[at + 1]!;
      out[1] = (0.5 * (1 + x / root)) / p[at + 1]!;
      return;
    }
    case 5: {
      const x = v - FLOOR_V;
      const root = Math.sqrt(x * x + FLOOR_WIDTH_V * FLOOR_WIDTH_V);
      const bounded = FLOOR_V + 0.5 * (x + root);
      out[0] = p[at + 1]! / bounded;
      out[1] = (-p[at + 1]! * 0.5 * (1 + x / root)) / (bounded * bounded);
      return;
    }
    case 6: {
      // Out of the first node: the current from a to b is below zero.
      const wanted = (p[at + 1]! - v) / SUPPLY_OHM;
      const s2 = SUPPLY_SOFTNESS_A * SUPPLY_SOFTNESS_A;
      const r1 = Math.sqrt(wanted * wanted + s2);
      const forward = 0.5 * (wanted + r1);
      const over = forward - p[at + 2]!;
      const r2 = Math.sqrt(over * over + s2);
      out[0] = -(forward - 0.5 * (over + r2));
      out[1] = (0.5 * (1 + wanted / r1) * (1 - 0.5 * (1 + over / r2))) / SUPPLY_OHM;
      return;
    }
    case 7: {
      // The pass element gives what brings the output to its voltage, as far as input less drop-out reaches, and nothing backwards.
      const short = p[at + 1]! - output_V;
      const room = v - p[at + 2]!;
      const held = short < room;
      const least = held ? short : room;
      const knee = REGULATOR_KNEE_V * blur;
      const drive = least <= 0 ? 0 : least < knee ? (least * least) / (2 * knee) : least - knee / 2;
      const slope = (least <= 0 ? 0 : least < knee ? least / knee : 1) / p[at + 3]!;
      out[0] = drive / p[at + 3]!;
      out[1] = held ? 0 : slope;
      out[2] = held ? -slope : 0;
      return;
    }
    default:
      throw new Error(`no law ${code}`);
  }
}
