import type { Way } from '../machine/circuit/chains.ts';
import type { Bank } from '../machine/circuit/loads.ts';
import { positionsBefore } from '../machine/circuit/positions.ts';
import type { Closing, Refusal } from '../machine/circuit/power-up.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { coilItems } from './coil-hold.ts';
import { closingName, closingSentence, closingShortly } from './closing-words.ts';
import { judgeClosing, type ClosingMeasures, type ContactJudgement } from './contact-judgement.ts';
import { contactData, recordClosing, runPowerUp, TOUCH_S } from './runs.ts';
import { studySlips } from './slips.ts';
import { closedWays, upstreamWays } from './soft-starts.ts';
import { allowedMissing, banksBehind, type SampleRecord, type Study } from './study.ts';
import { called, deciding, figure, middleNinety, RANK, say, shareOf, worst } from './words.ts';

/** Below this share of good samples a good nominal value is only marginal. */
const ENOUGH = 0.9;

interface Judged {
  readonly closing: Closing;
  readonly measures: ClosingMeasures;
  readonly judgement: ContactJudgement;
  readonly item: Item;
}

/** Will closing a switch spark? With what slips of the crew do. */
export function spark(base: Study, records: readonly SampleRecord[]): Asked {
  const asked = sparkAsWritten(base, records);
  const { items, harmless, refused } = studySlips(base);
  const { answer } = asked;
  return {
    ...asked,
    answer: {
      ...answer,
      items: [...answer.items, ...items],
      notAProblem: harmless.length === 0 ? answer.notAProblem : [...answer.notAProblem, `Harmless: ${harmless.join('; ')}`],
      basis: refused.length === 0 ? answer.basis : [...answer.basis, `Not told, because the numbers cannot be trusted: ${refused.join('; ')}.`],
    },
  };
}

/** The same for the procedure as it is written, with the coils that keep contactors closed. */
export function sparkAsWritten(base: Study, records: readonly SampleRecord[]): Asked {
  const asked = sparkOfClosings(base, records);
  const coils = coilItems(base, records);
  const loose = deciding(coils);
  const { answer } = asked;
  const items = [...answer.items, ...coils];
  const notAProblem = [...answer.notAProblem, ...coils.flatMap(({ verdict, where, says }) => (verdict === 'good' ? [`${where}: ${says}`] : []))];
  if (loose === undefined || RANK[loose.verdict] <= RANK[answer.verdict]) return { ...asked, answer: { ...answer, items, notAProblem } };
  const { verdict, figure: lowest, limit, margin, passes, parts, where, says } = loose;
  const at = coils.indexOf(loose);
  return {
    answer: {
      ...answer, verdict, figure: lowest, limit, margin, passes, parts, items, notAProblem, says: `${where}: ${says}`,
      cautions: [...answer.cautions, 'A contactor that falls open under load draws an arc, and one that chatters can weld.'],
    },
    drawn: records.map((record) => record.coils[at]?.lowest_V ?? NaN),
  };
}

