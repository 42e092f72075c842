import type { MatchRecord, PackRecord } from '../machine/match/record.ts';
import type { Pack } from '../machine/parts/pack.ts';
import { CELL_LIMITS } from '../physics/cells.ts';
import { aged, coldCapacityShare } from '../physics/packs.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import type { Fight } from './match-fought.ts';
import { fightOf, matchBasis, matchSpread, moment, standingStill } from './match-study.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

const ENOUGH = 0.95;
/** A pack that ends a match below this share of its charge ages fast, and has nothing left for a longer one. Common practice, no source. */
const LEFT = 0.2;
/** Below this it is empty: the last of the charge is not there under load. Common practice, no source. */
const EMPTY_SHARE = 0.05;
/** Under load a cell may dip below its cut-off at rest for a moment, by this share of it, before it is harmed. Common practice, no source. */
const DIP = 0.9;
/** What a pack bears for long over its label's rate. Common practice, no source: labels are optimistic by two. */
const HONEST = 0.5;
/** Closer to the temperature that it bears than this is marginal, K. */
const ROOM_K = 5;
/** Matches behind an aged pack. */
const AGED = 150;
const COLD_C = 0;
const HOT_C = 45;
/** Air inside a machine that stood in the sun. */
const HOT_INSIDE_C = 55;

/** Will the pack last the match? With what it would do cold, hot and old. */
export function pack(base: Study, _records: readonly SampleRecord[], fights: readonly MatchRecord[]): Asked {
  return packIn(base, fights, variantsOf);
}

/** The same for the pack as the file has it, and no other. */
export function packAsItIs(base: Study, _records: readonly SampleRecord[], fights: readonly MatchRecord[]): Asked {
  return packIn(base, fights, () => []);
}

function packIn(base: Study, fights: readonly MatchRecord[], situations: (base: Study, fight: Fight) => Variant[]): Asked {
  const fought = fightOf(base);
  if (fought.status === 'impossible') return { answer: { ...BLANK, needs: fought.needs, says: `No match can be run: needs ${fought.needs.join(', ')}.` }, drawn: [] };
  const { fight } = fought;
  const { record } = fight;
  const own = record.packs.flatMap((one, k) => itemsOf(base, one, fights.map((f) => f.packs[k]!)));
  const variants = situations(base, fight);
  const items = [...own, ...standingStill(fight), ...variants.flatMap((variant) => variantItems(base, variant))];
  const decides = deciding(items);
  const verdict = worst(items.filter((item) => !item.slip).map((item) => item.verdict));
  const packs = record.packs.map(({ part }) => partOf(base, part));
  const answer: Answer = {
    ...BLANK,
    verdict,
    says: decides === undefined ? 'There is no pack in the match.' : `${lead(verdict)} ${record.packs.map((one) => chargeWords(base, one)).join(' ')}${verdict === 'good' ? '' : ` ${decides.where}: ${decides.says}`}`,
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: [...packs.flatMap((one) => (one.values.labelRate === undefined ? [`label rate of ${one.id}`] : [])), ...fight.match.needs],
    parts: decides?.parts ?? [],
    evidence: [...packPlot(fight), variantTable(base, fight, variants)],
    basis: [
      ...matchBasis(fight),
      `Good: ${say(LEFT, 'ratio')} of the charge left, no cell under its makers' cut-off even under load, within ${say(HONEST, 'ratio')} of the label's current for the whole match (common practice, no source).`,
      `Aged: ${AGED} matches, resistance times ${say(aged(AGED).resistance, 'count', 3)} and capacity times ${say(aged(AGED).capacity, 'count', 3)}; cold: ${say(COLD_C, 'temperature')} at the start; hot: ${say(HOT_C, 'temperature')} with ${say(HOT_INSIDE_C, 'temperature')} inside (common practice, no source). They are situations, not what the verdict is about.`,
    ],
    cautions: verdict === 'good' ? [] : ['A pack that was taken below its cut-off goes into the fireproof box and is not charged at full rate: measure every cell first.'],
    notAProblem: items.filter((item) => item.verdict === 'good' && !item.slip).map((item) => `${item.where}: ${item.says}`),
  };
  return { answer, drawn: [], spread: matchSpread(fights) };
}

const BLANK: Answer = {
  id: 'pack', question: 'Will the pack last the match?', verdict: 'cannot tell', says: '', figure: undefined, limit: undefined, margin: undefined, passes: undefined,
  items: [], needs: [], refused: undefined, parts: [], evidence: [], advice: [], basis: [], cautions: [], notAProblem: [],
};

function lead(verdict: Verdict): string {
  return verdict === 'good' ? 'Yes.' : verdict === 'bad' ? 'No.' : verdict === 'marginal' ? 'Barely.' : 'That is not known.';
}

