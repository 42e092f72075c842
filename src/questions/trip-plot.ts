import { fuseBand, currentAt, delayAt } from './guard-chance.ts';
import { quantityOf, type Guard } from './connecting.ts';
import type { Curve, Evidence } from './answer.ts';
import { longestAbove, type CurrentCurve } from './pulse-shape.ts';
import type { Study } from './study.ts';
import { called } from './words.ts';
import { quantile } from '../quantity/quantity.ts';

/** Levels of a pulse that are drawn. */
const LEVELS = 60;
/** Currents of a trip curve that are drawn for each decade. */
const SHORTEST_S = 1e-6;
const LONGEST_S = 1000;

/** How long a pulse stands above each current, against the trip curve with the ends of its spread, both axes logarithmic. */
export function tripPlot(base: Study, guard: Guard, pulses: readonly { readonly name: string; readonly curve: CurrentCurve }[]): Evidence[] {
  const drawn = pulses.map(({ name, curve }) => ({ name, ...durations(curve) })).filter(({ x }) => x.length > 1);
  if (drawn.length === 0) return [];
  const top_A = Math.max(...drawn.flatMap(({ y }) => y));
  const trips = guard.kind === 'fuse' ? fuseCurves(base, guard, top_A) : protectionCurves(base, guard, top_A);
  return [
    {
      type: 'plot',
      title: `How long the current stands above each level, against the trip curve: ${called(base.circuit, guard.part)}`,
      x: { name: 'time above it', unit: 's', log: true },
      y: { name: 'current', unit: 'A', log: true },
      curves: [...drawn, ...trips],
      thresholds: [],
      marks: [],
    },
  ];
}

function durations(curve: CurrentCurve): { readonly x: number[]; readonly y: number[] } {
  const peak_A = Math.max(0, ...curve.current_A);
  const levels = Array.from({ length: LEVELS }, (_, k) => peak_A * 10 ** (-2 * (1 - (k + 0.5) / LEVELS)));
  const kept = levels.map((level) => ({ level, time_s: longestAbove(curve, level) })).filter(({ time_s }) => time_s >= SHORTEST_S).reverse();
  return { x: kept.map(({ time_s }) => time_s), y: kept.map(({ level }) => level) };
}

function protectionCurves({ circuit }: Study, guard: Guard, top_A: number): Curve[] {
  const rated = quantityOf(circuit, guard);
  const steps = (name: string, share: number, dashed: boolean): Curve => {
    const [short_A, over_A] = [currentAt(rated('shortCurrent'), share), currentAt(rated('overCurrent'), share)];
    const [short_s, over_s] = [delayAt(rated('shortDelay'), share), delayAt(rated('overDelay'), share)];
    return { name, dashed, x: [short_s, short_s, over_s, over_s, 10 * over_s], y: [2 * Math.max(top_A, short_A), short_A, short_A, over_A, over_A] };
  };
  return [steps('trips', 0.5, false), steps('at the earliest', 0.05, true), steps('at the latest', 0.95, true)];
}

/** Melting let-through for short pulses, the gates of the class for seconds. */
function fuseCurves({ circuit }: Study, guard: Guard, top_A: number): Curve[] {
  const rated = quantityOf(circuit, guard);
  const part = circuit.machine.parts.get(guard.part);
  const named = part?.kind === 'fuse' ? part.values.class : undefined;
  const rating_A = rated('rating').value;
  const most_A = Math.max(20 * rating_A, 2 * top_A);
  const currents = Array.from({ length: LEVELS }, (_, k) => rating_A * (most_A / rating_A) ** (1 - k / (LEVELS - 1)));
  const edge = (name: string, share: number, dashed: boolean, gate: (current_A: number) => number): Curve => {
    const points = currents
      .map((current_A) => ({ current_A, time_s: Math.max(quantile(rated('melting'), share) / current_A ** 2, gate(current_A)) }))
      .filter(({ time_s }) => time_s >= SHORTEST_S && time_s <= LONGEST_S);
    return { name, dashed, x: points.map(({ time_s }) => time_s), y: points.map(({ current_A }) => current_A) };
  };
  // Beyond the last gate only the melting let-through counts.
  const gateOf = (end: 'earliest_s' | 'latest_s') => (current_A: number): number => (current_A > LAST_GATE * rating_A ? 0 : fuseBand(current_A / rating_A, named)[end]);
  return [edge('melts at the earliest', 0.05, true, gateOf('earliest_s')), edge('at the latest', 0.95, true, gateOf('latest_s'))];
}

/** The last gate of every class that has one so high lies at six times the rating; one ends at five. */
const LAST_GATE = 6;
