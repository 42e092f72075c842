import type { RunControl } from '../../engine/automaton.ts';
import { free, jam, strike } from '../../engine/devices/motor.ts';
import type { ScheduledAction } from '../../engine/simulate.ts';
import { ROLES, type Role } from '../duty/duty.ts';
import type { Occurrence } from '../duty/draw.ts';
import type { DriveUnit } from './drives.ts';
import type { MatchModel } from './model.ts';

/** A match's occurrences as timed actions, and what is asked at a moment. */
export interface MatchScript {
  readonly actions: readonly ScheduledAction[];
  /** In words: `push with M1, M2`. */
  readonly during: (time_s: number) => readonly string[];
}

/** Force that turning on the spot takes, over the grip of the wheels. Common practice, no source. */
const TURNING = 0.5;
/** A wall resists with more than any grip. */
const WALL = 3;
/** A hit is blamed for what follows within this, s. */
const AFTER_HIT_S = 2;

/**
 * Makes the actions of one match. What a motor does last counts: a new occurrence ends the one before on the same motor.
 * @param values      of the machine
 * @param parameters  of the model for these values, as at the start
 */
export function matchScript(match: MatchModel, occurrences: readonly Occurrence[], values: Float64Array, parameters: Float64Array): MatchScript {
  // Lifters hold what they carry until they are asked to move.
  const actions: ScheduledAction[] = [{ time: 0, action: (run) => { for (const unit of match.units) if (unit.role === 'lifters') jam(run, unit.drive.motor); } }];
  const asked: Asked[] = [];
  for (const unit of match.units) actions.push(...timeline(unit, match, occurrences, values, parameters, asked));
  for (const one of occurrences) {
    const servos = one.act === 'servo' ? match.servos.filter((servo) => one.with.includes('servos') || one.with.includes(servo.part)) : [];
    for (const servo of servos) {
      const load = match.converters.find(({ part }) => part === servo.converter)!.handle.load;
      const extra = servo.extra(values);
      actions.push({ time: one.start_s, kind: 'servo', action: (run) => (run.parameters[load]! += extra) });
      actions.push({ time: one.end_s, kind: 'servo', action: (run) => (run.parameters[load]! -= extra) });
    }
    for (const servo of servos) asked.push({ from_s: one.start_s, until_s: one.end_s, act: one.act, who: [servo.part] });
  }
  return { actions, during: (time_s) => inWords(asked.filter(({ from_s, until_s }) => from_s <= time_s && time_s <= until_s)) };
}

/** What a part is asked to do over a span of time. */
interface Asked {
  readonly from_s: number;
  readonly until_s: number;
  readonly act: Occurrence['act'];
  readonly who: readonly string[];
}

/** `push with M1, M2`: what several parts do at once is said once. */
function inWords(asked: readonly Asked[]): string[] {
  return [...new Set(asked.map(({ act }) => act))].map((act) => `${act} with ${[...new Set(asked.filter((one) => one.act === act).flatMap(({ who }) => who))].join(', ')}`);
}

function unitsOf(match: MatchModel, one: Occurrence): DriveUnit[] {
  return match.units.filter((unit) => one.with.some((who) => (isRole(who) ? unit.role === who : unit.motors.includes(who))));
}

function isRole(word: string): word is Role {
  return (ROLES as readonly string[]).includes(word);
}

/** What one controller does, in order: each setting until the next one begins or its time is over. */
function timeline(unit: DriveUnit, match: MatchModel, occurrences: readonly Occurrence[], values: Float64Array, parameters: Float64Array, asked: Asked[]): ScheduledAction[] {
  const own = occurrences.filter((one) => one.act !== 'servo' && unitsOf(match, one).includes(unit));
  const lasting = own.filter((one) => one.act !== 'hit');
  const actions: ScheduledAction[] = own.filter((one) => one.act === 'hit').map((one) => ({ time: one.start_s, kind: 'hit', action: (run) => { strike(run, unit.drive.motor, one.takes); } }));
  for (const one of own) if (one.act === 'hit') asked.push({ from_s: one.start_s, until_s: one.start_s + AFTER_HIT_S, act: one.act, who: unit.motors });
  // A weapon that was spun up is spun up again after it was stalled or let go for a while.
  let kept: Occurrence | undefined;
  lasting.forEach((one, k) => {
    actions.push({ time: one.start_s, kind: one.act, action: (run) => { set(run, unit, one, match, values, parameters); } });
    if (one.end_s === Infinity) kept = one;
    const next = lasting[k + 1]?.start_s ?? Infinity;
    const after = kept;
    asked.push({ from_s: one.start_s, until_s: Math.min(one.end_s, next), act: one.act, who: unit.motors });
    if (one.end_s < next)
      actions.push({ time: one.end_s, kind: after === undefined ? 'let go' : after.act, action: (run) => {
        if (after === undefined) idle(run, unit, parameters);
        else set(run, unit, after, match, values, parameters);
      } });
  });
  return actions;
}

function set(run: RunControl, unit: DriveUnit, one: Occurrence, match: MatchModel, values: Float64Array, parameters: Float64Array): void {
  idle(run, unit, parameters);
  const p = run.parameters;
  const { drive, ground, wheel } = unit;
  if (unit.role === 'lifters') free(run, drive.motor);
  const sign = one.back || one.act === 'lower' || (one.act === 'turn' && isOtherSide(match, unit)) ? -1 : 1;
  if (one.act !== 'coast') p[drive.throttle] = sign * one.throttle;
  if (ground === undefined || wheel === undefined) {
    if (one.act === 'stall') jam(run, drive.motor);
    return;
  }
  const grips = unit.grip!(values) * unit.weight!(values);
  if (one.act === 'push') p[ground.opposing] = one.against * grips;
  if (one.act === 'stall') p[ground.opposing] = WALL * grips;
  if (one.act === 'turn') p[ground.opposing] = TURNING * grips;
  if (one.act === 'flip') p[wheel.load] = 0;
  if (one.act === 'climb' || one.act === 'descend') p[ground.slope] = (one.act === 'climb' ? 1 : -1) * unit.weight!(values) * Math.sin(Math.atan(one.slope));
}

/** Every second controller with wheels is on the other side. */
function isOtherSide(match: MatchModel, unit: DriveUnit): boolean {
  return match.units.filter(({ role }) => role === 'drive').indexOf(unit) % 2 === 1;
}

function idle(run: RunControl, unit: DriveUnit, parameters: Float64Array): void {
  const p = run.parameters;
  p[unit.drive.throttle] = 0;
  if (unit.role === 'lifters') jam(run, unit.drive.motor);
  else free(run, unit.drive.motor);
  if (unit.ground !== undefined) {
    p[unit.ground.opposing] = 0;
    p[unit.ground.slope] = 0;
  }
  if (unit.wheel !== undefined) p[unit.wheel.load] = parameters[unit.wheel.load]!;
}
