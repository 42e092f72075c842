import { pointOf } from '../../machine/circuit/nets.ts';
import type { Machine } from '../../machine/machine.ts';
import type { ConductorState } from '../states/conductor-states.ts';
import { DEAD_V } from '../states/load-class.ts';
import type { LoadLook, SituationLook } from '../states/look.ts';
import { columnsOf, lastBefore, valueAt, type LoadTrack, type Replay } from './replay.ts';

/** Where the switches of a run stand at a moment. */
export function positionsAt({ switches }: Pick<Replay, 'switches'>, moment_s: number): Readonly<Record<string, string>> {
  return Object.fromEntries(switches.flatMap(({ part, at }) => {
    const position = lastBefore(at, moment_s)?.position;
    return position === undefined ? [] : [[part, position]];
  }));
}

/**
 * What a machine is at a moment of a run: the paths are those of the switches as they stand, as at rest; what is live on
 * them, and which load is awake, is what the run says. What no pack feeds any more but still holds a voltage counts as
 * fed: its capacitors feed it.
 * @param rest  the machine at rest with the switches as at that moment
 */
export function lookAt(replay: Replay, machine: Machine, moment_s: number, rest: SituationLook): SituationLook {
  const volts = (point: string): number | undefined => {
    const [column] = columnsOf(replay, { point });
    return column === undefined ? undefined : valueAt(replay, column, moment_s);
  };
  const places = Object.fromEntries(Object.entries(rest.places).map(([point, { state, volts_V }]) => {
    const now = volts(point);
    return [point, now === undefined ? { state, volts_V } : { state: stateNow(state, now), volts_V: now }];
  }));
  const loads = rest.loads.map((load): LoadLook => ({ ...load, ...loadNow(replay, load, moment_s, volts), hiccups: false }));
  return { solved: rest.solved, loads, places, conductors: conductorsNow(machine, rest, positionsAt(replay, moment_s), places) };
}

function stateNow(rest: ConductorState, volts_V: number): ConductorState {
  const holds = Math.abs(volts_V) >= DEAD_V;
  if (rest === 'live') return holds ? 'live' : 'dead';
  if (rest === 'dead') return holds ? 'fed' : 'dead';
  return rest;
}

function loadNow(replay: Replay, load: LoadLook, moment_s: number, volts: (point: string) => number | undefined): Pick<LoadLook, 'state' | 'volts_V'> {
  const feeder = replay.loads.find(({ behind }) => behind.includes(load.part));
  const own = volts(`${load.part}+`);
  if (own === undefined && feeder === undefined) return { state: load.state, volts_V: load.volts_V };
  const volts_V = own ?? (runsNow(feeder, moment_s, volts) ? load.volts_V : 0);
  if (Math.abs(volts_V) < DEAD_V) return { state: 'dead', volts_V };
  const track = replay.loads.find(({ part }) => part === load.part);
  if (track !== undefined && !runsNow(track, moment_s, volts)) return { state: load.state === 'leaking' && !load.meant ? 'leaking' : 'charged', volts_V };
  return { state: load.state === 'can move' ? 'can move' : 'awake', volts_V };
}

function runsNow(track: LoadTrack | undefined, moment_s: number, volts: (point: string) => number | undefined): boolean {
  if (track === undefined) return false;
  if (track.runs !== undefined) return lastBefore(track.runs, moment_s)?.on === true;
  return track.wakes_V === undefined || (volts(track.point) ?? 0) >= track.wakes_V;
}

/** A lead that nothing feeds any more carries what stands at its end, as far as it is metal. */
function conductorsNow(machine: Machine, rest: SituationLook, positions: Readonly<Record<string, string>>, places: SituationLook['places']): SituationLook['conductors'] {
  return Object.fromEntries(Object.entries(rest.conductors).map(([name, states]) => {
    const chain = machine.wiring.chains.find((one) => one.name === name && one.role === 'supply');
    if (chain === undefined) return [name, states];
    const now = [...states];
    const holds = (end: typeof chain.from): boolean => (places[pointOf(end)]?.state ?? 'dead') !== 'dead';
    const opens = (k: number): boolean => {
      const item = chain.items[k]!;
      return 'part' in item && (positions[item.part] === 'OFF' || positions[item.part] === 'open');
    };
    const upgrade = (k: number): void => {
      if (now[k] === 'dead') now[k] = 'fed';
    };
    if (holds(chain.from)) {
      upgrade(0);
      for (let k = 0; k < chain.items.length && !opens(k); k++) upgrade(k + 1);
    }
    if (holds(chain.to)) {
      upgrade(chain.items.length);
      for (let k = chain.items.length - 1; k >= 0 && !opens(k); k--) upgrade(k);
    }
    return [name, now];
  }));
}
