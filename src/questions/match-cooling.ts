import type { HeatRecord } from '../machine/match/record.ts';

// Between matches a part is one lump that falls towards the temperature at which it started, e^(−t·G/C). A match that
// repeats adds its own rise to what is left of the last one, which is exact as long as losses are proportional to the rise.
// A winding is taken with the heat of its housing: that cools more slowly than it really does.

/** A bracket of one day. Common practice, no source. */
export const DAY = { matches: 5, pause_s: 45 * 60 } as const;
/** The shortest pause that events leave. Common practice, no source. */
export const SHORT_PAUSE_S = 20 * 60;

type Cooling = Pick<HeatRecord, 'atStart_C' | 'atEnd_C' | 'hottest' | 'capacity_J_K' | 'conductance_W_K'>;

/** How fast it cools, 1/s; 0 for a part that loses no heat. */
function rate_per_s({ capacity_J_K, conductance_W_K }: Cooling): number {
  return capacity_J_K > 0 && conductance_W_K > 0 ? conductance_W_K / capacity_J_K : 0;
}

/** Temperature above its start that is left after a rest, K: ΔT·e^(−t·G/C). */
export function restExcess_K(heat: Cooling, rest_s: number): number {
  return (heat.atEnd_C - heat.atStart_C) * Math.exp(-rest_s * rate_per_s(heat));
}

/**
 * Hottest moment of each of several matches in a row, °C.
 * @param pause_s   from the end of one to the start of the next
 * @param length_s  of a match
 */
export function hottestInRow(heat: Cooling, matches: number, pause_s: number, length_s: number): number[] {
  const rate = rate_per_s(heat);
  let excess_K = 0;
  return Array.from({ length: matches }, () => {
    const hottest = heat.hottest.value + Math.max(0, excess_K) * Math.exp(-heat.hottest.time_s * rate);
    excess_K = (heat.atEnd_C - heat.atStart_C + excess_K * Math.exp(-length_s * rate)) * Math.exp(-pause_s * rate);
    return hottest;
  });
}

/** Rest after which one more match keeps it below a temperature, s; undefined where not even a cold start does. */
export function restNeeded_s(heat: Cooling, limit_C: number): number | undefined {
  const room_K = limit_C - heat.hottest.value;
  if (!(room_K > 0)) return undefined;
  const rate = rate_per_s(heat);
  const left_K = (heat.atEnd_C - heat.atStart_C) * Math.exp(-heat.hottest.time_s * rate);
  if (left_K <= room_K) return 0;
  return rate > 0 ? Math.log(left_K / room_K) / rate : undefined;
}
