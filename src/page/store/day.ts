/** A part of a builder's day, with the questions that belong there. */
export interface DayPart {
  readonly name: string;
  readonly ids: readonly string[];
}

/** Stable ids of all questions, those of later versions too. */
export const DAY: readonly DayPart[] = [
  { name: 'Power up', ids: ['spark', 'hold', 'stall', 'soft-start', 'trip', 'parallel'] },
  { name: 'Isolate', ids: ['isolation', 'faults', 'opening', 'programming'] },
  { name: 'Fight', ids: ['radio', 'pack', 'heat', 'fuses', 'overvoltage', 'turnaround'] },
  { name: 'Touch and keep', ids: ['discharge', 'wear', 'inspection', 'mass', 'measure', 'diagnosis'] },
];

const PLACES: ReadonlyMap<string, number> = new Map(DAY.flatMap(({ ids }) => ids).map((id, k) => [id, k]));

/** Place of every question that no part of the day names. */
export const KNOWN = PLACES.size;

/** Order in which questions stand in the list. */
export function placeOf(id: string): number {
  return PLACES.get(id) ?? KNOWN;
}
