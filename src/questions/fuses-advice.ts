import type { Change } from '../machine/edit.ts';
import { FUSE_RATINGS_A, FUSE_VOLTAGES_V } from '../physics/fuse-ratings.ts';
import { exact } from '../quantity/quantity.ts';
import type { Answer } from './answer.ts';
import type { Candidate } from './candidate.ts';
import { carries_A, isGuard, type GuardPart } from './guard-times.ts';
import { largestProtecting_A, protectedCables, type ProtectedCable } from './protected-cables.ts';
import { FaultCurrents } from './states/fault-currents.ts';
import type { Study } from './study.ts';
import { called } from './words.ts';

type Fuse = Extract<GuardPart, { kind: 'fuse' }>;

/** A fuse of its own for every lead that is not protected, another rating, another voltage; each alone and together. */
export function fuseCandidates(base: Study, answer: Answer): Candidate[] {
  const fuses = [...base.machine.parts.values()].filter((part): part is Fuse => isGuard(part) && part.kind === 'fuse');
  const faults = new FaultCurrents(base.machine);
  const wrong = (part: string, words: string): boolean => answer.items.some((item) => item.verdict !== 'good' && item.parts.includes(part) && item.where.includes(words));
  const unprotected = protectedCables(faults).filter(({ cable }) => answer.items.some((item) => item.verdict !== 'good' && item.where.endsWith(` ${cable.words}`)));
  const own = ownFuses(base, faults, unprotected);
  const voltage = fuses.flatMap((fuse): Candidate[] => {
    const enough = FUSE_VOLTAGES_V.find((one) => one >= base.supply_V);
    return enough === undefined || !wrong(fuse.id, 'full pack') ? [] : [fieldCandidate(base, fuse, 'voltage', `${enough} V`)];
  });
  const ratings = fuses.flatMap((fuse): Candidate[] => {
    if (!wrong(fuse.id, 'in use')) return [];
    const load_A = answer.items.find((item) => item.parts.includes(fuse.id) && item.where.endsWith('in use'))?.figure?.value ?? Infinity;
    const rating = FUSE_RATINGS_A.find((one) => carries_A(withRating(fuse, one), base.machine.match.value) >= load_A);
    return rating === undefined ? [] : [fieldCandidate(base, fuse, 'rating', `${rating} A`)];
  });
  const lower = fuses.flatMap((fuse): Candidate[] => {
    const limits = unprotected.filter(({ short }) => short.guards.includes(fuse.id)).map(({ cable, short }) => largestProtecting_A(faults, cable, short.current_A, fuse.values.class) ?? 0);
    const rating = Math.min(...limits);
    if (limits.length === 0 || !(rating > 0) || rating >= fuse.values.rating.value || wrong(fuse.id, 'in use')) return [];
    return [fieldCandidate(base, fuse, 'rating', `${rating} A`)];
  });
  // Nothing here mends a protection that lets go, nor makes good of leads that a fuse of their own would not hold for.
  if (answer.items.some((item) => item.verdict === answer.verdict && base.machine.parts.get(item.parts[0] ?? '')?.kind === 'protection' && item.where.endsWith('in use'))) return [];
  const covered = own.flatMap(({ changes }) => changes).length;
  if (answer.verdict === 'marginal' && covered < unprotected.length) return lower;
  const together = [...voltage, ...ratings, ...own];
  return [...lower, ...own, ...(together.length > own.length ? [joined(together)] : [])].map((candidate) => ({ ...candidate, ...loadsAsBefore(base, candidate) }));
}

/** A fuse's milliohms change no current of a match that anybody could measure: the match need not be fought again for it. */
function loadsAsBefore(base: Study, { changes }: Candidate): Pick<Candidate, 'loads'> {
  const loads = base.loads();
  if (loads === undefined) return {};
  const chains = new Map(changes.flatMap((change) => (change.change === 'insert' ? [[change.id, change.chain] as const] : [])));
  const leadsOf = (part: string): string[] => {
    const chain = base.machine.wiring.chains.find(({ name, role }) => name === chains.get(part) && role === 'supply');
    return chain?.items.map((_, k) => `${chain.name}#${k}`) ?? [];
  };
  return { loads: { name: loads.name, currentThrough: (part) => [part, ...leadsOf(part)].map((one) => loads.currentThrough(one)).find((curve) => curve !== undefined) } };
}

function withRating(fuse: Fuse, rating_A: number): Fuse {
  return { ...fuse, values: { ...fuse.values, rating: exact('current', rating_A) } };
}

function fieldCandidate({ circuit }: Study, fuse: Fuse, property: 'rating' | 'voltage', text: string): Candidate {
  const now = fuse.values[property];
  return {
    what: `${called(circuit, fuse.id)} of ${text}${now === undefined ? '' : ` instead of ${now.text}`}`,
    free: false,
    changes: [{ change: 'field', part: fuse.id, property, text }],
    caution: property === 'rating' ? 'A fuse of another rating is another part of the same body: check its own time-current curve.' : undefined,
  };
}

/** One candidate that puts a fuse at the beginning of every lead that has none it can count on. */
function ownFuses({ machine, supply_V, circuit }: Study, faults: FaultCurrents, unprotected: readonly ProtectedCable[]): Candidate[] {
  const voltage = FUSE_VOLTAGES_V.find((one) => one >= supply_V);
  const limits = faults.atLimits()?.currents;
  const changes = unprotected.flatMap(({ cable, short }): Extract<Change, { change: 'insert' }>[] => {
    const { strand } = faults.network.strands[cable.strand]!;
    if (voltage === undefined || limits === undefined || strand.role !== 'supply' || strand.parts.some((id) => isGuard(machine.parts.get(id)))) return [];
    const rating = largestProtecting_A(faults, cable, short.current_A, 'blade');
    if (rating === undefined || rating > MOST_BLADE_A) return [];
    const load_A = Math.abs(limits[cable.strand]!);
    const fuse = { kind: 'fuse', values: { rating: exact('current', rating), class: 'blade' } } as unknown as Fuse;
    if (carries_A(fuse, machine.match.value) < load_A) return [];
    return [{ change: 'insert', chain: strand.chain.name, before: 0, id: '', kind: 'fuse', values: { rating: `${rating} A`, class: 'blade', voltage: `${voltage} V` } }];
  });
  if (changes.length === 0) return [];
  const free = Array.from({ length: 99 }, (_, k) => `F${k + 1}`).filter((id) => !machine.parts.has(id));
  const named = changes.map((change, k): Extract<Change, { change: 'insert' }> => ({ ...change, id: free[k]! }));
  return [
    {
      what: named.map(({ id, chain, values }) => `a blade fuse ${id} of ${values['rating']!} at the beginning of ${chain}`).join(', '),
      free: false,
      changes: named,
      caution: `It belongs within a hand's breadth of where the lead begins, or the piece before it is as unprotected as ${circuit.machine.name} is now.`,
    },
  ];
}

/** Blade fuses end there. From memory. */
const MOST_BLADE_A = 40;

function joined(candidates: readonly Candidate[]): Candidate {
  const [first] = candidates;
  return { what: candidates.map(({ what }) => what).join('; '), free: false, changes: candidates.flatMap(({ changes }) => changes), caution: first?.caution };
}
