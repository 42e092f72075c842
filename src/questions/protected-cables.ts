import { SPOILT_C } from '../physics/cable-limit.ts';
import { FUSE_RATINGS_A } from '../physics/fuse-ratings.ts';
import type { FuseClass } from '../physics/fuses.ts';
import { jouleTime_s } from '../physics/joule.ts';
import { exact } from '../quantity/quantity.ts';
import { openingTime, type GuardPart } from './guard-times.ts';
import { clearShort, guardsIn, lumpOf, type Clearing } from './states/clearing.ts';
import type { Cable, FaultCurrents } from './states/fault-currents.ts';

/** A fault that a cable is looked at in. */
export interface Fault {
  readonly kind: 'dead short' | 'overload';
  readonly current_A: number;
  /** When it is over, by the earliest and by the latest that guards may open, s. */
  readonly earliest_s: number;
  readonly latest_s: number;
  readonly spoilt_s: number;
  /** Guards that end it; none where nothing does. */
  readonly guards: readonly string[];
}

export interface ProtectedCable {
  readonly cable: Cable;
  readonly short: Fault;
  /** Twice the rating of the guard that ends the short; undefined where nothing does. */
  readonly overload: Fault | undefined;
}

/** An overload is twice the guard's rating: the second gate of every class of fuse. */
export const OVERLOAD = 2;

/** Every lead of the packs' side in a dead short at its far end and in an overload. */
export function protectedCables(faults: FaultCurrents): ProtectedCable[] {
  return faults.cables.flatMap((cable): ProtectedCable[] => {
    // A place whose negative is wired nowhere cannot be shorted: what lies behind it can.
    const drives = cable.farEnd !== undefined && Math.abs(faults.short(cable.farEnd)?.[cable.strand] ?? 0) > 1;
    const point = drives ? cable.farEnd : worstPoint(faults, cable);
    const late = point === undefined ? undefined : clearShort(faults, cable, point, 'latest_s');
    const early = point === undefined ? undefined : clearShort(faults, cable, point, 'earliest_s');
    if (point === undefined || late === undefined || early === undefined || !(late.current_A > 1)) return [];
    const short: Fault = { kind: 'dead short', current_A: late.current_A, earliest_s: early.cleared_s, latest_s: late.cleared_s, spoilt_s: late.spoilt_s, guards: endedBy(faults, cable, late) };
    return [{ cable, short, overload: overloadOf(faults, cable, point) }];
  });
}

/** The guard in the lead's own strand where that has opened, otherwise those that opened last. */
function endedBy({ network }: FaultCurrents, cable: Cable, { cleared_s, opens }: Clearing): readonly string[] {
  if (cleared_s === Infinity) return [];
  const own = opens.filter(({ part }) => network.strands[cable.strand]!.strand.parts.includes(part));
  return (own.length > 0 ? own : opens.filter(({ at_s }) => at_s === opens.at(-1)!.at_s)).map(({ part }) => part);
}

/** Where a short drives the most through a lead that has no far end of its own that can be shorted. */
function worstPoint(faults: FaultCurrents, { strand }: Cable): string | undefined {
  const through = (point: string): number => Math.abs(faults.short(point)?.[strand] ?? 0);
  return [...faults.points].map((point) => ({ point, amps: through(point) })).sort((a, b) => b.amps - a.amps)[0]?.point;
}

/**
 * The currents of the short, scaled down until the smallest guard on the way carries twice its rating. Guards on the one way
 * end it when the first of them opens; where packs stand side by side it takes all of them.
 */
function overloadOf(faults: FaultCurrents, cable: Cable, point: string): Fault | undefined {
  const currents = faults.short(point);
  if (currents === undefined) return undefined;
  const amps = Math.abs(currents[cable.strand]!);
  const all = guardsIn(faults, currents);
  const single = all.filter(({ strand }) => !(Math.abs(faults.short(point, new Set([strand]))?.[cable.strand] ?? 0) > 0.01 * amps));
  const guards = single.length > 0 ? single : all;
  if (guards.length === 0) return undefined;
  const scale = Math.min(1, ...guards.map(({ guard, current_A }) => (OVERLOAD * guard.values.rating.value) / current_A));
  // In one strand the first to open ends its current.
  const strands = [...new Set(guards.map(({ strand }) => strand))].map((strand) => {
    const times = guards.filter((one) => one.strand === strand).map(({ guard, current_A }) => ({ part: guard.id, ...openingTime(guard, scale * current_A) }));
    const last = times.reduce((a, b) => (b.latest_s < a.latest_s ? b : a));
    return { ...last, earliest_s: Math.min(...times.map((one) => one.earliest_s)) };
  });
  const ends = single.length > 0 ? Math.min : Math.max;
  const latest_s = ends(...strands.map((one) => one.latest_s));
  const { lump, start_C } = lumpOf(faults, cable);
  return {
    kind: 'overload',
    current_A: scale * amps,
    earliest_s: ends(...strands.map((one) => one.earliest_s)),
    latest_s,
    spoilt_s: jouleTime_s(lump, start_C, SPOILT_C, scale * amps),
    guards: latest_s === Infinity ? [] : strands.filter((one) => one.latest_s === latest_s).map((one) => one.part),
  };
}

/** How far a fault comes towards spoiling the cable: above 1 it is spoilt before the guard has surely opened. */
export function strain({ latest_s, spoilt_s }: Fault): number {
  return spoilt_s === Infinity ? 0 : latest_s / spoilt_s;
}

/**
 * The largest fuse that would protect a lead on its own, A: in its dead short and at every current from twice the rating
 * that the gates of its class know; undefined where none of the usual ones does.
 */
export function largestProtecting_A(faults: FaultCurrents, cable: Cable, short_A: number, named: FuseClass | undefined): number | undefined {
  const { lump, start_C } = lumpOf(faults, cable);
  const protects = (rating_A: number): boolean => {
    const fuse = { kind: 'fuse', id: '', about: undefined, line: 0, values: { rating: exact('current', rating_A), class: named } } as unknown as GuardPart;
    return [short_A, Math.min(short_A, OVERLOAD * rating_A)].every((amps) => openingTime(fuse, amps).latest_s <= jouleTime_s(lump, start_C, SPOILT_C, amps));
  };
  return [...FUSE_RATINGS_A].reverse().find(protects);
}
