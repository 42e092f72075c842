import type { HeatRecord, MatchRecord } from '../machine/match/record.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { hottestInRow, SHORT_PAUSE_S } from './match-cooling.ts';
import type { Fight } from './match-fought.ts';
import { fightOf, matchBasis, matchSpread, moment, span, standingStill } from './match-study.ts';
import type { SampleRecord, Study } from './study.ts';
import { unlimitedItems } from './unlimited.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

const ENOUGH = 0.95;
/** Within this share of the way to its limit a part is warm, not hot. Common practice, no source. */
const ROOM = 0.9;
const MATCHES = 3;
/** Rows of the table and curves of the plot. */
const SHOWN = 12;
const DRAWN = 6;

type Limited = HeatRecord & { readonly limit_C: number };

/** Will anything overheat? */
export function heat(base: Study, _records: readonly SampleRecord[], fights: readonly MatchRecord[]): Asked {
  const fought = fightOf(base);
  if (fought.status === 'impossible') return { answer: { ...BLANK, needs: fought.needs, says: `No match can be run: needs ${fought.needs.join(', ')}.` }, drawn: [] };
  const { fight } = fought;
  const { record } = fight;
  const limited = record.heats.flatMap((one, k): { one: Limited; samples: readonly HeatRecord[] }[] => (one.limit_C === undefined ? [] : [{ one: { ...one, limit_C: one.limit_C }, samples: fights.map((f) => f.heats[k]!) }]));
  const ranked = [...limited].sort((a, b) => share(b.one) - share(a.one));
  const items = [
    ...ranked.map(({ one, samples }) => itemOf(base, record, one, samples)),
    ...unlimitedItems(base, record, fights),
    ...standingStill(fight),
    ...ranked.flatMap(({ one }) => laterItem(base, record, one)),
  ];
  const decides = deciding(items);
  const verdict = worst(items.filter((item) => !item.slip).map((item) => item.verdict));
  const answer: Answer = {
    ...BLANK,
    verdict,
    says: decides === undefined ? 'Nothing in the match has a limit to compare with.' : `${lead(verdict)} ${decides.where}: ${decides.says}`,
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: fight.match.needs,
    parts: decides?.parts ?? [],
    evidence: ranked.length === 0 ? [] : [...heatPlot(fight, ranked.map(({ one }) => one)), rankTable(base, record, ranked.map(({ one }) => one)), ...leadTable(record)],
    basis: [
      ...matchBasis(fight),
      'Each part is a lump that warms by what it loses and cools into the air inside; conductors by convection and radiation, windings through their housing. Capacities and thermal resistances are class data where the file does not give them (common practice, no source: a factor of two).',
      `Second and third match: ${span(SHORT_PAUSE_S)} after the last, each part falling towards its start by e^(-t·G/C), and the rise of one match on top.`,
    ],
    cautions: verdict === 'good' ? [] : ['A part that is too hot is found by hand only minutes later: look at it right after the match, with a thermometer or a temperature strip.'],
    notAProblem: items.filter((item) => item.verdict === 'good' && !item.slip).map((item) => `${item.where}: ${item.says}`).slice(0, 6),
  };
  return { answer, drawn: [], spread: matchSpread(fights) };
}

const BLANK: Answer = {
  id: 'heat', question: 'Will anything overheat?', verdict: 'cannot tell', says: '', figure: undefined, limit: undefined, margin: undefined, passes: undefined,
  items: [], needs: [], refused: undefined, parts: [], evidence: [], advice: [], basis: [], cautions: [], notAProblem: [],
};

function lead(verdict: Verdict): string {
  return verdict === 'good' ? 'No. The nearest to its limit is' : verdict === 'bad' ? 'Yes.' : verdict === 'marginal' ? 'Nearly.' : 'That is not known.';
}

/** Share of the way from its start to its limit, 1 at it. */
function share({ hottest, atStart_C, limit_C }: Limited): number {
  return (hottest.value - atStart_C) / Math.max(1, limit_C - atStart_C);
}

function verdictAt(one: Limited, hottest_C: number): Verdict {
  const way = (hottest_C - one.atStart_C) / Math.max(1, one.limit_C - one.atStart_C);
  return hottest_C > one.limit_C ? 'bad' : way <= ROOM ? 'good' : 'marginal';
}

function nameOf(base: Study, { where, name, sort }: HeatRecord): string {
  if (sort === 'winding') return `winding of ${called(base.circuit, where)}`;
  return base.machine.parts.has(where) ? called(base.circuit, where) : name;
}

