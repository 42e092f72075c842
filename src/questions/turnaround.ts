import type { HeatRecord, MatchRecord, PackRecord } from '../machine/match/record.ts';
import type { Pack } from '../machine/parts/pack.ts';
import { CELL_LIMITS, openCircuit_V } from '../physics/cells.ts';
import { chargeTime_s } from '../physics/packs.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { DAY, restExcess_K, restNeeded_s } from './match-cooling.ts';
import { fightOf, matchBasis, matchSpread, span, standingStill } from './match-study.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

/** Charge rate that every chemistry bears. Common practice, no source. */
const RATE_PER_H = 1;
/** A lithium pack is not charged above this. Common practice, no source. */
const CHARGE_BELOW_C = 45;
/** Getting at the pack and putting it back. Common practice, no source. */
const SWAP_S = 5 * 60;
/** What is gone at the end of a charge. Common practice, no source. */
const CHARGER_EFFICIENCY = 0.85;
const ENOUGH = 0.95;

/** When is it ready for the next match, and how many packs and which charger does a day need? */
export function turnaround(base: Study, _records: readonly SampleRecord[], fights: readonly MatchRecord[]): Asked {
  const fought = fightOf(base);
  if (fought.status === 'impossible') return { answer: { ...BLANK, needs: fought.needs, says: `No match can be run: needs ${fought.needs.join(', ')}.` }, drawn: [] };
  const { fight } = fought;
  const { record } = fight;
  const packs = record.packs.map((one, k) => filled(base, record, one, fights.map((f) => ({ record: f, pack: f.packs[k]! }))));
  const rest = restItem(base, record, fights);
  const items = [rest.item, ...packs.flatMap(({ items: own }) => own), ...standingStill(fight)];
  const decides = deciding(items);
  const verdict = worst(items.map((item) => item.verdict));
  const answer: Answer = {
    ...BLANK,
    verdict,
    says: `${rest.item.says} ${packs.map(({ says }) => says).join(' ')}`.trim(),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: fight.match.needs,
    parts: decides?.parts ?? [],
    evidence: [coolingTable(base, record), packTable(base, packs)],
    basis: [
      ...matchBasis(fight),
      `A day of ${DAY.matches} matches with ${span(DAY.pause_s)} between them, charged at ${RATE_PER_H} C, ${span(SWAP_S)} for getting at the pack and putting it back (common practice, no source). The file cannot say them yet.`,
      'Charging: constant current to 80 %, from there twice as long for each share (common practice, no source). A pack is not charged above 45 °C.',
      'Each part falls towards the temperature at which it started by e^(-t·G/C); the rise of one match comes on top.',
    ],
    cautions: ['Charge in a fireproof bag, with somebody beside it, and never a pack that is warm to the hand, swollen or hit.'],
    notAProblem: items.filter((item) => item.verdict === 'good' && item.limit !== undefined).map((item) => `${item.where}: ${item.says}`),
  };
  return { answer, drawn: [], spread: matchSpread(fights) };
}

const BLANK: Answer = {
  id: 'turnaround', question: 'When is it ready for the next match, and what does a day need?', verdict: 'cannot tell', says: '', figure: undefined, limit: undefined, margin: undefined, passes: undefined,
  items: [], needs: [], refused: undefined, parts: [], evidence: [], advice: [], basis: [], cautions: [], notAProblem: [],
};

/** Rest that the machine's parts need, the longest of them; parts that not even one match leaves below their limit are another question's. */
function longestRest(record: MatchRecord): { readonly rest_s: number; readonly part: HeatRecord | undefined } {
  let longest: { rest_s: number; part: HeatRecord | undefined } = { rest_s: 0, part: undefined };
  for (const one of record.heats) {
    if (one.limit_C === undefined || one.sort === 'pack') continue;
    const rest_s = restNeeded_s(one, one.limit_C) ?? 0;
    if (rest_s > longest.rest_s) longest = { rest_s, part: one };
  }
  return longest;
}

