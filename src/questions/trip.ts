import { SOFT } from '../machine/circuit/chains.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import {
  attemptsNeeded, connectionCurve, connectionOf, guardRecord, guardsOf, hardConnection, heldChance, heldCurrents, quantityOf, slipsOf,
  type Connection, type Guard, type GuardLoad, type GuardRecord, type Held,
} from './connecting.ts';
import { allowedShare, currentAt, delayAt, type HowOften } from './guard-chance.ts';
import type { SampleRecord, Study } from './study.ts';
import { tripPlot } from './trip-plot.ts';
import { called, deciding, figure, middleNinety, say, worst } from './words.ts';

/** Rarer than this counts as never, oftener than its complement as always. */
const RARELY = 0.02;
/** A fuse is asked for years: it has to bear what comes in all but one of twenty of its spread. */
const SELDOM = 0.05;

/** Less than this no fuse notices. */
const NOTHING_A2S = 0.1;

/** A closing of the procedure, or a main contact closed by a slip. */
interface Situation {
  readonly at: number;
  /** `drive isolator Q1 is turned to ON`. */
  readonly when: string;
  readonly slip: boolean;
  readonly often: HowOften;
  readonly connection: () => Connection;
}

interface Looked {
  readonly guard: Guard;
  readonly g: number;
  /** The one that is hardest on it. */
  readonly situation: Situation;
  readonly item: Item;
  /** It is what flows on afterwards that opens it. */
  readonly held: Held | undefined;
}

