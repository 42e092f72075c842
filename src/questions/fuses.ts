import { changed } from '../machine/edit.ts';
import { longCurrent_A, SHORT_START_C, SPOILT_C } from '../physics/cable-limit.ts';
import { FUSE_GATES } from '../physics/fuses.ts';
import { formatSection } from '../quantity/format.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { holdItems, inrushItems } from './fuses-hold.ts';
import { fusePlot } from './fuses-plot.ts';
import { isGuard, openingTime, type GuardPart } from './guard-times.ts';
import type { MatchLoads } from './match-loads.ts';
import { OVERLOAD, protectedCables, strain, type Fault, type ProtectedCable } from './protected-cables.ts';
import { guardsIn, lumpOf } from './states/clearing.ts';
import { FaultCurrents, type Cable } from './states/fault-currents.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, figure, say, worst } from './words.ts';

/** Will the fuse hold, protect, interrupt and be selective? */
export function fuses(base: Study, records: readonly SampleRecord[], match?: MatchLoads): Asked {
  const asked = fusesBriefly(base, records, match);
  const { answer } = asked;
  return { ...asked, answer: { ...answer, basis: [...answer.basis, ...byClass(base, match)] } };
}

/** The same without what it would be if a fuse's class were known. */
export function fusesBriefly(base: Study, records: readonly SampleRecord[], match?: MatchLoads): Asked {
  const { guards, faults, limits, cables, items } = lookAt(base, records, match);
  const decides = deciding(items);
  const some = items.length > 0;
  const answer: Answer = {
    id: 'fuses',
    question: 'Will the fuse hold, protect, interrupt and be selective?',
    verdict: some ? worst(items.map((item) => item.verdict)) : 'cannot tell',
    says: some ? summary(guards, items, cables) : 'There is no lead and no fuse on the packs\' side to look at.',
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: some ? guards.flatMap((guard) => missingOf(guard)) : ['the section and length of the leads'],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: some ? [...fusePlot(base, faults, guards, cables, limits, match), cableTable(base, cables)] : [],
    advice: [],
    basis: [...basisOf(base, guards, match), ...leftOut(faults, cables)],
    cautions: [
      ...(guards.length === 0 ? ['Without a fuse the removable link is what ends a fault: it has to be reached while the machine burns.'] : ['A fuse protects wire, not transistors: they die in microseconds.']),
      ...(cables.some(({ short }) => short.guards.length === 0) ? ['What a short in a lead that nothing protects ends with is fire: keep such a lead short, tied down and away from edges.'] : []),
    ],
    notAProblem: items.filter((item) => item.verdict === 'good').map((item) => `${item.where}: ${item.says}`).slice(0, 6),
  };
  return { answer, drawn: [] };
}

interface Looked {
  readonly guards: readonly GuardPart[];
  readonly faults: FaultCurrents;
  readonly limits: Float64Array | undefined;
  readonly cables: readonly ProtectedCable[];
  readonly items: readonly Item[];
}

function lookAt(base: Study, records: readonly SampleRecord[], match: MatchLoads | undefined): Looked {
  const guards = guardsOfMachine(base);
  const faults = new FaultCurrents(base.machine);
  const limits = faults.atLimits()?.currents;
  const cables = protectedCables(faults);
  const items = [
    ...holdItems(base, faults, guards, limits, match),
    ...inrushItems(base, records),
    ...cables.map((one) => cableItem(base, faults, one, guards.length > 0)),
    ...guards.flatMap((guard) => (guard.kind === 'fuse' ? interruptItems(base, faults, guard) : [])),
    ...selectiveItems(base, faults, guards),
  ];
  return { guards, faults, limits, cables, items };
}

/** What the answer would be if fuses whose class is not given were of each. */
function byClass(base: Study, match: MatchLoads | undefined): string[] {
  const unclassed = guardsOfMachine(base).filter((guard) => guard.kind === 'fuse' && guard.values.class === undefined).map(({ id }) => id);
  if (unclassed.length === 0) return [];
  const verdicts = Object.keys(FUSE_GATES).map((one) => {
    const machine = unclassed.reduce((m, part) => changed(m, { change: 'field', part, property: 'class', text: one }).machine, base.machine);
    return `${one} ${worst(lookAt({ ...base, machine }, [], match).items.map((item) => item.verdict))}`;
  });
  return [`The class of ${unclassed.join(' and ')} is not given, so the band of all classes counts. As one class the answer would be: ${verdicts.join(', ')}.`];
}