function restItem(base: Study, record: MatchRecord, fights: readonly MatchRecord[]): { readonly item: Item } {
  const { rest_s, part } = longestRest(record);
  const samples = fights.map((fight) => longestRest(fight).rest_s);
  const passes = shareOf(samples, (sample) => sample <= DAY.pause_s);
  const own: Verdict = rest_s <= DAY.pause_s ? 'good' : 'marginal';
  const beyond = record.heats.filter((one) => one.limit_C !== undefined && one.sort !== 'pack' && restNeeded_s(one, one.limit_C) === undefined);
  return {
    item: {
      where: 'the machine, with a fresh pack',
      verdict: own === 'good' && passes !== undefined && passes < ENOUGH ? 'marginal' : own,
      measure: 'rest before the next match',
      figure: figure(rest_s, 's', 'time', middleNinety(samples)),
      limit: DAY.pause_s,
      margin: DAY.pause_s - rest_s,
      passes,
      parts: part === undefined ? [] : [part.where],
      says: `${part === undefined ? 'With a fresh pack it can fight again at once: no part has to cool first' : `With a fresh pack it can fight again after ${span(rest_s)}: ${wordsOf(base, part)} has to cool so far that one more match keeps it below ${say(part.limit_C!, 'temperature', 3)}`}.${beyond.length === 0 ? '' : ` Not counted: ${beyond.map((one) => wordsOf(base, one)).join(', ')}, too hot in one match already (see heat).`}`,
      slip: false,
    },
  };
}

function wordsOf(base: Study, { where, sort, name }: HeatRecord): string {
  if (sort === 'winding') return `the winding of ${called(base.circuit, where)}`;
  return base.machine.parts.has(where) ? called(base.circuit, where) : `the ${name}`;
}

/** What one pack needs between matches. */
interface Charged {
  readonly one: PackRecord;
  readonly capacity_Ah: number;
  readonly cool_s: number | undefined;
  readonly charge_s: number;
  readonly power_W: number;
  readonly packs: number;
  readonly storage_V: number;
  readonly storage: number;
}

interface Filled {
  readonly charged: Charged;
  readonly items: readonly Item[];
  readonly says: string;
}

/** Rest until a pack may be charged, s; undefined where it never falls so far. */
function coolBeforeCharge_s(record: MatchRecord, part: string): number | undefined {
  const lump = record.heats.find(({ where, sort }) => where === part && sort === 'pack');
  if (lump === undefined || !(lump.atEnd_C > CHARGE_BELOW_C)) return 0;
  const over_K = CHARGE_BELOW_C - lump.atStart_C;
  if (!(over_K > 0 && lump.conductance_W_K > 0)) return undefined;
  return (lump.capacity_J_K / lump.conductance_W_K) * Math.log((lump.atEnd_C - lump.atStart_C) / over_K);
}

function chargedOf(record: MatchRecord, one: PackRecord, { values }: Pick<Pack, 'values'>): Charged {
  const capacity_Ah = one.usedShare > 1e-6 ? one.used_C / one.usedShare / 3600 : values.capacity.value / 3600;
  const end = Math.min(1, Math.max(0, one.chargeAtEnd));
  const current_A = RATE_PER_H * capacity_Ah;
  const charge_s = chargeTime_s(capacity_Ah, end, 1, current_A);
  const cool_s = coolBeforeCharge_s(record, one.part);
  const { full_V, storage_V } = CELL_LIMITS[values.chemistry];
  const away_s = record.length_s + (cool_s ?? DAY.pause_s) + charge_s + SWAP_S;
  const packs = Math.min(DAY.matches, Math.max(1, Math.ceil(away_s / (record.length_s + DAY.pause_s))));
  return { one, capacity_Ah, cool_s, charge_s, power_W: (full_V * values.cells.value * current_A) / CHARGER_EFFICIENCY, packs, storage_V, storage: storageCharge(values.chemistry, storage_V) };
}

