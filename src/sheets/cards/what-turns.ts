import type { Machine } from '../../machine/machine.ts';
import type { Part } from '../../machine/parts.ts';
import { capital } from '../report/words.ts';

/** A machine's motors as a card calls what they move. */
export interface WhatTurns {
  /** Names of what is locked, `crusher`; empty where all motors turn wheels. */
  readonly locked: readonly string[];
  readonly wheels: boolean;
}

/** What a crew must keep from turning: wheels, and what every other motor moves. */
export function whatTurns(machine: Machine): WhatTurns {
  const motors = [...machine.parts.values()].filter((part) => part.kind === 'motor');
  const onWheels = motors.filter(({ about, values }) => values.wheelDiameter !== undefined || /\b(wheels?|tracks?|drive|traction)\b/i.test(`${about ?? ''} ${values.drives ?? ''}`));
  const others = motors.filter((motor) => !onWheels.includes(motor)).map(nameOf);
  return { locked: [...new Set(others)], wheels: onWheels.length > 0 };
}

/** `Crusher locked, wheels off the ground`. */
export function lockedWords(machine: Machine): string {
  const { locked, wheels } = whatTurns(machine);
  const words = [...(locked.length === 0 ? [] : [`${locked.join(' and ')} locked`]), ...(wheels ? ['wheels off the ground'] : [])];
  const whole = words.length === 0 ? 'what can turn is locked' : words.join(', ');
  return capital(whole);
}

/** `crusher motor` moves the crusher; without such words it is the motor itself. */
function nameOf({ id, about }: Part): string {
  const words = about?.split(/[,;:(]/)[0]?.trim().replace(/\s*\bmotor\b.*$/i, '') ?? '';
  return words === '' || words.length > 24 ? `what ${id} moves` : words;
}
