import type { Evidence, Item } from './answer.ts';
import { packStrings, type JoinRecord, type PackString } from './joined-packs.ts';
import type { Study } from './study.ts';
import { called, figure, middleNinety, say } from './words.ts';

/** A string of a parallel group with the current at which it opens, where it can. */
interface Sharer {
  readonly string: PackString;
  readonly path_ohm: number;
  readonly opens_A: number | undefined;
  readonly by: string | undefined;
}

/** How the packs share a load, and whether one of them could carry it alone. */
export interface Sharing {
  readonly item: Item;
  readonly table: Evidence;
}

/** Sharing of the strings that stand side by side; undefined where no two do, or where nothing is known of the load. */
export function sharing(base: Study, own: JoinRecord, samples: readonly JoinRecord[]): Sharing | undefined {
  const { circuit, machine } = base;
  const strings = packStrings(machine);
  const members = strings.filter((string) => base.pairs.some(({ first, second }) => first.packs[0] === string.packs[0] || second.packs[0] === string.packs[0]));
  const demand_A = largestDemand(base);
  if (members.length < 2 || demand_A === undefined) return undefined;
  const sharers = members.map((string): Sharer => {
    const at = strings.indexOf(string);
    return { string, path_ohm: own.paths_ohm[at]!, ...openingOf(base, string) };
  });
  const shareIn = (paths: readonly number[], k: number): number => 1 / paths[k]! / paths.reduce((sum, ohm) => sum + 1 / ohm, 0);
  const shares = sharers.map((_, k) => shareIn(sharers.map((one) => one.path_ohm), k));
  const spreads = sharers.map((_, k) => middleNinety(samples.map(({ paths_ohm }) => shareIn(members.map((string) => paths_ohm[strings.indexOf(string)]!), k))));
  // The one that has to carry all, or its part of it, when the string that it depends on most has dropped out.
  const lefts = sharers.flatMap((left, k) =>
    sharers.flatMap((gone, j) => {
      if (j === k) return [];
      const rest = sharers.filter((one) => one !== gone);
      const share = 1 / left.path_ohm / rest.reduce((sum, one) => sum + 1 / one.path_ohm, 0);
      return [{ left, gone, carries_A: share * demand_A, limit_A: left.opens_A, together_A: left.opens_A === undefined ? undefined : left.opens_A / shares[k]! }];
    }),
  );
  const [hardest] = [...lefts].sort((a, b) => b.carries_A / (b.limit_A ?? Infinity) - a.carries_A / (a.limit_A ?? Infinity));
  const { left, gone, carries_A, limit_A, together_A } = hardest!;
  const enough = limit_A === undefined || carries_A <= limit_A;
  const names = sharers.map(({ string }) => nameOf(string)).join(' and ');
  const split = `${names} share a load ${shares.map((share) => say(share, 'ratio')).join(' to ')}`;
  const cascade =
    limit_A === undefined || together_A === undefined
      ? `When ${nameOf(gone.string)} drops out, ${nameOf(left.string)} carries ${say(carries_A, 'current')}; nothing in its leads opens.`
      : enough
        ? `When ${nameOf(gone.string)} drops out, ${nameOf(left.string)} carries ${say(carries_A, 'current')}, and ${called(circuit, left.by!)} bears ${say(limit_A, 'current')}.`
        : `Together they bear ${say(together_A, 'current')}, but when ${gone.by === undefined ? nameOf(gone.string) : called(circuit, gone.by)} opens or a plug falls out, ${nameOf(left.string)} is left with all of it, up to ${say(carries_A, 'current')}, and ${called(circuit, left.by!)} opens above ${say(limit_A, 'current')}: from there on one that drops out takes the other with it.`;
  return {
    item: {
      where: `${names} under load`,
      verdict: enough ? 'good' : 'marginal',
      measure: 'carried by what is left when one drops out',
      figure: figure(carries_A, 'A', 'current', []),
      limit: limit_A,
      margin: limit_A === undefined ? undefined : limit_A - carries_A,
      passes: undefined,
      parts: [...left.string.packs, ...(left.by === undefined ? [] : [left.by])],
      says: `${split}. ${cascade}`,
      slip: false,
    },
    table: {
      type: 'table',
      title: 'How the packs share',
      head: ['Pack', 'With its leads', 'Share', 'In the spread', 'When everything pulls', 'Opens above'],
      rows: sharers.map(({ string, path_ohm, opens_A }, k) => [
        nameOf(string), say(path_ohm, 'resistance', 3), say(shares[k]!, 'ratio', 3), spreads[k]!.length === 0 ? 'not asked' : spreads[k]!.map((share) => say(share, 'ratio', 2)).join(' to '),
        say(shares[k]! * demand_A, 'current'), opens_A === undefined ? 'nothing opens' : say(opens_A, 'current'),
      ]),
    },
  };
}

function nameOf({ packs }: PackString): string {
  return packs.join(' on ');
}

/** What every controller at its battery current limit (its motor current where none is given) asks for, A. */
export function largestDemand({ machine }: Study): number | undefined {
  const limits = [...machine.parts.values()].flatMap((part) => (part.kind === 'controller' ? [(part.values.batteryCurrent ?? part.values.motorCurrent).value] : []));
  return limits.length === 0 ? undefined : limits.reduce((sum, one) => sum + one, 0);
}

/** Current at which a string's protection begins to count, or the rating of its fuse where it has none. */
function openingOf({ machine, circuit, values }: Study, { guards }: PackString): { readonly opens_A: number | undefined; readonly by: string | undefined } {
  const limits = guards.map((id) => {
    const field = machine.parts.get(id)?.kind === 'protection' ? 'overCurrent' : 'rating';
    return { id, field, current_A: values[circuit.inputs.at(`${id}.${field}`)]! };
  });
  // A fuse bears more than its rating for seconds, so where there is a protection that one decides.
  const counted = limits.some(({ field }) => field === 'overCurrent') ? limits.filter(({ field }) => field === 'overCurrent') : limits;
  const [least] = counted.sort((a, b) => a.current_A - b.current_A);
  return { opens_A: least?.current_A, by: least?.id };
}
