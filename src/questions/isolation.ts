import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { available } from './states/available.ts';
import { ASKED_ABOUT, bridgeRecords, turning, wiredTogether, type Bridge, type BridgeRecord } from './states/bridges.ts';
import { feedingPath } from './states/feeding-path.ts';
import { groundLoops, type GroundLoop } from './states/ground-loops.ts';
import { CLASSES, DEAD_A, DEAD_V } from './states/load-class.ts';
import type { Survey } from './states/survey.ts';
import type { Surveyed } from './states/surveyed.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

const ROWS = 40;
/** Share of the spread in which a load must stay asleep. */
const ENOUGH = 0.9;

/** Can a branch wake while its isolator is open? */
export function isolation(base: Study, records: readonly SampleRecord[]): Asked {
  const bridges = base.bridges();
  const found = bridges.survey;
  const items = bridges.list.map((bridge, k) => wakingItem(base, found, bridge, records.map((record) => record.bridges[k]!)));
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
    passes: decides?.passes,
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
  const at = decides === undefined ? -1 : items.indexOf(decides);
  if (at < 0) return { answer, drawn: [] };
  return {
    answer,
    drawn: records.map((record) => record.bridges[at]!.volts),
    verdictAt: (values) => verdictOf(bridgeRecords(bridges, values)[at]!.kind, 1),
  };
}

/** What wakes is bad, and what wakes in one sample of ten; what only leaks is a thing to know. */
function verdictOf(kind: number, passes: number | undefined): Verdict {
  if (kind >= 2 || (passes !== undefined && passes < ENOUGH)) return 'bad';
  return kind === 0 ? 'good' : 'marginal';
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

function wakingItem(base: Study, found: Survey, { load: k, at, motors }: Bridge, samples: readonly BridgeRecord[]): Item {
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
  const passes = shareOf(samples, (sample) => sample.kind < 2);
  const spread = at.classes[k]! >= 2 || passes === undefined || passes === 1 ? '' : ` Over the spread of what is not stated it wakes in ${Math.round(100 * (1 - passes))} % of the samples.`;
  const does = { dead: 'is dead', leaking: 'leaks', awake: 'wakes', 'can move': load.motor === undefined ? 'wakes' : 'can move' }[kind];
  const way = path.words.length === 0 ? '' : ` Fed by way of: ${path.words.join(' → ')}.`;
  return {
    where: `${called(base.circuit, load.part)} ${behind}${spins}`,
    verdict: verdictOf(at.classes[k]!, passes),
    measure: 'stands across it',
    figure: figure(volts, 'V', 'voltage', middleNinety(samples.map((sample) => sample.volts))),
    limit: DEAD_V,
    margin: DEAD_V - volts,
    passes,
    parts: [load.part, ...path.parts],
    says: `It ${does}: ${say(volts, 'voltage', 3)} across it, up to ${say(reach.current_A, 'current')} and ${say(reach.power_W, 'power')} to be had (${wordsOf(found, at)}).${spread}${way}`,
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
