import type { Answer, Asked, Evidence, Item } from './answer.ts';
import { available } from './states/available.ts';
import { feedingPath, type FeedingPath } from './states/feeding-path.ts';
import { groundLoops, type GroundLoop } from './states/ground-loops.ts';
import { CLASSES, DEAD_A, DEAD_V } from './states/load-class.ts';
import { survey, type Survey } from './states/survey.ts';
import type { Surveyed } from './states/surveyed.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, figure, say, worst } from './words.ts';

/** Kinds that something is lost by when they wake; lamps and bleeds only show or take. */
const ASKED_ABOUT: ReadonlySet<string> = new Set(['controller', 'converter', 'receiver', 'servo', 'load']);
const ROWS = 40;

/** Can a branch wake while its isolator is open? */
export function isolation(base: Study, _records: readonly SampleRecord[]): Asked {
  const found = survey(base.machine);
  const items = found.network.loads.flatMap((load, k) => (ASKED_ABOUT.has(load.kind) ? loadItems(base, found, k) : []));
  const loops = groundLoops(found.network, base.values);
  const all = [...items, ...loops.flatMap((loop) => loopItems(loop))];
  const decides = deciding(all);
  const verdict = found.unsolved > 0 ? worst([...all.map((item) => item.verdict), 'cannot tell']) : worst(all.map((item) => item.verdict));
  const highest = Math.max(0, ...found.surveyed.flatMap((one) => [...one.voltages].filter((_v, k) => one.fed[k] === 0 && ASKED_ABOUT.has(found.network.loads[k]!.kind) && turning(found, one) === undefined).map(Math.abs)));
  const answer: Answer = {
    id: 'isolation',
    question: 'Can a branch wake while its isolator is open?',
    verdict,
    says: summary(found, all),
    figure: decides?.figure ?? figure(highest, 'V', 'voltage', []),
    limit: decides === undefined ? DEAD_V : decides.limit,
    margin: decides === undefined ? DEAD_V - highest : decides.margin,
    passes: undefined,
    items: all,
    needs: found.network.rows.length === 0 ? ['a switch'] : [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: [stateTable(found), ...loops.map((loop, k) => loopTable(loop, k))],
    advice: [],
    basis: basis(found),
    cautions: [...turningCautions(base, found), 'Dead on paper is not dead on the bench: lock the weapon, lift the wheels and measure before you reach in.'],
    notAProblem: [],
  };
  return { answer, drawn: [] };
}

/** The worst that happens to one load that is not meant to be fed: with every motor at rest, and over a bridge from one that turns. */
function loadItems(base: Study, found: Survey, k: number): Item[] {
  const still = worstOf(found, k, (one) => turning(found, one) === undefined);
  const bridged = worstOf(found, k, (one) => {
    const motors = turning(found, one);
    return motors !== undefined && !motors.some((motor) => wiredTogether(found, motor, k, one));
  });
  return [
    ...(still === undefined ? [] : [wakingItem(base, found, k, still, undefined)]),
    ...(bridged === undefined || (still !== undefined && bridged.classes[k]! <= still.classes[k]!) ? [] : [wakingItem(base, found, k, bridged, turning(found, bridged))]),
  ];
}

/** How current comes over every bridge that the question finds. */
export function bridgesOf(base: Study): FeedingPath[] {
  const found = survey(base.machine);
  return found.network.loads.flatMap((load, k) => {
    const at = ASKED_ABOUT.has(load.kind) ? worstOf(found, k, (one) => !(turning(found, one) ?? []).some((motor) => wiredTogether(found, motor, k, one))) : undefined;
    if (at === undefined) return [];
    found.setting.set(at.situation, [], at.situation.reached);
    found.setting.settle();
    return [feedingPath(found.setting, k)];
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
function wiredTogether({ network }: Survey, motor: string, load: number, { situation }: Surveyed): boolean {
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

/** What motors that turn keep awake with every switch open: on every machine at least their own controllers. */
function turningCautions(base: Study, found: Survey): string[] {
  const groups = new Map<string, { readonly motors: string[]; volts: number }>();
  found.network.sources.forEach((source, s) => {
    if (source.kind !== 'spinning motor') return;
    const at = found.surveyed.find(({ situation }) => [...situation.present].every((there, k) => found.network.sources[k]!.kind === 'bench lead' || there === (k === s ? 1 : 0)) && situation.positions.every((p) => p === 0));
    if (at === undefined) return;
    const awake = found.network.loads.flatMap((load, k) => (ASKED_ABOUT.has(load.kind) && at.classes[k]! >= 2 && wiredTogether(found, source.part, k, at) ? [k] : []));
    if (awake.length === 0) return;
    const key = awake.map((k) => found.network.loads[k]!.part).join(', ');
    const group = groups.get(key) ?? { motors: [], volts: 0 };
    group.motors.push(called(base.circuit, source.part));
    group.volts = Math.max(group.volts, ...awake.map((k) => at.voltages[k]!));
    groups.set(key, group);
  });
  return [...groups].map(([parts, { motors, volts }]) => `While ${motors.join(' or ')} turns, ${parts} stay${parts.includes(',') ? '' : 's'} awake at up to ${say(volts, 'voltage', 3)} with every switch open: a motor feeds the bus through its controller’s body diodes. Off means off only once it stands still.`);
}

/** The motors that turn in a situation; undefined when all are at rest. */
function turning(found: Survey, { situation }: Surveyed): readonly string[] | undefined {
  const some = found.network.sources.filter((source, s) => source.kind === 'spinning motor' && situation.present[s] === 1).map((source) => source.part);
  return some.length === 0 ? undefined : some;
}

function wakingItem(base: Study, found: Survey, k: number, at: Surveyed, motors: readonly string[] | undefined): Item {
  const { setting, network, intended } = found;
  const load = network.loads[k]!;
  const kind = CLASSES[at.classes[k]!]!;
  setting.set(at.situation, [], at.situation.reached);
  setting.settle();
  const path = feedingPath(setting, k);
  const reach = available(setting, k);
  const open = intended.openOnTheWay(k, at.situation);
  const volts = Math.abs(at.voltages[k]!);
  const behind = open.length === 0 ? 'with no pack that is meant to feed it' : `with ${open.map((part) => called(base.circuit, part)).join(' and ')} open`;
  const spins = motors === undefined ? '' : ` while ${motors.join(' and ')} turn${motors.length === 1 ? 's' : ''}`;
  const does = { dead: 'is dead', leaking: 'leaks', awake: 'wakes', 'can move': load.motor === undefined ? 'wakes' : 'can move' }[kind];
  const way = path.words.length === 0 ? '' : ` Fed by way of: ${path.words.join(' → ')}.`;
  return {
    where: `${called(base.circuit, load.part)} ${behind}${spins}`,
    verdict: at.classes[k]! >= 2 ? 'bad' : 'marginal',
    measure: 'stands across it',
    figure: figure(volts, 'V', 'voltage', []),
    limit: DEAD_V,
    margin: DEAD_V - volts,
    passes: undefined,
    parts: [load.part, ...path.parts],
    says: `It ${does}: ${say(volts, 'voltage', 3)} across it, up to ${say(reach.current_A, 'current')} and ${say(reach.power_W, 'power')} to be had (${wordsOf(found, at)}).${way}`,
    slip: false,
  };
}

/** A situation in words: what is closed, which packs are out. */
export function wordsOf({ network }: Survey, { situation }: Surveyed): string {
  const closed = network.rows.flatMap((row, r) => (situation.positions[r] === 0 ? [] : [`${row.part} ${row.positions[situation.positions[r]!]!.name}`]));
  const out = network.sources.filter((source, s) => (source.kind === 'pack' || source.kind === 'bench supply') && situation.present[s] === 0).map((source) => `${source.part} out`);
  return [...(closed.length === 0 ? ['every switch open'] : closed), ...out].join(', ');
}

function loopItems({ leads }: GroundLoop): Item[] {
  const signals = leads.filter((lead) => lead.signal && lead.section_m2 !== undefined);
  const hottest = [...signals].sort((a, b) => b.normal_A / b.section_m2! - a.normal_A / a.section_m2!)[0];
  if (hottest === undefined) return [];
  const limit = SIGNAL_A_MM2 * hottest.section_m2! * 1e6;
  return [{
    where: `signal ground ${hottest.name}, at full drive`,
    verdict: hottest.normal_A <= limit ? 'good' : hottest.normal_A <= 3 * limit ? 'marginal' : 'bad',
    measure: 'of the motors’ current flows in it',
    figure: figure(hottest.normal_A, 'A', 'current', []),
    limit,
    margin: limit - hottest.normal_A,
    passes: undefined,
    parts: [],
    says: `The negatives and the signal grounds make a loop, so ${say(hottest.normal_A, 'current')} of the motors’ current take the way of the signal ground; it carries ${say(limit, 'current')} for long.${hottest.lost === undefined ? '' : ` With ${hottest.lost} open it is ${say(hottest.lost_A, 'current')}.`}`,
    slip: false,
  }];
}

/** Current that a thin lead in a bundle carries for long, A/mm². Common practice, no source. */
const SIGNAL_A_MM2 = 10;

function summary(found: Survey, items: readonly Item[]): string {
  if (found.network.rows.length === 0) return 'There is no switch to open.';
  if (found.unsolved > 0) return `In ${found.unsolved} of ${found.situations} situations no state of rest was found.`;
  const bad = items.filter((item) => item.verdict === 'bad');
  if (bad.length > 0) return `Yes: ${bad[0]!.where}. ${bad[0]!.says}${bad.length > 1 ? ` And ${bad.length - 1} more.` : ''}`;
  const first = items.find((item) => item.verdict === 'marginal');
  if (first !== undefined) return `No load wakes over a bridge in any of ${found.situations} combinations. But ${first.where}: ${first.says}`;
  return `No: in all ${found.situations} combinations of switches, packs and turning motors a load behind an open switch stays dead.`;
}

function stateTable(found: Survey): Evidence {
  const { network } = found;
  const rows = found.surveyed.filter((one) => turning(found, one) === undefined && network.sources.every((source, s) => source.kind === 'spinning motor' || one.situation.present[s] === 1));
  const columns = network.loads.flatMap((load, k) => (ASKED_ABOUT.has(load.kind) ? [k] : []));
  return {
    type: 'table',
    title: `Every state with the packs in and the motors at rest${rows.length > ROWS ? ` (the first ${ROWS} of ${rows.length})` : ''}; * means meant to be fed`,
    head: [...network.rows.map((row) => row.part), 'stands for', ...columns.map((k) => network.loads[k]!.part)],
    rows: rows.slice(0, ROWS).map((one) => [
      ...network.rows.map((row, r) => row.positions[one.situation.positions[r]!]!.name),
      String(one.situation.standsFor),
      ...columns.map((k) => `${CLASSES[one.classes[k]!]!}${one.fed[k] === 1 ? '*' : ''} ${say(one.voltages[k]!, 'voltage')}`),
    ]),
  };
}

function loopTable({ leads }: GroundLoop, k: number): Evidence {
  return {
    type: 'table',
    title: `Loop ${k + 1} of the negatives: currents at full drive`,
    head: ['lead', 'resistance', 'whole', 'worst with one negative lost', 'which'],
    rows: leads.map((lead) => [lead.name, say(lead.ohm, 'resistance'), say(lead.normal_A, 'current'), say(lead.lost_A, 'current'), lead.lost ?? '']),
  };
}

function basis(found: Survey): string[] {
  const { network } = found;
  const motors = network.sources.filter((source) => source.kind === 'spinning motor').length;
  const guessed = network.loads.filter((load) => load.motor?.breakawayGuessed === true).map((load) => load.part);
  return [
    `${found.situations} situations: every position of ${network.rows.length} switches, packs in and out, ${found.motorsInTurn ? `${motors} motors at rest, each turning alone, and all turning` : `each of ${motors} motors at rest and turning`}. They differ in ${found.surveyed.length}${found.exchanged === 0 ? '' : `, ${found.exchanged} of them as equal branches exchanged`}, all solved${found.unsolved === 0 ? ', none left out' : ` but ${found.unsolved}`}.`,
    `Dead: under ${say(DEAD_V, 'voltage')} and under ${say(DEAD_A, 'current')} to be had. Awake: its start condition is met, if only for a moment. Able to move: awake, and its supply or the burst in its capacitors gives the power that breaks its load away, heat of the windings at that current.`,
    'A load is meant to be fed when a pack reaches it along the wires in the direction in which they are written. A motor that turns stands at the voltage that the full pack gives it, behind two body diodes of its controller.',
    ...(guessed.length === 0 ? [] : [`What breaks the loads of ${guessed.join(', ')} away is not stated: a class default is taken (common practice, no source).`]),
  ];
}
