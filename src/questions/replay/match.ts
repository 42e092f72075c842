import { drawDuty, type Occurrence } from '../../machine/duty/draw.ts';
import { ACTS } from '../../machine/duty/duty.ts';
import { pointOf } from '../../machine/circuit/nets.ts';
import type { Machine } from '../../machine/machine.ts';
import { feedingOf, type Piece } from '../../machine/match/feeding.ts';
import type { MatchModel } from '../../machine/match/model.ts';
import type { MatchCurves } from '../../machine/match/record.ts';
import { runMatch } from '../../machine/match/run.ts';
import { enter, SHOWN_SEED } from '../match-fought.ts';
import { Columns } from './columns.ts';
import type { LoadTrack, NoReplay, Owner, Replay, ReplayMark, ReplayQuantity } from './replay.ts';

const QUANTITIES: Readonly<Record<string, ReplayQuantity>> = { V: 'voltage', A: 'current', '°C': 'temperature', 'rad/s': 'angular speed', 'm/s': 'speed' };

/** The match that the answers are about: the file's own duty, with every value as it stands. */
export function replayMatch(machine: Machine): Replay | NoReplay {
  const entered = enter(machine);
  if (entered.status === 'impossible') return { why: `a match needs ${entered.needs.join(', ')}` };
  const { match } = entered;
  const outcome = runMatch(match, { seed: SHOWN_SEED, curves: 'every point' });
  if (outcome.status === 'refused') {
    const { cause, time, where } = outcome.refusal;
    return { why: `its numbers cannot be trusted: ${cause} at ${time.toPrecision(4)} s (${where})` };
  }
  const { record } = outcome;
  const { time_s, columns } = tableOf(match, record.curves!);
  const steps = drawDuty(machine.duty, SHOWN_SEED, record.length_s).map((one): ReplayMark => ({ from_s: one.start_s, until_s: endOf(one), words: wordsOf(one), sort: 'step' }));
  const events = record.notes.map(({ time_s: at, what }): ReplayMark => ({ from_s: at, until_s: at, words: what, sort: 'event' }));
  return {
    run: 'match',
    time_s,
    columns,
    marks: [...steps, ...events].sort((a, b) => a.from_s - b.from_s),
    switches: [],
    loads: loadsOf(match),
    delivered_J: record.energy.delivered_J,
  };
}

/** What has no end is shown for as long as a hit is blamed for what follows. */
const OPEN_ENDED_S = 2;

function endOf({ start_s, end_s }: Occurrence): number {
  return Number.isFinite(end_s) ? end_s : start_s + OPEN_ENDED_S;
}

/** `push`, `stall M3`: what an act is usually done with need not be said. */
function wordsOf({ act, with: who }: Occurrence): string {
  return who.length === 1 && who[0] === ACTS[act].role ? act : `${act} ${who.join(', ')}`;
}

/** The curves of a match with what each belongs to: a match names them, and its leads fold several parts into one current. */
function tableOf(match: MatchModel, curves: MatchCurves): Pick<Replay, 'time_s' | 'columns'> {
  const owners = new Owners(match);
  const columns = new Columns(curves.time_s);
  // What a controller takes from the bus comes before what it gives its motors.
  const motors = ({ name }: { readonly name: string }): number => Number(name.endsWith(' motor current'));
  for (const { name, unit, values } of [...curves.columns].sort((a, b) => motors(a) - motors(b))) columns.add(name, QUANTITIES[unit]!, owners.of(name), values);
  return columns.between(curves.time_s[0]!, curves.time_s.at(-1)!, 0);
}

class Owners {
  private readonly found = new Map<string, Owner[]>();

  constructor(match: MatchModel) {
    const { machine } = match;
    const feeding = feedingOf(machine);
    const buses = new Set(match.buses.map(({ point }) => point));
    const busOf = (point: string): string | undefined => {
      const root = feeding.nodeOf(point);
      const name = root.endsWith('+') ? root.slice(0, -1) : root;
      return buses.has(name) ? name : undefined;
    };
    const points = new Set(machine.wiring.chains.filter(({ role }) => role === 'supply').flatMap((chain) => [pointOf(chain.from), pointOf(chain.to)]));
    for (const point of points) {
      const part = point.endsWith('+') ? point.slice(0, -1) : undefined;
      for (const owner of [{ point }, ...(part === undefined ? [] : [{ part }])]) this.add(`${busOf(point) ?? ''} voltage`, owner);
    }
    for (const { part } of match.packs) for (const owner of [{ part }, { point: `${part}+` }]) this.add(`${part} voltage`, owner);
    for (const { part } of match.packs) this.add(`${part} weakest cell`, { part });
    for (const { part } of match.radios) for (const owner of [{ part }, { point: `${part}+` }]) this.add(`${part} rail`, owner);
    for (const strand of feeding.strands) {
      const carried = match.currents.find(({ key }) => key === strand.name);
      // A pack's own leads carry its current, which is listed once.
      const name = match.currents.find((one) => one.watch === carried?.watch)?.key ?? strand.name;
      for (const piece of strand.pieces) for (const owner of ownersOf(machine, piece)) this.add(`${name} current`, owner);
      for (const chain of strand.name.split(', ')) this.add(`${name} current`, { chain, role: roleOf(machine, chain) });
    }
    for (const { part } of match.packs) this.add(`${part} current`, { part });
    for (const { controller, motors } of match.units) {
      this.add(`${controller} bus current`, { part: controller });
      for (const part of [controller, ...motors]) this.add(`${controller} motor current`, { part });
      for (const part of motors) for (const what of ['motor speed', 'ground speed']) this.add(`${controller} ${what}`, { part });
    }
    for (const { where } of match.lumps) {
      const piece = /^(.+)#(\d+)$/.exec(where);
      this.add(`${where} temperature`, piece === null ? { part: where } : { chain: piece[1]!, role: roleOf(machine, piece[1]!), item: Number(piece[2]) });
    }
  }

  of(name: string): readonly Owner[] {
    return this.found.get(name) ?? [];
  }

  private add(name: string, owner: Owner): void {
    const list = this.found.get(name);
    if (list === undefined) this.found.set(name, [owner]);
    else list.push(owner);
  }
}

function ownersOf(machine: Machine, piece: Piece): Owner[] {
  if (piece.sort === 'part') return [{ part: piece.part.id }];
  const found = piece.sort === 'cable' ? /^(.+)#(\d+)$/.exec(piece.where) : null;
  return found === null ? [] : [{ chain: found[1]!, role: roleOf(machine, found[1]!), item: Number(found[2]) }];
}

/** Supply chains come first in a file, and a match names its leads by chain alone. */
function roleOf(machine: Machine, name: string): 'supply' | 'return' | 'signal ground' {
  const named = machine.wiring.chains.filter((chain) => chain.name === name && chain.role !== 'signal ground');
  return (named.find(({ role }) => role === 'supply') ?? named[0])?.role ?? 'supply';
}

/** In a match everything is switched on: a load sleeps only where nothing feeds it. */
function loadsOf({ machine }: MatchModel): LoadTrack[] {
  return [...machine.parts.keys()].map((part) => ({ part, point: `${part}+`, wakes_V: undefined, runs: undefined, behind: [] }));
}

