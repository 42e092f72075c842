import type { Part } from '../machine/parts.ts';
import { FUSE_GATES, type FuseClass, type OperatingTime } from '../physics/fuses.ts';
import { quantile } from '../quantity/quantity.ts';
import { currentAt, delayAt, fuseBand } from './guard-chance.ts';

export type GuardPart = Extract<Part, { kind: 'fuse' | 'protection' }>;

/** Parts of a machine that open a circuit by themselves. */
export function isGuard(part: Part | undefined): part is GuardPart {
  return part?.kind === 'fuse' || part?.kind === 'protection';
}

/** The edges of a spread that a guard is looked at with. */
const EARLY = 0.05;
const LATE = 0.95;
/** Every class's gates end at six times the rating, one at five: from there on the element keeps all its heat. */
const LAST_GATE = 6;
/** Until the arc in a fuse is out about as much flows again as melted it. Common practice, no source. */
const WITH_ARC = 2;

/**
 * When a guard opens at a steady current from cold: the band of a fuse's class (of all classes where none is stated),
 * beyond its last gate by its melting let-through where the file states that; the comparators of a protection with their
 * spread. Infinity where it may stay closed.
 */
export function openingTime(guard: GuardPart, current_A: number): OperatingTime {
  return guard.kind === 'fuse' ? fuseTime(guard, current_A) : protectionTime(guard, current_A);
}

function fuseTime({ values }: Extract<GuardPart, { kind: 'fuse' }>, current_A: number): OperatingTime {
  const multiple = current_A / values.rating.value;
  const { melting } = values;
  if (multiple >= LAST_GATE && melting !== undefined && melting.origin !== 'class default')
    return { earliest_s: quantile(melting, EARLY) / current_A ** 2, latest_s: (WITH_ARC * quantile(melting, LATE)) / current_A ** 2 };
  return fuseBand(multiple, values.class);
}

function protectionTime({ values }: Extract<GuardPart, { kind: 'protection' }>, current_A: number): OperatingTime {
  const steps = [
    { current: values.shortCurrent, delay: values.shortDelay },
    { current: values.overCurrent, delay: values.overDelay },
  ];
  const at = (current: number, delay: number): number =>
    steps.reduce((soonest, step) => (step.current === undefined || step.delay === undefined || current_A < currentAt(step.current, current) ? soonest : Math.min(soonest, delayAt(step.delay, delay))), Infinity);
  return { earliest_s: at(EARLY, EARLY), latest_s: at(LATE, LATE) };
}

/** Largest current that a guard surely carries for a time, A. */
export function carries_A(guard: GuardPart, time_s: number): number {
  if (guard.kind === 'protection') return guard.values.overCurrent === undefined ? guard.values.rating.value : currentAt(guard.values.overCurrent, EARLY);
  const rating_A = guard.values.rating.value;
  let low = 0.5;
  let high = 20;
  for (let pass = 0; pass < 50; pass++) {
    const middle = (low + high) / 2;
    if (fuseBand(middle, guard.values.class).earliest_s > time_s) low = middle;
    else high = middle;
  }
  return low * rating_A;
}

/** Classes that a fuse may be of. */
export function classesOf({ values }: Extract<GuardPart, { kind: 'fuse' }>): readonly FuseClass[] {
  return values.class === undefined ? (Object.keys(FUSE_GATES) as FuseClass[]) : [values.class];
}
