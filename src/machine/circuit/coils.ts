import type { RunControl } from '../../engine/automaton.ts';
import { closeContact, openContact } from '../../engine/devices/branch.ts';
import { addCoil, type CoilHandle } from '../../engine/devices/coil.ts';
import type { Bounce } from '../../engine/devices/contact.ts';
import type { Machine } from '../machine.ts';
import type { Contactor } from '../parts/contactor.ts';
import type { Binder, FromValues } from './binder.ts';
import type { Way } from './chains.ts';
import { feedPoint, returnOf } from './feeds.ts';

/** A contactor's coil that hangs on the machine's own supply. */
export interface Coil {
  readonly part: string;
  /** Point that feeds it. */
  readonly point: string;
  readonly handle: CoilHandle;
  readonly pullIn: FromValues;
  readonly dropOut: FromValues;
}

/** Position of a contactor's main contact. */
const MAIN = 'ON';
/** Bounces of a closing; each is half as long as the one before. Common practice, no source. */
const BOUNCES = 3;

/** A coil that draws nothing is fed from elsewhere: the least that it counts with, W. */
const LEAST_W = 1e-3;

/** Adds the coils of the contactors whose file says what feeds them. */
export function addCoils(machine: Machine, binder: Binder, ways: ReadonlyMap<string, readonly Way[]>): Coil[] {
  return [...machine.parts.values()].flatMap((part): Coil[] => {
    if (part.kind !== 'contactor' || part.values.coilFrom === undefined) return [];
    const point = feedPoint(machine, part.values.coilFrom);
    return point === undefined ? [] : [addOne(machine, binder, part, point, (ways.get(part.id) ?? []).filter((way) => way.position === MAIN))];
  });
}

/** Bounces of a contact whose first one lasts so long. */
export function bouncesOf(first_s: number): Bounce[] {
  if (!(first_s > 0)) return [];
  return Array.from({ length: BOUNCES }, (_, k) => ({ after_s: first_s / 2 ** k, open_s: first_s / 2 ** k }));
}

function addOne(machine: Machine, binder: Binder, part: Contactor, point: string, mains: readonly Way[]): Coil {
  const value = (field: string): FromValues => binder.value(`${part.id}.${field}`);
  const [rated, power, hold] = [value('coilVoltage'), value('coilPower'), value('holdPower')];
  const resistance = (of: FromValues): FromValues => (v) => rated(v) ** 2 / Math.max(of(v), LEAST_W);
  const pulling = resistance(power);
  // Two class defaults drawn apart may cross: an economiser never draws more, and a coil drops out below where it pulls in.
  const holding = resistance((v) => Math.min(hold(v), power(v)));
  const pullIn = value('pullIn');
  const dropOut: FromValues = (v) => Math.min(value('dropOut')(v), 0.95 * pullIn(v));
  const bounce = binder.system.parameter(`${part.id} bounce`, binder.nominally(value('bounce')));
  binder.bind(bounce.index, value('bounce'));
  const each = (act: (run: RunControl, way: Way) => void) => (run: RunControl): void => {
    for (const way of mains) act(run, way);
  };
  const nominal = (from: FromValues): number => binder.nominally(from);
  const handle = addCoil(
    binder.system, part.id, binder.node(point), binder.node(returnOf(machine, binder, point)),
    {
      pulling_ohm: nominal(pulling), holding_ohm: nominal(holding), pullIn_V: nominal(pullIn), dropOut_V: nominal(dropOut),
      closing_s: nominal(value('closingTime')), release_s: nominal(value('releaseTime')), economise_s: nominal(value('economiserDelay')),
    },
    {
      close: each((run, way) => { closeContact(run, way.branch, way.branch.contacts[way.contact]!, bouncesOf(run.parameters[bounce.index]!)); }),
      open: each((run, way) => { openContact(run, way.branch, way.branch.contacts[way.contact]!); }),
    },
  );
  binder.bind(handle.pulling, pulling);
  binder.bind(handle.holding, holding);
  binder.bind(handle.pullIn, pullIn);
  binder.bind(handle.dropOut, dropOut);
  binder.bind(handle.closing, value('closingTime'));
  binder.bind(handle.release, value('releaseTime'));
  binder.bind(handle.economise, value('economiserDelay'));
  return { part: part.id, point, handle, pullIn, dropOut };
}