function guardsOfMachine({ machine }: Study): GuardPart[] {
  const wired = new Set(machine.wiring.chains.flatMap((chain) => chain.items.flatMap((item) => ('part' in item ? [item.part] : []))));
  return [...machine.parts.values()].filter(isGuard).filter((part) => wired.has(part.id));
}

function missingOf(guard: GuardPart): string[] {
  if (guard.kind !== 'fuse') return [];
  return [...(guard.values.class === undefined ? [`class of ${guard.id}`] : []), ...(guard.values.voltage === undefined ? [`voltage of ${guard.id}`] : [])];
}

/** A lead in its two faults; the one in which it comes nearer to its end decides. */
function cableItem(base: Study, faults: FaultCurrents, { cable, short, overload }: ProtectedCable, guarded: boolean): Item {
  const cases = [short, ...(overload === undefined ? [] : [overload])];
  const hardest = cases.reduce((a, b) => (strain(b) > strain(a) ? b : a));
  const own = faults.network.strands[cable.strand]!.strand;
  const others = cases.filter((one) => one !== hardest && verdictOf(one, guarded) !== 'good');
  return {
    where: `${formatSection(cable.section_mm2 * 1e-6).replace(/ \(.*/, '')} ${cable.words}`,
    verdict: worst(cases.map((one) => verdictOf(one, guarded))),
    ...figureOf(hardest, cable, faults),
    passes: undefined,
    parts: [...new Set([...hardest.guards, ...own.parts.filter((id) => base.machine.parts.has(id))])],
    says: [faultWords(base, hardest), ...others.map((one) => faultWords(base, one))].join(' '),
    slip: false,
  };
}

function verdictOf({ earliest_s, latest_s, spoilt_s }: Fault, guarded: boolean): Verdict {
  if (latest_s <= spoilt_s) return 'good';
  // Whoever has no fuse does not count on one.
  if (!guarded) return 'marginal';
  return earliest_s <= spoilt_s ? 'marginal' : 'bad';
}

function figureOf(fault: Fault, cable: Cable, faults: FaultCurrents): Pick<Item, 'measure' | 'figure' | 'limit' | 'margin'> {
  const { current_A, earliest_s, latest_s, spoilt_s } = fault;
  if (spoilt_s === Infinity) {
    const limit = longCurrent_A(cable.section_mm2, lumpOf(faults, cable).lump.ambient_C);
    return { measure: `in ${article(fault)}`, figure: figure(current_A, 'A', 'current', []), limit, margin: limit - current_A };
  }
  if (latest_s === Infinity) return { measure: `until it is spoilt in ${article(fault)}`, figure: figure(spoilt_s, 's', 'time', []), limit: undefined, margin: undefined };
  return { measure: `until ${article(fault)} is cleared, at the latest`, figure: figure(latest_s, 's', 'time', [earliest_s]), limit: spoilt_s, margin: spoilt_s - latest_s };
}

function article({ kind }: Fault): string {
  return kind === 'overload' ? 'an overload' : 'a dead short';
}

function faultWords({ circuit }: Study, { kind, current_A, earliest_s, latest_s, spoilt_s, guards }: Fault): string {
  const what = kind === 'dead short' ? `A dead short at its far end drives ${say(current_A, 'current')}` : `An overload of ${say(current_A, 'current')}`;
  const spoilt = spoilt_s === Infinity ? 'the lead bears that for ever' : `the lead is spoilt in ${say(spoilt_s, 'time')}`;
  if (latest_s === Infinity) return `${what}: nothing surely opens, and ${spoilt}.`;
  const names = guards.map((part) => called(circuit, part)).join(' and ');
  const when = earliest_s === latest_s || latest_s - earliest_s < 0.05 * latest_s ? `in ${say(latest_s, 'time')}` : `in ${say(earliest_s, 'time')} to ${say(latest_s, 'time')}`;
  const judged = latest_s <= spoilt_s ? 'in time' : earliest_s > spoilt_s ? 'too late' : 'perhaps too late';
  return `${what}: ${names} ${guards.length > 1 ? 'open' : 'opens'} ${when}, ${spoilt}: ${judged}.`;
}

