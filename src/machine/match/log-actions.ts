import { heldInputs } from '../../engine/held-inputs.ts';
import type { ScheduledAction } from '../../engine/simulate.ts';
import type { DutyLog } from '../duty/log.ts';
import type { MatchModel } from './model.ts';

/** Ids that a log may have columns for. */
export function driven(match: MatchModel): string[] {
  return match.units.flatMap((unit) => [unit.controller, ...unit.motors]);
}

/**
 * Plays a log: a throttle as it was; a motor current as the limit of it at full throttle in its direction, which the
 * machine reaches where its voltage lets it. Motors without a column stand still.
 */
export function logActions(match: MatchModel, log: DutyLog): ScheduledAction[] {
  const columns = log.columns.flatMap(({ part, what, values }) => {
    const unit = match.units.find(({ controller, motors }) => controller === part || motors.includes(part));
    if (unit === undefined) return [];
    if (what === 'throttle') return [{ parameter: unit.drive.throttle, values }];
    // A motor beside another carries its share of what the controller lets through.
    const share = unit.motors.includes(part) ? unit.motors.length : 1;
    return [
      { parameter: unit.drive.throttle, values: values.map(Math.sign) },
      { parameter: unit.drive.motorLimit, values: values.map((ampere) => Math.max(LEAST_A, share * Math.abs(ampere))) },
    ];
  });
  return columns.length === 0 ? [] : [heldInputs({ time_s: log.time_s, columns, kind: 'log' })];
}

const LEAST_A = 1e-3;
