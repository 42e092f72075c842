import type { Run } from '../../engine/simulate.ts';
import type { MatchModel } from './model.ts';
import type { FuseRecord, MatchCurves } from './record.ts';

interface Followed {
  readonly name: string;
  readonly unit: MatchCurves['columns'][number]['unit'];
  readonly watch: number;
}

/** Every curve of a match: voltages, currents, speeds, temperatures. */
export function curveWatches(match: MatchModel): Followed[] {
  const seen = new Set<number>();
  const all: Followed[] = [
    ...match.packs.flatMap(({ part, battery }): Followed[] => [
      { name: `${part} voltage`, unit: 'V', watch: battery.terminalWatch }, { name: `${part} weakest cell`, unit: 'V', watch: battery.weakest!.cellWatch },
    ]),
    ...match.buses.map(({ point, watch }): Followed => ({ name: `${point} voltage`, unit: 'V', watch })),
    ...match.radios.map(({ part, rail }): Followed => ({ name: `${part} rail`, unit: 'V', watch: rail })),
    ...match.currents.map(({ key, watch }): Followed => ({ name: `${key} current`, unit: 'A', watch })),
    ...match.units.flatMap(({ controller, drive, ground }): Followed[] => [
      { name: `${controller} bus current`, unit: 'A', watch: drive.busCurrentWatch }, { name: `${controller} motor speed`, unit: 'rad/s', watch: drive.motor.speedWatch },
      ...(ground === undefined ? [] : [{ name: `${controller} ground speed`, unit: 'm/s', watch: ground.speedWatch } as const]),
    ]),
    ...match.lumps.map(({ where, watch }): Followed => ({ name: `${where} temperature`, unit: '°C', watch })),
  ];
  return all.filter(({ watch }) => !seen.has(watch) && seen.add(watch).size > 0);
}

/** Parts of the match in each of which a curve keeps its ends; a screen is not wider. */
const BUCKETS = 1200;

/** Makes a zero of a zero with a minus, which is a current that does not flow. */
export const NO_MINUS = 0;

/** The curves of a run; `thinned` out so that extremes of the first pack's voltage and current stay, or with every point. */
export function curvesOf(match: MatchModel, run: Run, thinned = true): MatchCurves {
  const { time_s, curves } = run.recording;
  const followed = curveWatches(match);
  const deciding = [match.packs[0]?.battery.terminalWatch, match.packs[0]?.current.watch, match.radios[0]?.rail].flatMap((watch) => {
    const at = followed.findIndex((one) => one.watch === watch);
    return watch === undefined || at < 0 ? [] : [curves[at]!];
  });
  const kept = thinned ? keptPoints(time_s, deciding) : time_s.map((_, k) => k);
  return { time_s: kept.map((k) => time_s[k]!), columns: followed.map(({ name, unit }, c) => ({ name, unit, values: kept.map((k) => curves[c]![k]! + NO_MINUS) })) };
}

function keptPoints(time_s: readonly number[], deciding: readonly (readonly number[])[]): number[] {
  const last = time_s.length - 1;
  if (last < 2 * BUCKETS) return time_s.map((_, k) => k);
  const kept = new Set<number>([0, last]);
  const width = (time_s[last]! - time_s[0]!) / BUCKETS;
  for (let from = 0; from <= last; ) {
    const bucket = Math.floor((time_s[from]! - time_s[0]!) / width);
    let until = from;
    while (until < last && Math.floor((time_s[until + 1]! - time_s[0]!) / width) === bucket) until++;
    kept.add(from);
    for (const curve of deciding) {
      let [lowest, highest] = [from, from];
      for (let k = from; k <= until; k++) {
        if (curve[k]! < curve[lowest]!) lowest = k;
        if (curve[k]! > curve[highest]!) highest = k;
      }
      kept.add(lowest);
      kept.add(highest);
    }
    from = until + 1;
  }
  return [...kept].sort((a, b) => a - b);
}

/** Windows over which a fuse's current is looked at, s. */
const WINDOWS_S = [0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30, 60, 180] as const;

/** Largest root-mean-square current over windows of a length, from the recorded current (straight between its points). */
export function envelopeOf(match: MatchModel, run: Run, watch: number, length_s: number): FuseRecord['envelope'] {
  const at = curveWatches(match).findIndex((one) => one.watch === watch);
  const current = run.recording.curves[at];
  if (current === undefined) return undefined;
  const { time_s } = run.recording;
  const gathered = new Float64Array(time_s.length);
  for (let k = 1; k < time_s.length; k++) {
    const [a, b] = [current[k - 1]!, current[k]!];
    gathered[k] = gathered[k - 1]! + ((a * a + a * b + b * b) / 3) * (time_s[k]! - time_s[k - 1]!);
  }
  return WINDOWS_S.filter((window_s) => window_s <= length_s).map((window_s) => ({ window_s, rms_A: Math.sqrt(largestWindow(time_s, gathered, window_s) / window_s) }));
}

/** Largest rise of a gathered sum over a window, which ends at one of its points. */
function largestWindow(time_s: readonly number[], gathered: Float64Array, window_s: number): number {
  let largest = 0;
  let from = 0;
  for (let k = 1; k < time_s.length; k++) {
    const begin = time_s[k]! - window_s;
    if (begin < time_s[0]!) continue;
    while (time_s[from + 1]! <= begin) from++;
    const width = time_s[from + 1]! - time_s[from]!;
    const share = width > 0 ? (begin - time_s[from]!) / width : 0;
    largest = Math.max(largest, gathered[k]! - gathered[from]! - share * (gathered[from + 1]! - gathered[from]!));
  }
  return largest;
}