function partOf(base: Study, id: string): Pack {
  const part = base.machine.parts.get(id);
  if (part?.kind !== 'pack') throw new Error(`${id} is no pack`);
  return part;
}

function chargeWords(base: Study, { part, used_C, usedShare, chargeAtEnd }: PackRecord): string {
  if (!(chargeAtEnd > 0)) return `${called(base.circuit, part)} is empty before the end: the match asks for ${say(used_C, 'charge')}.`;
  return `${called(base.circuit, part)} gives ${say(Math.max(0, used_C), 'charge')} (${say(Math.max(0, usedShare), 'ratio')}) and ends at ${say(Math.max(0, chargeAtEnd), 'ratio')}.`;
}

function chargeVerdict({ chargeAtEnd }: PackRecord): Verdict {
  return chargeAtEnd >= LEFT ? 'good' : chargeAtEnd >= EMPTY_SHARE ? 'marginal' : 'bad';
}

function cellVerdict(base: Study, { part, cellLowest }: PackRecord): Verdict {
  const { cutoff_V } = CELL_LIMITS[partOf(base, part).values.chemistry];
  return cellLowest.value >= cutoff_V ? 'good' : cellLowest.value >= DIP * cutoff_V ? 'marginal' : 'bad';
}

function withShare(own: Verdict, passes: number | undefined): Verdict {
  return own === 'good' && passes !== undefined && passes < ENOUGH ? 'marginal' : own;
}

function itemsOf(base: Study, one: PackRecord, samples: readonly PackRecord[]): Item[] {
  const { part, chargeAtEnd, cellLowest, peak, rms_A, hottest } = one;
  const { values } = partOf(base, part);
  const { cutoff_V } = CELL_LIMITS[values.chemistry];
  const name = called(base.circuit, part);
  const lasts = shareOf(samples, (sample) => sample.chargeAtEnd >= LEFT);
  const above = shareOf(samples, (sample) => sample.cellLowest.value >= cutoff_V);
  const limit_C = values.limitTemperature?.value;
  const cool = limit_C === undefined ? undefined : shareOf(samples, (sample) => sample.hottest.value <= limit_C);
  return [
    {
      where: `charge of ${name}`, verdict: withShare(chargeVerdict(one), lasts), measure: 'left at the end', figure: figure(chargeAtEnd, '1', 'ratio', middleNinety(samples.map((s) => s.chargeAtEnd))),
      limit: LEFT, margin: chargeAtEnd - LEFT, passes: lasts, parts: [part], says: chargeWords(base, one), slip: false,
    },
    {
      where: `weakest cell of ${name}`, verdict: withShare(cellVerdict(base, one), above), measure: 'lowest voltage under load', figure: figure(cellLowest.value, 'V', 'voltage', middleNinety(samples.map((s) => s.cellLowest.value))),
      limit: cutoff_V, margin: cellLowest.value - cutoff_V, passes: above, parts: [part],
      says: `At least ${say(cellLowest.value, 'voltage', 3)}, ${moment(cellLowest)}; its makers stop at ${say(cutoff_V, 'voltage')}.`, slip: false,
    },
    ...(values.labelRate === undefined ? [] : [currentItem(base, one, samples, (values.labelRate.value * values.capacity.value) / 3600)]),
    ...(limit_C === undefined
      ? []
      : [
          {
            where: `temperature of ${name}`, verdict: withShare(hottest.value <= limit_C - ROOM_K ? 'good' : hottest.value <= limit_C ? 'marginal' : 'bad', cool), measure: 'of its middle, at the hottest',
            figure: figure(hottest.value, '°C', 'temperature', middleNinety(samples.map((s) => s.hottest.value))), limit: limit_C, margin: limit_C - hottest.value, passes: cool, parts: [part],
            says: `${say(hottest.value, 'temperature')} at the hottest; it bears ${say(limit_C, 'temperature')}. ${say(peak.value, 'current')} at the most and ${say(rms_A, 'current')} root mean square.`, slip: false,
          } satisfies Item,
        ]),
  ];
}

/** Current that lasts against half of the label, the peak against the label. */
function currentItem(base: Study, { part, rms_A, peak }: PackRecord, samples: readonly PackRecord[], label_A: number): Item {
  const limit = HONEST * label_A;
  const passes = shareOf(samples, (sample) => sample.rms_A <= limit && sample.peak.value <= label_A);
  const own: Verdict = rms_A > limit ? 'bad' : peak.value > label_A ? 'marginal' : 'good';
  const peaks = own === 'marginal';
  const shown = peaks
    ? { measure: 'at the most', figure: figure(peak.value, 'A', 'current', middleNinety(samples.map((s) => s.peak.value))), limit: label_A, margin: label_A - peak.value }
    : { measure: 'root mean square over the match', figure: figure(rms_A, 'A', 'current', middleNinety(samples.map((s) => s.rms_A))), limit, margin: limit - rms_A };
  return {
    where: `current of ${called(base.circuit, part)}`, verdict: withShare(own, passes), ...shown, passes, parts: [part],
    says: `${say(rms_A, 'current')} root mean square, at the most ${say(peak.value, 'current')}, ${moment(peak)}. Its label says ${say(label_A, 'current')}, of which half is taken to be true for long.`, slip: false,
  };
}