function sparkOfClosings(base: Study, records: readonly SampleRecord[]): Asked {
  const judged = base.nominal.closings.map(({ closing, measures }, k) => judge(base, closing, measures, records.map((r) => r.closings[k]!)));
  const items = judged.map((j) => j.item);
  const decides = deciding(items);
  const main = judged.find((j) => j.item === decides);
  const verdict = worst(judged.map((j) => j.item.verdict));
  const answer: Answer = {
    id: 'spark',
    question: 'Will closing a switch spark?',
    verdict: judged.length === 0 ? 'cannot tell' : verdict,
    says: judged.length === 0 ? 'The procedure closes nothing.' : summary(base, verdict, main),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: judged.length === 0 ? ['a procedure that closes a switch'] : [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: main === undefined ? [] : [closingTable(base, judged), currentPlot(base, main)],
    advice: [],
    basis: [
      'Each closing is simulated as a contact that touches, builds up force, bounces, and burns an arc when current and voltage can feed one.',
      'It is judged by metal melted at the touching spots, metal eroded by arcs, and its make rating; wear is an order of magnitude.',
    ],
    cautions: ['A closing that is good for the contact can still snap and flash: keep eyes and fingers away from it.'],
    notAProblem: judged.filter((j) => j.item.verdict === 'good').map((j) => `${j.item.where}: ${closingShortly(j.measures, base.supply_V)}`),
  };
  if (main === undefined) return { answer, drawn: [] };
  return {
    answer,
    drawn: records.map((r) => r.closings[judged.indexOf(main)]?.missing_V ?? NaN),
    verdictAt: (values) => closingVerdict(base, main.closing, values),
  };
}

/** Verdict of one closing at other values: the procedure is run up to it. */
function closingVerdict({ circuit, machine }: Study, { step, way, part }: Closing, values: Float64Array): Verdict {
  const { closings } = runPowerUp(circuit, machine.powerUp.slice(0, step + 1), values);
  const found = closings.find(({ closing }) => closing.step === step && closing.way === way);
  return found === undefined ? 'cannot tell' : judgeClosing(found.measures, contactData(circuit, part, values)).verdict;
}

function judge(base: Study, closing: Closing, measures: ClosingMeasures, samples: readonly SampleRecord['closings'][number][]): Judged {
  const { circuit, values } = base;
  const judgement = judgeClosing(measures, contactData(circuit, closing.part, values));
  const passes = shareOf(samples, (s) => s.verdict === 'good');
  const verdict: Verdict = judgement.verdict === 'good' && passes !== undefined && passes < ENOUGH ? 'marginal' : judgement.verdict;
  const missing = Math.max(0, measures.missing_V);
  const limit = closing.refused ? undefined : limitOf(base, closing, missing, judgement);
  const item: Item = {
    where: closingName(circuit, closing),
    verdict,
    measure: 'across the contact as it closes',
    figure: figure(missing, 'V', 'voltage', middleNinety(samples.map((s) => Math.max(0, s.missing_V)))),
    limit,
    margin: limit === undefined ? undefined : limit - missing,
    passes,
    parts: [closing.part, ...(closing.way.through === undefined ? [] : [closing.way.through])],
    says: closing.refused === false ? closingSentence(measures, judgement, base.supply_V) : refusalSentence(closing.refused, missing),
    slip: false,
  };
  return { closing, measures, judgement, item };
}

function refusalSentence(why: Refusal, missing_V: number): string {
  switch (why) {
    case 'threshold':
      return `It stays open: ${say(missing_V, 'voltage')} across the contact are more than its threshold allows.`;
    case 'coil':
      return 'It stays open: its coil does not get enough.';
    case 'welded':
      return 'It stays open: its mirror contact tells that the main contact is welded.';
  }
}

/** Largest missing voltage that this contact closes on well. */
function limitOf(base: Study, closing: Closing, missing: number, judgement: ContactJudgement): number | undefined {
  const { part, way } = closing;
  const soft = base.softStarts.find((s) => s.mains.some((m) => m.way === way));
  if (soft !== undefined) return soft.allowed_V;
  // It closes well on all that the pack has: nothing limits it.
  if (judgement.verdict === 'good' && missing > 0.9 * base.supply_V) return undefined;
  const { closed, banks } = situation(base, closing);
  return allowedMissing(base.circuit, part, way, closed, banks, base.values, base.supply_V);
}

/** What is closed before a closing of the procedure, and the banks that it closes onto. */
function situation(base: Study, { step, way }: Closing): { closed: ReadonlySet<Way>; banks: readonly Bank[] } {
  const { circuit, machine } = base;
  const standing = closedWays(circuit, positionsBefore(machine, machine.powerUp, step));
  const closed = new Set([...standing, ...upstreamWays(circuit, way.from)].filter((other) => other.from !== way.from || other.to !== way.to));
  return { closed, banks: banksBehind(circuit, way, standing) };
}

function summary(base: Study, verdict: Verdict, main: Judged | undefined): string {
  if (main === undefined) return 'No.';
  const { item } = main;
  if (verdict === 'good') {
    const hardest = base.softStarts.length === 0 ? `This machine needs no soft start: ` : '';
    return `No. ${hardest}${item.where} finds ${closingShortly(main.measures, base.supply_V)}, and the contact takes it.`;
  }
  const start = verdict === 'bad' ? 'Yes.' : 'Perhaps.';
  const wanted = item.limit === undefined ? '' : ` No more than ${say(item.limit, 'voltage')} would be good.`;
  return `${start} ${item.where}: ${closingSentence(main.measures, main.judgement, base.supply_V)}${wanted}`;
}

function closingTable(base: Study, judged: readonly Judged[]): Evidence {
  return {
    type: 'table',
    title: 'Every contact that closes, in order',
    head: ['When', 'Which', 'Missing', 'Peak', 'In the contact', 'Through arcs', 'Let-through', 'Spot voltage', 'Closings until worn'],
    rows: judged.map(({ closing, measures, judgement }) => [
      say(closing.time_s, 'time', 3),
      `${called(base.circuit, closing.part)} ${closing.position}`,
      say(Math.max(0, measures.missing_V), 'voltage', 3),
      say(measures.peak_A, 'current', 3),
      say(measures.contact_J, 'energy', 2),
      say(measures.arc_C, 'charge', 2),
      say(measures.letThrough_A2s, 'let-through', 2),
      say(measures.spot_V, 'voltage', 2),
      judgement.closings >= 1e6 ? 'over a million' : `about ${say(judgement.closings, 'count', 1)}`,
    ]),
  };
}

function currentPlot(base: Study, { closing, measures, item }: Judged): Evidence {
  const { circuit, values } = base;
  const { way, part } = closing;
  const { run } = recordClosing(
    { circuit, part, way, ...situation(base, closing), missing_V: Math.max(0, measures.missing_V), values },
    { watches: [way.branch.currentWatch], between: 2 },
  );
  const { time_s, curves } = run.recording;
  const shown = time_s.flatMap((t, k) => (t >= TOUCH_S && t <= TOUCH_S + 2e-3 ? [k] : []));
  return {
    type: 'plot',
    title: `Current through the contact: ${item.where}`,
    x: { name: 'time after first touch', unit: 's' },
    y: { name: 'current', unit: 'A' },
    curves: [{ name: 'contact', x: shown.map((k) => time_s[k]! - TOUCH_S), y: shown.map((k) => curves[0]![k]!) }],
    thresholds: [{ name: 'make rating', at: contactData(circuit, part, values).make_A, axis: 'y' }],
    marks: [],
  };
}
