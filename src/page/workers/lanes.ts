import type { QuestionId } from '../../questions/catalogue.ts';

/** Two workers share the questions: what rests on the power-up, and what rests on the match or on the wiring alone. */
export type Lane = 'power-up' | 'match';
export const LANES: readonly Lane[] = ['power-up', 'match'];

const OF_THE_POWER_UP: ReadonlySet<QuestionId> = new Set(['spark', 'hold', 'stall', 'soft-start', 'trip', 'parallel', 'isolation', 'discharge', 'wear']);

export function laneOf(id: QuestionId): Lane {
  return OF_THE_POWER_UP.has(id) ? 'power-up' : 'match';
}
