import type { QuestionId } from '../../questions/catalogue.ts';

/** Two workers share the questions: what rests on the power-up, and what rests on the match or on the wiring alone. */
export type Lane = 'power-up' | 'match';
export const LANES: readonly Lane[] = ['power-up', 'match'];

const OF_THE_POWER_UP: ReadonlySet<string> = new Set<QuestionId>(['spark', 'hold', 'stall', 'soft-start', 'trip', 'parallel', 'isolation', 'discharge', 'wear']);

/** @param id  of a question */
export function laneOf(id: string): Lane {
  return OF_THE_POWER_UP.has(id) ? 'power-up' : 'match';
}
