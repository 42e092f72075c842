import { SPOILT_C } from '../physics/cable-limit.ts';
import { jouleTime_s } from '../physics/joule.ts';
import { formatSection } from '../quantity/format.ts';
import type { Curve, Evidence, Threshold } from './answer.ts';
import { openingTime, type GuardPart } from './guard-times.ts';
import { peak_A, type MatchLoads } from './match-loads.ts';
import { strain, type ProtectedCable } from './protected-cables.ts';
import { longestAbove } from './pulse-shape.ts';
import { lumpOf } from './states/clearing.ts';
import type { FaultCurrents } from './states/fault-currents.ts';
import type { Study } from './study.ts';
import { called, say } from './words.ts';

const POINTS = 80;
const SHORTEST_S = 1e-4;
const LONGEST_S = 1e4;
/** More limit curves than these nobody can tell apart. */
const MOST_CABLES = 3;

/**
 * One time-current picture a guard: its band, the limits of the leads that it protects, the current of a dead short, the
 * load. Both axes logarithmic.
 */
export function fusePlot(base: Study, faults: FaultCurrents, guards: readonly GuardPart[], cables: readonly ProtectedCable[], limits: Float64Array | undefined, match: MatchLoads | undefined): Evidence[] {
  const drawn: (GuardPart | undefined)[] = guards.length === 0 ? [undefined] : guards.filter(({ kind }) => kind === 'fuse' || guards.every((one) => one.kind !== 'fuse'));
  return drawn.flatMap((guard): Evidence[] => {
    const behind = cables.filter(({ short, overload }) => guard === undefined || short.guards.includes(guard.id) || (overload?.guards.includes(guard.id) ?? false));
    const most_A = Math.max(1, ...behind.map(({ short }) => short.current_A));
    const least_A = guard?.values.rating.value ?? most_A / 100;
    const currents = Array.from({ length: POINTS }, (_, k) => least_A * ((1.5 * Math.max(most_A, 8 * least_A)) / least_A) ** (k / (POINTS - 1)));
    const load_A = guard === undefined || limits === undefined ? undefined : faults.strandsOf(guard.id).reduce((sum, s) => sum + Math.abs(limits[s]!), 0);
    const curves = [
      ...(guard === undefined ? [] : [line(`${guard.id} at the earliest`, currents, (amps) => openingTime(guard, amps).earliest_s, true), line(`${guard.id} at the latest`, currents, (amps) => openingTime(guard, amps).latest_s, false)]),
      ...weakest(behind).map(({ cable }) => {
        const { lump, start_C } = lumpOf(faults, cable);
        return line(`${formatSection(cable.section_mm2 * 1e-6).replace(/ \(.*/, '')} ${cable.words} is spoilt`, currents, (amps) => jouleTime_s(lump, start_C, SPOILT_C, amps), false);
      }),
      ...(guard === undefined || match === undefined ? [] : loadCurve(guard, match)),
    ];
    const thresholds: Threshold[] = [
      { name: `dead short, ${say(most_A, 'current')}`, at: most_A, axis: 'y' },
      ...(load_A !== undefined && match === undefined && load_A > 0 ? [{ name: `load at the limits, ${say(load_A, 'current')}`, at: load_A, axis: 'y' as const }] : []),
    ];
    return [
      {
        type: 'plot',
        title: guard === undefined ? 'Time and current: what the leads bear' : `Time and current: ${called(base.circuit, guard.id)} and the leads behind it`,
        x: { name: 'time', unit: 's', log: true },
        y: { name: 'current', unit: 'A', log: true },
        curves: curves.filter(({ x }) => x.length > 1),
        thresholds,
        marks: [],
      },
    ];
  });
}

/** The leads that come nearest to being spoilt, one a section. */
function weakest(cables: readonly ProtectedCable[]): ProtectedCable[] {
  const worst = ({ short, overload }: ProtectedCable): number => Math.max(strain(short), overload === undefined ? 0 : strain(overload));
  const sorted = [...cables].sort((a, b) => worst(b) - worst(a) || a.short.spoilt_s - b.short.spoilt_s);
  return sorted.filter((one, k) => sorted.findIndex((other) => other.cable.section_mm2 === one.cable.section_mm2) === k).slice(0, MOST_CABLES);
}

function line(name: string, currents: readonly number[], time: (current_A: number) => number, dashed: boolean): Curve {
  const points = currents.map((current_A) => ({ current_A, time_s: time(current_A) })).filter(({ time_s }) => time_s >= SHORTEST_S && time_s <= LONGEST_S).reverse();
  return { name, dashed, x: points.map(({ time_s }) => time_s), y: points.map(({ current_A }) => current_A) };
}

/** How long the match keeps the current above each level. */
function loadCurve(guard: GuardPart, match: MatchLoads): Curve[] {
  const curve = match.currentThrough(guard.id);
  if (curve === undefined) return [];
  const absolute = { time_s: curve.time_s, current_A: curve.current_A.map(Math.abs) };
  const top = peak_A(curve);
  const levels = Array.from({ length: POINTS }, (_, k) => top * 10 ** (-2 * (1 - (k + 0.5) / POINTS)));
  const points = levels.map((level) => ({ level, time_s: longestAbove(absolute, level) })).filter(({ time_s }) => time_s >= SHORTEST_S).reverse();
  return [{ name: `load in the match ${match.name}`, x: points.map(({ time_s }) => time_s), y: points.map(({ level }) => level) }];
}