function interruptItems(base: Study, faults: FaultCurrents, fuse: Extract<GuardPart, { kind: 'fuse' }>): Item[] {
  const { supply_V, circuit } = base;
  const rated_V = fuse.values.voltage?.value;
  const most_A = shortThrough(faults, fuse.id);
  const capacity_A = fuse.values.breakingCapacity?.value;
  const shared = { passes: undefined, parts: [fuse.id], slip: false };
  const voltage: Item = {
    ...shared,
    where: `${called(circuit, fuse.id)} against the full pack`,
    verdict: rated_V === undefined ? 'cannot tell' : supply_V <= rated_V ? 'good' : 'bad',
    measure: 'to interrupt',
    figure: figure(supply_V, 'V', 'voltage', []),
    limit: rated_V,
    margin: rated_V === undefined ? undefined : rated_V - supply_V,
    says:
      rated_V === undefined
        ? `It has to break ${say(supply_V, 'voltage', 3)} of direct current, and its voltage is not given: road-vehicle fuses for 32 V do not.`
        : supply_V <= rated_V
          ? `The full pack has ${say(supply_V, 'voltage', 3)}, and it is rated for ${say(rated_V, 'voltage')}.${capacity_A === undefined ? ` Its breaking capacity is not given: it has to be ${say(most_A, 'current')} at least.` : ''}`
          : `The full pack has ${say(supply_V, 'voltage', 3)}, and it is rated for ${say(rated_V, 'voltage')}: the arc in it may burn on when it blows.`,
  };
  if (capacity_A === undefined) return [voltage];
  const breaks: Item = {
    ...shared,
    where: `${called(circuit, fuse.id)} against a dead short`,
    verdict: most_A <= capacity_A ? 'good' : 'bad',
    measure: 'to interrupt',
    figure: figure(most_A, 'A', 'current', []),
    limit: capacity_A,
    margin: capacity_A - most_A,
    says: `The packs drive ${say(most_A, 'current')} through it at most, and it breaks ${say(capacity_A, 'current')}${most_A <= capacity_A ? '' : ': it may burst'}.`,
  };
  return [voltage, breaks];
}

/** Largest current through a part in a dead short at any place, A. */
function shortThrough(faults: FaultCurrents, part: string): number {
  const own = faults.strandsOf(part);
  return Math.max(0, ...faults.points.map((point) => {
    const currents = faults.short(point);
    return currents === undefined ? 0 : own.reduce((sum, s) => sum + Math.abs(currents[s]!), 0);
  }));
}

/** Guards that stand in a row: which of them opens. */
function selectiveItems(base: Study, faults: FaultCurrents, guards: readonly GuardPart[]): Item[] {
  return guards.flatMap((first, k) => guards.slice(k + 1).flatMap((second) => {
    const found = inARow(faults, first, second);
    if (found === undefined) return [];
    const { upstream, downstream, currents, sameLead } = found;
    const [up, down] = [openingTime(upstream, currents[0]), openingTime(downstream, currents[1])];
    const order = down.latest_s <= up.earliest_s ? 'downstream' : up.latest_s <= down.earliest_s ? 'upstream' : 'either';
    const names = [called(base.circuit, upstream.id), called(base.circuit, downstream.id)] as const;
    const winner = order === 'upstream' ? names[0] : order === 'downstream' ? names[1] : undefined;
    const item: Item = {
      where: `${upstream.id} and ${downstream.id} in a dead short`,
      verdict: sameLead || order === 'downstream' ? 'good' : 'marginal',
      measure: `until ${downstream.id} opens, at the latest`,
      ...(down.latest_s === Infinity || up.earliest_s === Infinity
        ? { figure: undefined, limit: undefined, margin: undefined }
        : { figure: figure(down.latest_s, 's', 'time', [down.earliest_s]), limit: up.earliest_s, margin: up.earliest_s - down.latest_s }),
      passes: undefined,
      parts: [upstream.id, downstream.id],
      says: `${say(currents[1], 'current')} flow: ${winner === undefined ? 'either may open first' : `${winner} opens first`}${sameLead ? '; they stand in the same lead, so the same goes dark' : order === 'downstream' ? ', and the rest of the machine stays on' : ', and all of the machine may go dark with one branch'}.`,
      slip: false,
    };
    return [item];
  }));
}

interface InARow {
  readonly upstream: GuardPart;
  readonly downstream: GuardPart;
  /** Through each in a dead short behind both, A. */
  readonly currents: readonly [number, number];
  readonly sameLead: boolean;
}

