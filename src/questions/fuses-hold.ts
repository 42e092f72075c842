import { fuseElement } from '../physics/fuse-element.ts';
import { highestWarmth } from '../physics/fuse-warmth.ts';
import { FUSE_GATES } from '../physics/fuses.ts';
import type { Item } from './answer.ts';
import { guardRecord, guardsOf } from './connecting.ts';
import { allowedShare } from './guard-chance.ts';
import { carries_A, classesOf, openingTime, type GuardPart } from './guard-times.ts';
import { peak_A, type MatchLoads } from './match-loads.ts';
import { longestAbove, type CurrentCurve } from './pulse-shape.ts';
import type { FaultCurrents } from './states/fault-currents.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, figure, middleNinety, say, shareOf } from './words.ts';

/** The longest push with everything at its limit: events part machines that hold each other after ten seconds (C.R.O.W. match rules, 2026). */
const PUSH_S = 10;
/** Closer to melting than this share of the way is no margin: gates are not known better. Common practice, no source. */
const ROOM = 0.8;

/** Whether each guard carries its load: over a match where one has been played, otherwise the controllers' limits. */
export function holdItems(base: Study, faults: FaultCurrents, guards: readonly GuardPart[], limits: Float64Array | undefined, match: MatchLoads | undefined): Item[] {
  return guards.flatMap((guard): Item[] => {
    const curve = match?.currentThrough(guard.id);
    if (match !== undefined && curve !== undefined) return [matchItem(base, guard, match.name, curve)];
    if (limits === undefined) return [];
    return [limitItem(base, guard, faults.strandsOf(guard.id).reduce((sum, s) => sum + Math.abs(limits[s]!), 0))];
  });
}

function limitItem(base: Study, guard: GuardPart, load_A: number): Item {
  const match_s = base.machine.match.value;
  const limit = carries_A(guard, match_s);
  const { earliest_s, latest_s } = openingTime(guard, load_A);
  const good = load_A <= limit;
  return {
    where: `${called(base.circuit, guard.id)} in use`,
    verdict: good ? 'good' : latest_s <= PUSH_S ? 'bad' : 'marginal',
    measure: 'with every controller at its limit',
    figure: figure(load_A, 'A', 'current', []),
    limit,
    margin: limit - load_A,
    passes: undefined,
    parts: [guard.id],
    says: good
      ? `All controllers at their limits draw ${say(load_A, 'current')}, and it carries ${say(limit, 'current')} for the whole match.`
      : `All controllers at their limits draw ${say(load_A, 'current')}: it opens after ${say(earliest_s, 'time')} at the earliest, ${latest_s === Infinity ? 'perhaps never' : `${say(latest_s, 'time')} at the latest`}. How long they really do is the match's to say.`,
    slip: false,
  };
}

function matchItem(base: Study, guard: GuardPart, match: string, curve: CurrentCurve): Item {
  const shared = { where: `${called(base.circuit, guard.id)} in the match ${match}`, passes: undefined, parts: [guard.id], slip: false };
  if (guard.kind === 'protection') {
    const { overCurrent, overDelay } = guard.values;
    if (overCurrent === undefined || overDelay === undefined) throw new Error(`${guard.id}: a protection has its trips by default`);
    const above_s = longestAbove({ time_s: curve.time_s, current_A: curve.current_A.map(Math.abs) }, overCurrent.low);
    return {
      ...shared,
      verdict: above_s < overDelay.low ? 'good' : above_s < overDelay.high ? 'marginal' : 'bad',
      measure: `above ${say(overCurrent.low, 'current')}`,
      figure: figure(above_s, 's', 'time', []),
      limit: overDelay.low,
      margin: overDelay.low - above_s,
      says: `It peaks at ${say(peak_A(curve), 'current')} and stands above ${say(overCurrent.low, 'current')} for ${say(above_s, 'time')} at the longest; it opens after ${say(overDelay.low, 'time')} of that at the earliest.`,
    };
  }
  const elements = (reading: 'earliest' | 'latest'): number[] => classesOf(guard).map((one) => highestWarmth(fuseElement(guard.values.rating.value, FUSE_GATES[one], reading), curve.time_s, curve.current_A));
  const warmest = Math.max(...elements('earliest'));
  const coolest = Math.min(...elements('latest'));
  return {
    ...shared,
    verdict: warmest < ROOM ? 'good' : coolest < 1 ? 'marginal' : 'bad',
    measure: 'of the way to melting, at its worst',
    figure: figure(warmest, '1', 'ratio', [coolest]),
    limit: 1,
    margin: 1 - warmest,
    says: `Its element comes ${say(coolest, 'ratio')} to ${say(warmest, 'ratio')} of the way to melting, with ${say(peak_A(curve), 'current')} at the most.`,
  };
}

/** Whether each fuse bears the pulses in which the banks charge, as often as they come. */
export function inrushItems(base: Study, records: readonly SampleRecord[]): Item[] {
  const { circuit, nominal, softStarts, values } = base;
  const own = guardRecord(circuit, softStarts, nominal, values);
  return guardsOf(circuit).flatMap((guard, g): Item[] => {
    const part = circuit.machine.parts.get(guard.part);
    if (part?.kind !== 'fuse' || part.values.melting === undefined) return [];
    const pulses = (record: typeof own): number => Math.max(0, ...nominal.closings.map((_, k) => record.connections[k]![g]!.letThrough_A2s));
    if (nominal.closings.length === 0) return [];
    const samples = records.map((record) => pulses(record.guards));
    const limit = allowedShare('each power-up') * part.values.melting.value;
    const value = pulses(own);
    return [
      {
        where: `${called(circuit, guard.part)} when the banks charge`,
        verdict: value >= part.values.melting.value ? 'bad' : value > limit ? 'marginal' : 'good',
        measure: 'let-through of the hardest pulse',
        figure: figure(value, 'A²s', 'let-through', middleNinety(samples)),
        limit,
        margin: limit - value,
        passes: shareOf(samples, (one) => one <= limit),
        parts: [guard.part],
        says: `The hardest pulse of a power-up lets ${value < 0.1 ? 'next to nothing' : say(value, 'let-through')} through; it may use ${say(limit, 'let-through')} a thousand times.`,
        slip: false,
      },
    ];
  });
}
