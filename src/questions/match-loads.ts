import type { MatchRecord } from '../machine/match/record.ts';
import type { Fought } from './match-fought.ts';
import type { CurrentCurve } from './pulse-shape.ts';

/** What a match asks of the machine, where one has been played: without it the controllers' stated limits count. */
export interface MatchLoads {
  /** `gentle`, with its seed. */
  readonly name: string;
  /** Current through a part over the match; undefined for a part that it says nothing of. */
  currentThrough(part: string): CurrentCurve | undefined;
}

/** The largest current of a curve, with its direction kept out, A. */
export function peak_A({ current_A }: CurrentCurve): number {
  return current_A.reduce((most, one) => Math.max(most, Math.abs(one)), 0);
}

/** The loads of the match that is shown, for questions that otherwise take the controllers' limits. */
export function loadsOf(fought: Fought): MatchLoads | undefined {
  if (fought.status !== 'fought' || fought.fight.match.needs.length > 0) return undefined;
  const { match, record } = fought.fight;
  const { curves } = record;
  // What blew or tripped took its load away: such a match says nothing of what a part that holds would carry.
  const cutOff = record.fuses.some(({ blows_s }) => blows_s !== undefined) || record.protections.some(({ trips_s }) => trips_s !== undefined);
  if (curves === undefined || cutOff) return undefined;
  return {
    name: dutyName(record),
    currentThrough(part) {
      const key = match.fuses.find((one) => one.part === part)?.current.key ?? match.protections.find((one) => one.part === part)?.current.key
        ?? match.packs.find((one) => one.part === part)?.current.key ?? match.lumps.find((one) => one.where === part && one.sort !== 'winding')?.carries;
      const column = curves.columns.find((one) => one.name === `${key} current`);
      if (key === undefined || column === undefined) return undefined;
      const peak = record.fuses.find((one) => one.part === part)?.peak.value ?? record.heats.find((one) => one.where === part)?.peak_A ?? 0;
      return raised({ time_s: curves.time_s, current_A: column.values }, Math.abs(peak));
    },
  };
}

/** Thinned curves may have lost the very peak of a branch: their largest point is set to it. */
function raised(curve: CurrentCurve, peak_A: number): CurrentCurve {
  const at = curve.current_A.reduce((most, one, k) => (Math.abs(one) > Math.abs(curve.current_A[most]!) ? k : most), 0);
  if (!(Math.abs(curve.current_A[at] ?? Infinity) < peak_A)) return curve;
  return { ...curve, current_A: curve.current_A.map((one, k) => (k === at ? Math.sign(one || 1) * peak_A : one)) };
}

/** `own, seed 1`. */
export function dutyName({ duty, seed }: MatchRecord): string {
  return `${duty === 'own' ? "of the file's own duty" : `of the duty ${duty}`}, seed ${seed}`;
}