function inARow(faults: FaultCurrents, first: GuardPart, second: GuardPart): InARow | undefined {
  const strandOf = (guard: GuardPart): number => faults.strandsOf(guard.id)[0] ?? -1;
  const [a, b] = [strandOf(first), strandOf(second)];
  for (const point of faults.points) {
    const currents = faults.short(point);
    if (currents === undefined) continue;
    const carrying = guardsIn(faults, currents).map(({ guard }) => guard.id);
    if (!carrying.includes(first.id) || !carrying.includes(second.id)) continue;
    const amps = (s: number): number => Math.abs(currents[s]!);
    if (a === b) return { upstream: first, downstream: second, currents: [amps(a), amps(a)], sameLead: true };
    const behind = (cut: number, other: number): boolean => !(Math.abs(faults.short(point, new Set([cut]))?.[other] ?? 0) > 0.01 * amps(other));
    if (!behind(a, b) || !behind(b, a)) continue;
    // The upstream one also carries what a short between the two drives, the downstream one does not.
    const upstreamFirst = faults.points.some((other) => {
      const between = faults.short(other);
      return between !== undefined && Math.abs(between[a]!) > amps(a) && Math.abs(between[b]!) < 0.01 * amps(b);
    });
    return upstreamFirst ? { upstream: first, downstream: second, currents: [amps(a), amps(b)], sameLead: false } : { upstream: second, downstream: first, currents: [amps(b), amps(a)], sameLead: false };
  }
  return undefined;
}

function summary(guards: readonly GuardPart[], items: readonly Item[], cables: readonly ProtectedCable[]): string {
  const verdict = worst(items.map((item) => item.verdict));
  const main = deciding(items)!;
  if (guards.length === 0) {
    const quickest = cables.reduce((a, b) => (b.short.spoilt_s < a.short.spoilt_s ? b : a));
    return `There is no fuse and no battery protection: nothing protects the leads. ${quickest.short.spoilt_s < Infinity ? `In a dead short the ${quickest.cable.words} is spoilt in ${say(quickest.short.spoilt_s, 'time')}.` : 'The pack cannot drive enough to spoil them.'}`;
  }
  if (verdict === 'good') return `It holds, protects, interrupts and is selective. Nearest to its limit: ${main.where}. ${main.says}`;
  const wrong = items.filter((item) => item.verdict === verdict);
  return `${verdict === 'bad' ? 'Not in everything.' : verdict === 'marginal' ? 'Not surely.' : 'That depends on a rating that is not given.'} ${main.where}: ${main.says}${wrong.length > 1 ? ` ${wrong.length - 1} more like it.` : ''}`;
}

function cableTable({ circuit }: Study, cables: readonly ProtectedCable[]): Evidence {
  const time = (s: number): string => (s === Infinity ? 'never' : say(s, 'time'));
  return {
    type: 'table',
    title: 'Leads in a dead short at their far end and in an overload',
    head: ['Lead', 'Section', 'Fault', 'Current', 'Opens', 'At the earliest', 'At the latest', 'Spoilt after'],
    rows: cables.flatMap(({ cable, short, overload }) =>
      [short, ...(overload === undefined ? [] : [overload])].map((fault) => [
        cable.words, formatSection(cable.section_mm2 * 1e-6), fault.kind, say(fault.current_A, 'current'), fault.guards.length === 0 ? 'nothing' : fault.guards.map((part) => called(circuit, part)).join(' and '),
        time(fault.earliest_s), time(fault.latest_s), time(fault.spoilt_s),
      ]),
    ),
  };
}

function leftOut(faults: FaultCurrents, cables: readonly ProtectedCable[]): string[] {
  const missing = faults.cables.filter((cable) => !cables.some((one) => one.cable === cable));
  return missing.length === 0 ? [] : [`Not looked at, because no short drives a current through it or no state of rest was found: ${missing.map(({ words }) => words).join(', ')}.`];
}

function basisOf(base: Study, guards: readonly GuardPart[], match: MatchLoads | undefined): string[] {
  return [
    `A lead is spoilt at ${SPOILT_C} °C from ${SHORT_START_C} °C on, the short-circuit limit of PVC (k = 115, IEC 60364-4-43, Table 43A; IEC 60949); its metal alone stores heat, and it loses some to still air. Silicone stands more.`,
    `Short-circuit currents are those of the packs at rest and of leads, joints and contacts; what the capacitors add lasts a millisecond and is left out. An overload is ${OVERLOAD} times the rating of the guard that ends it.`,
    ...(guards.some((guard) => guard.kind === 'fuse') ? ['Operating times of fuses are the gates of their class (ISO 8820-3 and -5, from memory: editable defaults, no proof), log-log between them; a fuse opens anywhere in its band.'] : []),
    match === undefined
      ? 'The load is every controller at its battery-current limit at once (its motor current where no limit is stated); no match has been played.'
      : `The load is that of the match ${match.name}.`,
    ...(base.circuit.fuses.size > 0 ? ['Inrush may use 38 % of the melting let-through a thousand times (Littelfuse, Fuseology, chart 2).'] : []),
  ];
}
