import type { Machine } from '../../machine/machine.ts';
import { Setting } from '../../machine/network/situation.ts';
import { feedingPath, type FeedingPath } from './feeding-path.ts';
import { classify } from './load-class.ts';
import { survey, type Survey } from './survey.ts';
import type { Surveyed } from './surveyed.ts';

/** Kinds that something is lost by when they wake; lamps and bleeds only show or take. */
export const ASKED_ABOUT: ReadonlySet<string> = new Set(['controller', 'converter', 'receiver', 'servo', 'load']);

/** A load that lives though nothing is meant to feed it, in the situation in which it is worst. */
export interface Bridge {
  /** Index of the load. */
  readonly load: number;
  readonly at: Surveyed;
  /** Motors that turn, where one feeds it. */
  readonly motors: readonly string[] | undefined;
}

export interface Bridges {
  readonly survey: Survey;
  readonly list: readonly Bridge[];
}

/** What one set of values makes of a bridge. */
export interface BridgeRecord {
  /** Class of the load, an index into CLASSES. */
  readonly kind: number;
  /** Voltage across it, V. */
  readonly volts: number;
}

/** The worst that happens to each load that is not meant to be fed: with every motor at rest, and over a bridge from one that turns. */
export function findBridges(machine: Machine): Bridges {
  const found = survey(machine);
  const list = found.network.loads.flatMap((load, k): Bridge[] => {
    if (!ASKED_ABOUT.has(load.kind)) return [];
    const still = worstOf(found, k, (one) => turning(found, one) === undefined);
    const bridged = worstOf(found, k, (one) => {
      const motors = turning(found, one);
      return motors !== undefined && !motors.some((motor) => wiredTogether(found, motor, k, one));
    });
    return [
      ...(still === undefined ? [] : [{ load: k, at: still, motors: undefined }]),
      ...(bridged === undefined || (still !== undefined && bridged.classes[k]! <= still.classes[k]!) ? [] : [{ load: k, at: bridged, motors: turning(found, bridged) }]),
    ];
  });
  return { survey: found, list };
}

/** Each bridge with other values. */
export function bridgeRecords({ survey: { network }, list }: Bridges, values: Float64Array): BridgeRecord[] {
  if (list.length === 0) return [];
  const setting = new Setting(network, values);
  const classes = new Uint8Array(network.loads.length);
  return list.map(({ load, at: { situation } }) => {
    setting.set(situation, [], situation.reached);
    if (!setting.settle()) return { kind: 0, volts: NaN };
    const volts = Math.abs(setting.across(network.loads[load]!));
    classify(setting, situation.reached, classes);
    return { kind: classes[load]!, volts };
  });
}

/** How current comes over each bridge. */
export function bridgePaths({ survey: { setting }, list }: Bridges): FeedingPath[] {
  return list.map(({ load, at: { situation } }) => {
    setting.set(situation, [], situation.reached);
    setting.settle();
    return feedingPath(setting, load);
  });
}

/** Worst class first, then the situation with the fewest open switches on the load's own way and the fewest closed ones elsewhere, then the highest voltage. */
function worstOf(found: Survey, k: number, which: (one: Surveyed) => boolean): Surveyed | undefined {
  const effort = (one: Surveyed): number =>
    100 * found.intended.openOnTheWay(k, one.situation).length
    + [...one.situation.positions].filter((p) => p > 0).length
    + 10 * [...one.situation.present].filter((p, s) => (p === 1) === (found.network.sources[s]!.kind === 'spinning motor')).length;
  return found.surveyed
    .filter((one) => one.fed[k] === 0 && one.classes[k]! > 0 && which(one))
    .sort((a, b) => b.classes[k]! - a.classes[k]! || effort(a) - effort(b) || Math.abs(b.voltages[k]!) - Math.abs(a.voltages[k]!))[0];
}

/** Whether closed wires of the + side join a load to the controller of a motor: then no isolator stands between them. */
export function wiredTogether({ network }: Survey, motor: string, load: number, { situation }: Surveyed): boolean {
  const controller = network.loads.find((one) => one.motor !== undefined && (one.motor.part ?? one.part) === motor)!;
  const joined = new Set([controller.plus]);
  for (let grew = true; grew; ) {
    grew = false;
    const join = (a: number, b: number): void => {
      if (joined.has(a) === joined.has(b)) return;
      joined.add(a).add(b);
      grew = true;
    };
    for (const { strand, a, b } of network.strands)
      if (strand.role === 'supply' && strand.switches.every((row) => network.rows[row]!.positions[situation.positions[row]!]!.ohm !== undefined)) join(a, b);
    for (const one of network.loads) {
      const out = network.node(`${one.part} out`);
      if (out !== undefined && joined.has(one.plus)) join(one.plus, out);
    }
  }
  return joined.has(network.loads[load]!.plus);
}

/** The motors that turn in a situation; undefined when all are at rest. */
export function turning(found: Survey, { situation }: Surveyed): readonly string[] | undefined {
  const some = found.network.sources.filter((source, s) => source.kind === 'spinning motor' && situation.present[s] === 1).map((source) => source.part);
  return some.length === 0 ? undefined : some;
}
