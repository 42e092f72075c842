import { cableLump, SHORT_START_C, SPOILT_C } from '../../physics/cable-limit.ts';
import { jouleTemperature_C, jouleTime_s, type HeatedLump } from '../../physics/joule.ts';
import { isGuard, openingTime, type GuardPart } from '../guard-times.ts';
import type { Cable, FaultCurrents } from './fault-currents.ts';

/** What becomes of a cable in a fault. */
export interface Clearing {
  /** Current in it at first, A. */
  readonly current_A: number;
  /** Time until no current is left, s; Infinity when nothing opens. */
  readonly cleared_s: number;
  /** Time until it is spoilt if the last that opens did not, s; Infinity when it carries the current for ever. */
  readonly spoilt_s: number;
  /** Guards in the order in which they open, with when they do. */
  readonly opens: readonly { readonly part: string; readonly at_s: number }[];
}

/** Guards whose times differ by less than this open together. */
const TOGETHER = 1.001;
/** A current that no longer matters, A. */
const NOTHING_A = 1;

/** The cable as a lump in the machine's own air; a short begins at the temperature that cable tables begin it from. */
export function lumpOf(faults: FaultCurrents, { section_mm2 }: Cable): { readonly lump: HeatedLump; readonly start_C: number } {
  const inside_C = Math.min(faults.values[faults.network.inputs.at('surroundings.inside')]!, SPOILT_C - 20);
  return { lump: cableLump(section_mm2, inside_C), start_C: Math.max(SHORT_START_C, inside_C) };
}

/** A dead short, guards opening one after another as early or as late as they may; undefined without a state of rest. */
export function clearShort(faults: FaultCurrents, cable: Cable, point: string, reading: 'earliest_s' | 'latest_s'): Clearing | undefined {
  const { lump, start_C } = lumpOf(faults, cable);
  const cut = new Set<number>();
  const opens: { part: string; at_s: number }[] = [];
  let hot_C = start_C;
  let now_s = 0;
  let spoilt_s: number | undefined;
  let first_A = 0;
  for (;;) {
    const currents = faults.short(point, cut);
    if (currents === undefined) return undefined;
    const amps = Math.abs(currents[cable.strand]!);
    if (now_s === 0 && opens.length === 0) first_A = amps;
    if (!(amps > NOTHING_A)) return { current_A: first_A, cleared_s: now_s, spoilt_s: spoilt_s ?? Infinity, opens };
    const waiting = guardsIn(faults, currents, cut).map(({ guard, strand, current_A }) => ({ part: guard.id, strand, within_s: openingTime(guard, current_A)[reading] }));
    const next_s = Math.min(Infinity, ...waiting.map((one) => one.within_s));
    const own_s = now_s + jouleTime_s(lump, hot_C, SPOILT_C, amps);
    if (next_s === Infinity) return { current_A: first_A, cleared_s: Infinity, spoilt_s: spoilt_s ?? own_s, opens };
    const after = faults.short(point, new Set([...cut, ...waiting.filter((one) => one.within_s <= TOGETHER * next_s).map((one) => one.strand)]));
    const last = after === undefined || !(Math.abs(after[cable.strand]!) > NOTHING_A);
    if (spoilt_s === undefined && (last || own_s <= now_s + next_s)) spoilt_s = own_s;
    hot_C = spoilt_s === undefined ? jouleTemperature_C(lump, hot_C, amps, next_s) : hot_C;
    now_s += next_s;
    for (const one of waiting)
      if (one.within_s <= TOGETHER * next_s) {
        cut.add(one.strand);
        opens.push({ part: one.part, at_s: now_s });
      }
  }
}

/** Guards that carry something in a state, each with its strand. */
export function guardsIn(faults: FaultCurrents, currents: Float64Array, cut: ReadonlySet<number> = new Set()): { readonly guard: GuardPart; readonly strand: number; readonly current_A: number }[] {
  const { machine, strands } = faults.network;
  return strands.flatMap(({ strand }, s) =>
    cut.has(s) ? [] : strand.parts.flatMap((id) => {
      const part = machine.parts.get(id);
      return isGuard(part) && Math.abs(currents[s]!) > NOTHING_A ? [{ guard: part, strand: s, current_A: Math.abs(currents[s]!) }] : [];
    }),
  );
}

/** A steady current in a cable and in one guard before it, which both carry whole. */
export function clearOverload(faults: FaultCurrents, cable: Cable, guard: GuardPart, current_A: number): Clearing {
  const { lump, start_C } = lumpOf(faults, cable);
  const { latest_s } = openingTime(guard, current_A);
  return { current_A, cleared_s: latest_s, spoilt_s: jouleTime_s(lump, start_C, SPOILT_C, current_A), opens: latest_s < Infinity ? [{ part: guard.id, at_s: latest_s }] : [] };
}
