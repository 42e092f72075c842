import type { Dimension } from '../../quantity/quantity.ts';
import type { QuantityField } from '../field.ts';
import type { DutyProperty } from './duty.ts';

/** What each quantity of a duty's line must be. */
export const DUTY_FIELDS: Readonly<Record<DutyProperty, Omit<QuantityField, 'type'>>> = {
  at: { dimension: 'time', atLeast: 0, atMost: 3600, example: '30 s (20 to 40)', meaning: 'When it happens, from the start of the match.' },
  every: { dimension: 'time', above: 0.05, atMost: 3600, example: '8 s (5 to 15)', meaning: 'Time from one beginning to the next, when it happens again and again.' },
  from: { dimension: 'time', atLeast: 0, atMost: 3600, example: '20 s', meaning: 'Before this it does not happen (with `every`).' },
  until: { dimension: 'time', above: 0, atMost: 3600, example: '120 s', meaning: 'After this it does not begin again (with `every`).' },
  for: { dimension: 'time', above: 0, atMost: 3600, example: '2 s (1 to 4)', meaning: 'How long it lasts.' },
  throttle: { dimension: 'ratio', atLeast: 0, atMost: 1, example: '80 % (50 to 100)', meaning: 'How far the stick is pushed.' },
  takes: { dimension: 'ratio', atLeast: 0, atMost: 1, example: '40 % (10 to 80)', meaning: 'Share of the weapon\'s energy that a hit takes.' },
  against: { dimension: 'ratio', atLeast: 0, atMost: 10, example: '80 % (40 to 110)', meaning: 'Force of what is pushed, over the grip of the wheels.' },
  slope: { dimension: 'ratio', atLeast: 0, atMost: 1, example: '10 %', meaning: 'Rise of the ground over its length.' },
};

export function dimensionOf(property: DutyProperty): Dimension {
  return DUTY_FIELDS[property].dimension;
}