/** Will a battery protection or fuse trip on connecting? */
export function trip(base: Study, records: readonly SampleRecord[]): Asked {
  const { circuit, nominal, values } = base;
  const guards = guardsOf(circuit);
  const own = guardRecord(circuit, base.softStarts, nominal, values);
  const samples = records.map((record) => record.guards);
  const situations = situationsOf(base);
  const written = situations.filter(({ slip }) => !slip);
  const held = heldCurrents(circuit, guards, nominal);
  const looked = guards.flatMap((guard, g) => {
    const hardest = hardestOf(own, g, written);
    const heavy = [...held[g]!].sort((a, b) => heldChance(circuit, guard, b) - heldChance(circuit, guard, a))[0];
    return hardest === undefined ? [] : [look(base, guard, g, hardest, own, samples, heavy)];
  });
  const slips = guards.flatMap((guard, g) => {
    const hardest = hardestOf(own, g, situations.filter(({ slip }) => slip));
    return hardest === undefined ? [] : [look(base, guard, g, hardest, own, samples, undefined)];
  });
  const items = [...looked, ...slips].map(({ item }) => item);
  const decides = deciding(items);
  const main = looked.find(({ item }) => item === decides);
  const closes = nominal.closings.length > 0;
  const untold = guards.length > 0 && !closes;
  const answer: Answer = {
    id: 'trip',
    question: 'Will a battery protection or fuse trip on connecting?',
    verdict: untold ? 'cannot tell' : worst(looked.map(({ item }) => item.verdict)),
    says: untold ? 'The procedure closes nothing.' : main === undefined ? 'No: there is no fuse or protection that could.' : summary(main, slips),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: untold ? ['a procedure that closes a switch'] : [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: main === undefined ? [] : [...plots(base, main, slips), loadTable(base, guards, situations, own)],
    advice: [],
    basis: basisOf(circuit.protections.length > 0, circuit.fuses.size > 0),
    cautions: guards.some(({ kind }) => kind === 'protection') ? ['A protection that trips leaves the machine dark with its switches closed: open them before it is brought back.'] : [],
    notAProblem: looked.filter(({ item }) => item.verdict === 'good').map(({ item }) => `${item.where}: ${item.says}`),
  };
  return { answer, drawn: main === undefined ? [] : drawnOf(main, samples) };
}

function situationsOf({ circuit, nominal, softStarts, values }: Study): Situation[] {
  const closing = (part: string, position: string): string => {
    if (position === SOFT) return `${called(circuit, part)} begins its soft start`;
    return `${called(circuit, part)} ${position === 'closed' || circuit.machine.parts.get(part)?.kind === 'contactor' ? 'closes' : `is turned to ${position}`}`;
  };
  const written = nominal.closings.map(({ closing: one }, at): Situation => ({
    at, when: closing(one.part, one.position), slip: false, often: 'each power-up', connection: () => connectionOf(circuit, one, one.before!),
  }));
  const slips = slipsOf(softStarts).map(({ soft, main }, k): Situation => ({
    at: written.length + k, when: `${closing(main.part, main.way.position)} without its soft start`, slip: true, often: 'a slip',
    connection: () => hardConnection(circuit, soft, main, values),
  }));
  return [...written, ...slips];
}

/** The situation in which a guard is the likeliest to open, and among equals the one that asks most of it. */
function hardestOf({ connections }: GuardRecord, g: number, situations: readonly Situation[]): Situation | undefined {
  const load = ({ at }: Situation): GuardLoad => connections[at]![g]!;
  return [...situations].sort((a, b) => load(b).chance - load(a).chance || load(b).above_s - load(a).above_s || load(b).letThrough_A2s - load(a).letThrough_A2s)[0];
}

function look(base: Study, guard: Guard, g: number, situation: Situation, own: GuardRecord, samples: readonly GuardRecord[], heavy: Held | undefined): Looked {
  const { circuit } = base;
  const load = own.connections[situation.at]![g]!;
  const loads = samples.map((sample) => sample.connections[situation.at]![g]!);
  const chance = chanceOf(load.chance, loads.map((one) => one.chance));
  const after = heavy === undefined ? 0 : chanceOf(heldChance(circuit, guard, heavy), samples.map((sample) => sample.heldChance[g]!));
  const holds = heavy !== undefined && after > chance;
  const likely = Math.max(chance, after);
  const shared = {
    where: `${called(circuit, guard.part)} ${holds ? 'with the machine on' : `when ${situation.when}`}`,
    parts: [guard.part],
    passes: samples.length === 0 ? undefined : 1 - likely,
    slip: situation.slip,
  };
  const rated = quantityOf(circuit, guard);
  if (holds) {
    const limit = rated(guard.kind === 'fuse' ? 'rating' : 'overCurrent').value;
    const item: Item = {
      ...shared,
      verdict: verdictOf(likely),
      measure: 'held',
      figure: figure(heavy.current_A, 'A', 'current', []),
      limit,
      margin: limit - heavy.current_A,
      says: `${say(heavy.current_A, 'current')} flow on for ${say(heavy.time_s, 'time')}, and it is made for ${say(limit, 'current')}: ${oftenWords(likely, samples.length)}.`,
    };
    return { guard, g, situation, item, held: heavy };
  }
  const item = guard.kind === 'fuse' ? fuseItem(base, guard, situation, load, loads, chance, shared) : protectionItem(base, guard, situation, load, loads, chance, shared);
  return { guard, g, situation, item, held: undefined };
}

type Shared = Pick<Item, 'where' | 'parts' | 'passes' | 'slip'>;

function protectionItem(base: Study, guard: Guard, situation: Situation, load: GuardLoad, loads: readonly GuardLoad[], chance: number, shared: Shared): Item {
  const rated = quantityOf(base.circuit, guard);
  const [threshold, delay] = [rated('shortCurrent'), rated('shortDelay')];
  const verdict = verdictOf(chance);
  const stands =
    load.above_s > 0
      ? `Its current stands above ${say(threshold.value, 'current')} for ${say(load.above_s, 'time', 3)}, and it trips after ${say(delay.value, 'time')}`
      : `Its current does not reach the ${say(threshold.value, 'current')} at which it would begin to count`;
  const again = verdict === 'good' ? '' : ` ${againWords(base, guard, situation)}`;
  return {
    ...shared,
    verdict,
    measure: `above ${say(threshold.value, 'current')}`,
    figure: figure(load.above_s, 's', 'time', middleNinety(loads.map((one) => one.above_s))),
    limit: delay.value,
    margin: delay.value - load.above_s,
    says: `${stands}: ${oftenWords(chance, loads.length)}.${again}`,
  };
}

function fuseItem(base: Study, guard: Guard, { often }: Situation, load: GuardLoad, loads: readonly GuardLoad[], chance: number, shared: Shared): Item {
  const melting = quantityOf(base.circuit, guard)('melting');
  const limit = allowedShare(often) * melting.value;
  const verdict: Verdict = load.letThrough_A2s >= melting.value ? 'bad' : load.letThrough_A2s > limit || chance > SELDOM ? 'marginal' : 'good';
  const melts = `${say(melting.value, 'let-through')}${melting.origin === 'class default' ? ' (class default)' : ''}`;
  const share = load.letThrough_A2s / melting.value;
  const outcome =
    verdict === 'good'
      ? 'connecting does not wear it, and what blows a fuse is overload that lasts for seconds'
      : verdict === 'bad'
        ? 'it melts'
        : 'it ages with every such pulse, and opens one day without a fault';
  return {
    ...shared,
    verdict,
    measure: 'let-through of the pulse',
    figure: figure(load.letThrough_A2s, 'A²s', 'let-through', middleNinety(loads.map((one) => one.letThrough_A2s))),
    limit,
    margin: limit - load.letThrough_A2s,
    says: `The pulse lets ${say(load.letThrough_A2s, 'let-through')} through, ${share < 0.01 ? 'less than 1 %' : say(share, 'ratio')} of the ${melts} at which it melts: ${outcome}.`,
  };
}

/** A share over samples where there are some, at the file's own values otherwise. */
function chanceOf(own: number, samples: readonly number[]): number {
  return samples.length === 0 ? own : samples.reduce((sum, one) => sum + one, 0) / samples.length;
}

function verdictOf(chance: number): Verdict {
  return chance <= RARELY ? 'good' : chance >= 1 - RARELY ? 'bad' : 'marginal';
}

/** Never, sometimes with its share, or always. */
function oftenWords(chance: number, samples: number): string {
  const verdict = verdictOf(chance);
  if (verdict === 'good') return 'it never trips';
  if (verdict === 'bad') return 'it always trips';
  return `it trips sometimes, in ${say(chance, 'ratio')} of ${samples === 0 ? 'the spread of its own trip curve' : 'the spread'}`;
}

/** What another attempt brings: what has tripped has let in some of the charge. */
function againWords({ circuit, values }: Study, guard: Guard, situation: Situation): string {
  const early = guardsOf(circuit).filter(({ kind }) => kind === 'protection').map((one) => {
    const rated = quantityOf(circuit, one);
    return { part: one.part, current_A: currentAt(rated('shortCurrent'), 0.05), delay_s: delayAt(rated('shortDelay'), 0.05) };
  });
  const attempts = attemptsNeeded(circuit, situation.connection(), early, values);
  const revives = circuit.machine.parts.get(guard.part);
  const back = revives?.kind === 'protection' && revives.values.revives !== undefined ? `, once it is back (${revives.values.revives})` : '';
  if (attempts === undefined) return 'Further attempts do not help: too little charge gets through each time.';
  if (attempts === 1) return 'A second attempt finds half-charged banks and goes through.';
  return attempts === 2
    ? `A second attempt${back} finds half-charged banks and goes through.`
    : `Each attempt that trips leaves the banks fuller, and attempt ${attempts} goes through even where it trips early${back}: "third time lucky" is this.`;
}

function summary(main: Looked, slips: readonly Looked[]): string {
  const { item } = main;
  const start = item.verdict === 'bad' ? 'Yes, always.' : item.verdict === 'marginal' ? (main.guard.kind === 'fuse' && main.held === undefined ? 'Not at once.' : 'Sometimes.') : 'Never, as the procedure is written.';
  const slip = deciding(slips.map((one) => ({ ...one.item, slip: false })));
  const beside = slip === undefined || slip.verdict === 'good' || item.verdict !== 'good' ? '' : ` But ${slip.where}: ${slip.says}`;
  return `${start} ${item.where}: ${item.says}${beside}`;
}

function drawnOf({ guard, g, situation, held }: Looked, samples: readonly GuardRecord[]): number[] {
  if (held !== undefined) return [];
  return samples.map(({ connections }) => {
    const load = connections[situation.at]![g]!;
    return guard.kind === 'fuse' ? load.letThrough_A2s : load.above_s;
  });
}

function basisOf(protections: boolean, fuses: boolean): string[] {
  return [
    'Each closing is simulated with nothing opening; what stands above the threshold is the longest time without a break.',
    ...(protections ? ['A threshold and a delay that the file states without a spread are taken to hold within 10 % and 30 % (common practice, no source).'] : []),
    ...(fuses
      ? [`A fuse may use ${say(allowedShare('each power-up'), 'ratio')} of its melting let-through in each of 1000 pulses (Littelfuse, Fuseology, chart 2); a slip comes less than a hundred times.`]
      : []),
  ];
}

/** Pulse and trip curve of the guard that decides, with the pulse of its slip. */
function plots(base: Study, main: Looked, slips: readonly Looked[]): Evidence[] {
  const slip = slips.find(({ guard }) => guard === main.guard);
  const pulses = [main, ...(slip === undefined ? [] : [slip])].map(({ guard, situation }) => ({
    name: situation.slip ? 'connecting without the soft start' : 'connecting',
    curve: connectionCurve(base.circuit, guard, situation.connection(), base.values),
  }));
  return tripPlot(base, main.guard, pulses);
}

function loadTable(base: Study, guards: readonly Guard[], situations: readonly Situation[], own: GuardRecord): Evidence {
  return {
    type: 'table',
    title: 'What each closing asks of fuses and protections',
    head: ['When', ...guards.map((guard) => guard.part)],
    rows: situations.map(({ at, when, slip }) => [
      slip ? `${when} (only by a slip)` : when,
      ...guards.map((guard, g) => {
        const load = own.connections[at]![g]!;
        if (guard.kind === 'fuse') return load.letThrough_A2s < NOTHING_A2S ? `under ${say(NOTHING_A2S, 'let-through')}` : say(load.letThrough_A2s, 'let-through');
        return load.above_s > 0 ? `${say(load.above_s, 'time')} above ${say(quantityOf(base.circuit, guard)('shortCurrent').value, 'current')}` : 'nothing near its threshold';
      }),
    ]),
  };
}