function itemOf(base: Study, record: MatchRecord, one: Limited, samples: readonly HeatRecord[]): Item {
  const { where, hottest, limit_C } = one;
  const passes = shareOf(samples, (sample) => sample.hottest.value <= (sample.limit_C ?? limit_C));
  const folded = record.controllers.find(({ part }) => part === where && one.sort === 'controller');
  const folds = folded !== undefined && folded.leastAllowed < 1;
  const hot = verdictAt(one, hottest.value);
  // A controller that folds back protects itself: it is the machine that gets weak.
  const own: Verdict = one.sort === 'controller' && (hot === 'bad' || folds) ? 'marginal' : hot;
  return {
    where: nameOf(base, one),
    verdict: own === 'good' && passes !== undefined && passes < ENOUGH ? 'marginal' : own,
    measure: one.sort === 'cable' ? 'of the conductor, at its hottest' : 'at its hottest',
    figure: figure(hottest.value, '°C', 'temperature', middleNinety(samples.map((sample) => sample.hottest.value))),
    limit: limit_C,
    margin: limit_C - hottest.value,
    passes,
    parts: [where],
    says: `${say(hottest.value, 'temperature', 3)} at the hottest, ${moment(hottest)}; it bears ${say(limit_C, 'temperature', 3)}.${one.rms_A > 0 ? ` ${say(one.rms_A, 'current')} root mean square.` : ''}${folds ? ` It folds back to ${say(folded.leastAllowed, 'ratio')} of its motor current.` : ''}`,
    slip: false,
  };
}

/** A part that bears one match and not the ones after it, with a short pause between. */
function laterItem(base: Study, record: MatchRecord, one: Limited): Item[] {
  if (verdictAt(one, one.hottest.value) === 'bad') return [];
  const inRow = hottestInRow(one, MATCHES, SHORT_PAUSE_S, record.length_s);
  const at = inRow.findIndex((hottest_C) => hottest_C > one.limit_C);
  if (at < 0) return [];
  const hottest_C = inRow[at]!;
  return [
    {
      where: `${nameOf(base, one)} in match ${at + 1} in a row`, verdict: one.sort === 'controller' ? 'marginal' : 'bad', measure: 'at its hottest', figure: figure(hottest_C, '°C', 'temperature', []),
      limit: one.limit_C, margin: one.limit_C - hottest_C, passes: undefined, parts: [one.where],
      says: `After ${span(SHORT_PAUSE_S)} it has not cooled: ${say(hottest_C, 'temperature', 3)}; it bears ${say(one.limit_C, 'temperature', 3)}. Wait longer, or blow air on it.`, slip: true,
    },
  ];
}

function heatPlot({ record }: Fight, ranked: readonly Limited[]): Evidence[] {
  const { curves } = record;
  if (curves === undefined) return [];
  const drawn = ranked.flatMap((one) => {
    const column = curves.columns.find(({ name }) => name === `${one.where} temperature`);
    return column === undefined ? [] : [{ name: one.name, x: curves.time_s, y: column.values, limit_C: one.limit_C }];
  }).slice(0, DRAWN);
  const [first] = drawn;
  if (first === undefined) return [];
  return [
    {
      type: 'plot', title: 'The parts that come nearest to their limits', x: { name: 'time', unit: 's' }, y: { name: 'temperature', unit: '°C' },
      curves: drawn.map(({ name, x, y }) => ({ name, x, y })), thresholds: [{ name: `limit of ${first.name}`, at: first.limit_C, axis: 'y' }], marks: [],
    },
  ];
}

function rankTable(base: Study, record: MatchRecord, ranked: readonly Limited[]): Evidence {
  return {
    type: 'table',
    title: 'Hottest moments, nearest to their limits first',
    head: ['Part', 'Hottest', 'Bears', 'Way to it', 'When', 'Second match', 'Third match'],
    rows: ranked.slice(0, SHOWN).map((one) => {
      const [, second, third] = hottestInRow(one, MATCHES, SHORT_PAUSE_S, record.length_s);
      return [nameOf(base, one), say(one.hottest.value, 'temperature', 3), say(one.limit_C, 'temperature', 3), wayWords(share(one)), say(one.hottest.time_s, 'time', 3), say(second!, 'temperature', 3), say(third!, 'temperature', 3)];
    }),
  };
}

/** A way to the limit and beyond it, in one unit for the whole column. */
function wayWords(way: number): string {
  return way < 1 ? say(way, 'ratio') : `${Math.round(way * 100)} %`;
}

/** Title of the table of leads; the wire list reads it. */
export const LEADS_IN_MATCH = 'What each lead carries in the match';

/** Every lead of the match in the order of its strands, several of one chain in their order along it. */
function leadTable({ heats }: MatchRecord): Evidence[] {
  const leads = heats.filter(({ sort }) => sort === 'cable');
  if (leads.length === 0) return [];
  return [
    {
      type: 'table', title: LEADS_IN_MATCH, head: ['Lead', 'At the most', 'Root mean square', 'Hottest'],
      rows: leads.map(({ name, peak_A, rms_A, hottest }) => [name, say(peak_A, 'current', 3), say(rms_A, 'current', 3), say(hottest.value, 'temperature', 3)]),
    },
  ];
}
