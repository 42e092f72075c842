import { WIDTH } from '../../engine/network/network.ts';
import { ASLEEP, type Setting } from '../../machine/network/situation.ts';

/** What a load is in a situation, from harmless to not. */
export const CLASSES = ['dead', 'leaking', 'awake', 'can move'] as const;
export type LoadClass = (typeof CLASSES)[number];

/** Below both of these a load is dead. */
export const DEAD_V = 1;
export const DEAD_A = 1e-3;
/** How long a controller must be able to push for its load to break away, s. Common practice, no source. */
export const BREAKAWAY_S = 0.02;
/** Voltage up to which the slope of a diode is a guide to its current, V. */
const SMALL_V = 0.1;
/** Resistance of the ammeter that tries what a nearly dead load could draw, Ω. */
export const AMMETER_OHM = 1e-3;

/**
 * Classes of all loads of a setting that has come to rest, as indices into {@link CLASSES}.
 * @param reached  1 for each node that something can feed
 */
export function classify(setting: Setting, reached: Uint8Array, classes: Uint8Array): void {
  const { loads } = setting.machine;
  // First what needs no further solution, with the factors of the state of rest still at hand.
  for (let k = 0; k < classes.length; k++) {
    const { plus, minus, logic = plus } = loads[k]!;
    const fed = (reached[plus] === 1 || reached[logic] === 1) && reached[minus] === 1;
    classes[k] = fed || setting.fedOnTheBench(k) ? atSight(setting, k) : DEAD;
  }
  for (let k = 0; k < classes.length; k++) {
    if (classes[k] === UNCLEAR_DEAD) classes[k] = Math.abs(shortCurrent(setting, k)) >= DEAD_A ? LEAKING : DEAD;
    else if (classes[k] === AWAKE && loads[k]!.motor !== undefined && canMove(setting, k)) classes[k] = CAN_MOVE;
  }
}

const DEAD = 0;
const LEAKING = 1;
const AWAKE = 2;
const CAN_MOVE = 3;
const UNCLEAR_DEAD = 4;

function atSight(setting: Setting, k: number): number {
  const load = setting.machine.loads[k]!;
  const v = setting.across(load);
  const wakes = load.starting === undefined ? setting.atLogic(load) >= setting.start_V[k]! && setting.dead[k] === 0 && setting.enabled(k) : setting.came[k] !== ASLEEP;
  const awake = wakes || (setting.fedOnTheBench(k) && setting.dead[k] === 0);
  if (awake) return AWAKE;
  if (Math.abs(v) >= DEAD_V) return LEAKING;
  // A diode on the way conducts more than its slope here promises, but below a tenth of a volt not a hundred times more.
  if (Math.abs(v) < SMALL_V && Math.abs(v) < 0.01 * DEAD_A * setting.rest.resistanceBetween(load.plus, load.minus)) return DEAD;
  return UNCLEAR_DEAD;
}

/** Current through an ammeter across a load's terminals, A. */
export function shortCurrent(setting: Setting, k: number): number {
  const load = setting.machine.loads[k]!;
  return tried(setting, () => {
    setting.numbers[load.shunt * WIDTH]! += 1 / AMMETER_OHM;
    const found = setting.rest.solve();
    setting.numbers[load.shunt * WIDTH]! -= 1 / AMMETER_OHM;
    return found ? setting.across(load) / AMMETER_OHM : 0;
  });
}

/**
 * Whether a controller that is awake could break its load away: by what its bank holds above its stop voltage, or by what
 * its supply can give. A controller is a step-down converter: power is what counts, not the current at its input.
 */
function canMove(setting: Setting, k: number): boolean {
  const load = setting.machine.loads[k]!;
  const v = setting.across(load);
  if (setting.still[k] === 1) return false;
  // Its logic may be fed from elsewhere while its motor side is dead.
  if (v < setting.stop_V[k]!) return false;
  if (burst_J(setting, k, v) >= breakawayPower_W(setting, k) * BREAKAWAY_S) return true;
  return tried(setting, () => {
    setting.numbers[load.trial! * WIDTH] = 1;
    const found = setting.rest.solve({ plus: load.plus, minus: load.minus, least_V: setting.stop_V[k]! });
    setting.numbers[load.trial! * WIDTH] = 0;
    return found;
  });
}

/** Energy that a load's bank gives before its logic lets go, J. */
export function burst_J(setting: Setting, k: number, v: number): number {
  const { bank } = setting.machine.loads[k]!;
  // What never wakes has no stop voltage.
  if (bank === undefined || !Number.isFinite(setting.stop_V[k]!)) return 0;
  return Math.max(0, 0.5 * bank(setting.values) * (v ** 2 - setting.stop_V[k]! ** 2));
}

/** Electrical power that breaks a motor's load away from standstill, W: heat of its windings at that current. */
export function breakawayPower_W(setting: Setting, k: number): number {
  const { motor } = setting.machine.loads[k]!;
  return motor === undefined ? Infinity : motor.breakaway(setting.values) ** 2 * motor.resistance(setting.values);
}

/** Does something to a setting and puts its voltages back. */
function tried<T>(setting: Setting, what: () => T): T {
  const { voltages } = setting.rest;
  const kept = voltages.slice();
  const result = what();
  voltages.set(kept);
  return result;
}