interface Variant {
  readonly name: string;
  readonly record: MatchRecord | undefined;
}

/** The same match with a pack that is cold, hot or old, or that was not full. */
function variantsOf(base: Study, fight: Fight): Variant[] {
  if (fight.slow) return [];
  const { inputs } = fight.match;
  const packs = fight.record.packs.map(({ part }) => part);
  const scaled = (values: Float64Array, key: string, times: number): void => {
    if (inputs.has(key)) values[inputs.at(key)]! *= times;
  };
  const set = (values: Float64Array, key: string, to: number): void => {
    if (inputs.has(key)) values[inputs.at(key)] = to;
  };
  const age = aged(AGED);
  const cold = coldCapacityShare(COLD_C);
  return [
    { name: 'aged', record: fight.again('pack aged', (v) => packs.forEach((id) => { scaled(v, `${id}.cellResistance`, age.resistance); scaled(v, `${id}.capacity`, age.capacity); })) },
    { name: 'cold', record: fight.again('pack cold', (v) => packs.forEach((id) => { set(v, `${id}.temperature`, COLD_C); scaled(v, `${id}.capacity`, cold); })) },
    { name: 'hot', record: fight.again('pack hot', (v) => { set(v, 'surroundings.inside', HOT_INSIDE_C); packs.forEach((id) => set(v, `${id}.temperature`, HOT_C)); }) },
  ].map(({ name, record }) => ({ name: `${packs.length > 1 ? 'packs' : called(base.circuit, packs[0] ?? 'pack')} ${name}`, record }));
}

/** What a variant changes for the worse, as a slip: its worst pack alone. */
function variantItems(base: Study, { name, record }: Variant): Item[] {
  if (record === undefined) return [];
  const judged = record.packs.flatMap((one) => itemsOf(base, one, []));
  const verdict = worst(judged.map((item) => item.verdict));
  const decides = deciding(judged);
  return decides === undefined ? [] : [{ ...decides, where: `${name}: ${decides.where}`, verdict, slip: true }];
}

function packPlot({ record }: Fight): Evidence[] {
  const { curves } = record;
  if (curves === undefined) return [];
  const cells = record.packs.flatMap(({ part }) => {
    const column = curves.columns.find(({ name }) => name === `${part} weakest cell`);
    return column === undefined ? [] : [{ name: `${part}, weakest cell`, x: curves.time_s, y: column.values }];
  });
  const currents = record.packs.flatMap(({ part }) => {
    const column = curves.columns.find(({ name }) => name === `${part} current`);
    return column === undefined ? [] : [{ name: part, x: curves.time_s, y: column.values }];
  });
  return [
    { type: 'plot', title: 'Weakest cell in the match', x: { name: 'time', unit: 's' }, y: { name: 'voltage', unit: 'V' }, curves: cells, thresholds: [], marks: record.packs.map(({ cellLowest }) => ({ x: cellLowest.time_s, y: cellLowest.value, name: 'lowest' })) },
    { type: 'plot', title: 'Current of the packs in the match', x: { name: 'time', unit: 's' }, y: { name: 'current', unit: 'A' }, curves: currents, thresholds: [], marks: record.packs.map(({ peak }) => ({ x: peak.time_s, y: peak.value, name: 'most' })) },
  ];
}

function variantTable(base: Study, { record }: Fight, variants: readonly Variant[]): Evidence {
  const rows = [{ name: 'as the file has it', record }, ...variants].flatMap((variant) => variant.record?.packs.map((one) => [
    variant.name, called(base.circuit, one.part), say(Math.max(0, one.used_C), 'charge'), say(Math.max(0, one.chargeAtEnd), 'ratio'), say(one.lowest.value, 'voltage', 3), say(one.cellLowest.value, 'voltage', 3), say(one.peak.value, 'current'), say(one.rms_A, 'current'), say(one.hottest.value, 'temperature'),
  ]) ?? [[variant.name, 'refused by its own checks', '', '', '', '', '', '', '']]);
  return { type: 'table', title: 'The pack in the match', head: ['Situation', 'Pack', 'Used', 'Left', 'Lowest', 'Weakest cell', 'Peak', 'Root mean square', 'Hottest'], rows };
}