/** State of charge at which a cell rests at its storage voltage. */
function storageCharge(chemistry: Pack['values']['chemistry'], storage_V: number): number {
  let [low, high] = [0, 1];
  for (let halving = 0; halving < 40; halving++) {
    const middle = (low + high) / 2;
    if (openCircuit_V(chemistry, middle) < storage_V) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function filled(base: Study, record: MatchRecord, one: PackRecord, samples: readonly { readonly record: MatchRecord; readonly pack: PackRecord }[]): Filled {
  const part = base.machine.parts.get(one.part);
  if (part?.kind !== 'pack') throw new Error(`${one.part} is no pack`);
  const charged = chargedOf(record, one, part);
  const others = samples.map((sample) => chargedOf(sample.record, sample.pack, part));
  const { cool_s, charge_s, packs, power_W, capacity_Ah } = charged;
  const name = called(base.circuit, one.part);
  const ready_s = (cool_s ?? 0) + charge_s + SWAP_S;
  const says = `${name}: ${say(Math.max(0, one.used_C), 'charge')} to put back, ${span(charge_s)} at ${RATE_PER_H} C (${say(capacity_Ah * RATE_PER_H, 'current')}, a charger of about ${say(power_W, 'power')})${cool_s === undefined ? '; it is too warm to be charged' : cool_s > 0 ? ` after ${span(cool_s)} of cooling` : ''}. ${packs === 1 ? 'One pack is enough for the day.' : `${packs} packs for a day of ${DAY.matches} matches.`}`;
  return {
    charged,
    says,
    items: [
      {
        where: name, verdict: cool_s === undefined ? 'marginal' : 'good', measure: 'until it is full and back in', figure: figure(ready_s, 's', 'time', middleNinety(others.map((o) => (o.cool_s ?? 0) + o.charge_s + SWAP_S))),
        limit: undefined, margin: undefined, passes: undefined, parts: [one.part], says: `${says}${ready_s > DAY.pause_s ? ` It is not back within the pause of ${span(DAY.pause_s)}: have another one ready.` : ''}`, slip: false,
      },
      {
        where: `packs like ${name}`, verdict: 'good', measure: 'for a day', figure: figure(packs, '1', 'count', middleNinety(others.map((o) => o.packs))),
        limit: undefined, margin: undefined, passes: undefined, parts: [one.part], says: `${packs} for ${DAY.matches} matches with ${span(DAY.pause_s)} between them, each with a charger of its own.`, slip: false,
      },
    ],
  };
}

function coolingTable(base: Study, record: MatchRecord): Evidence {
  const ranked = [...record.heats].sort((a, b) => b.atEnd_C - b.atStart_C - (a.atEnd_C - a.atStart_C)).slice(0, 10);
  const rests = [10 * 60, 20 * 60, DAY.pause_s];
  return {
    type: 'table',
    title: 'How warm it still is between matches',
    head: ['Part', 'At the end', ...rests.map((rest_s) => `After ${span(rest_s)}`)],
    rows: ranked.map((one) => [wordsOf(base, one), say(one.atEnd_C, 'temperature', 3), ...rests.map((rest_s) => say(one.atStart_C + restExcess_K(one, rest_s), 'temperature', 3))]),
  };
}

function packTable(base: Study, packs: readonly Filled[]): Evidence {
  return {
    type: 'table',
    title: 'Charging',
    head: ['Pack', 'Left', 'To put back', 'Cooling', `Time at ${RATE_PER_H} C`, 'Charger', 'Packs a day', 'To store'],
    rows: packs.map(({ charged: { one, cool_s, charge_s, power_W, packs: count, storage, storage_V, capacity_Ah } }) => [
      called(base.circuit, one.part), say(Math.max(0, one.chargeAtEnd), 'ratio'), say(Math.max(0, one.used_C), 'charge'), cool_s === undefined ? 'too warm' : span(cool_s), span(charge_s), say(power_W, 'power'), `${count}`,
      `${storage > one.chargeAtEnd ? 'put in' : 'take out'} ${say(Math.abs(storage - Math.max(0, one.chargeAtEnd)) * capacity_Ah * 3600, 'charge')}, to ${say(storage_V, 'voltage')} a cell`,
    ]),
  };
}
