import type { ControllerRecord, MatchRecord, RadioRecord } from '../machine/match/record.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import type { Fight } from './match-fought.ts';
import { fightOf, matchBasis, matchSpread, moment, standingStill } from './match-study.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

const ENOUGH = 0.95;
/** Closer to its reset than this and the next battery, or a colder one, resets it. Common practice, no source. */
const ROOM = 1.1;

/** Will the radio stay up? */
export function radio(base: Study, _records: readonly SampleRecord[], fights: readonly MatchRecord[]): Asked {
  const fought = fightOf(base);
  if (fought.status === 'impossible') return { answer: { ...EMPTY, needs: fought.needs, says: `No match can be run: needs ${fought.needs.join(', ')}.` }, drawn: [] };
  const { fight } = fought;
  const { record } = fight;
  const receivers = [...base.machine.parts.values()].filter((part) => part.kind === 'receiver').map(({ id }) => id);
  const unfed = receivers.filter((id) => !record.radios.some(({ part }) => part === id));
  const radios = record.radios.map((one, k) => radioItem(base, one, fights.map((f) => f.radios[k]!)));
  const items = receivers.length === 0
    ? []
    : [...radios, ...unfed.map((id) => unfedItem(base, id)), ...converterItems(base, record, fights), ...controllerItems(base, record, fights), ...standingStill(fight)];
  const decides = deciding(items);
  const verdict = worst(items.map((item) => item.verdict));
  const answer: Answer = {
    ...EMPTY,
    verdict,
    says: decides === undefined ? 'There is no receiver on this machine that could be lost.' : `${lead(verdict)} ${decides.where}: ${decides.says}`,
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: [...unfed.map((id) => `what feeds ${id}`), ...fight.match.needs],
    parts: decides?.parts ?? [],
    evidence: receivers.length === 0 ? [] : [...railPlot(fight), ...lossTable(base, record)],
    basis: [
      ...matchBasis(fight),
      'Control is lost when the receiver\'s rail stays below its reset for longer than it bears, and comes back when it has started again; the same for the converter before it. Contacts that part for a moment in a hit are not in the match: `opening` and `faults` look at them.',
    ],
    cautions:
      verdict === 'good' || receivers.length === 0 ? [] : ['A small battery of its own for the receiver, or a hold-up capacitor behind a diode at its supply, makes the radio independent of what the motors do to the bus. It has to go off with the machine.'],
    notAProblem: items.filter((item) => item.verdict === 'good').map((item) => `${item.where}: ${item.says}`),
  };
  return { answer, drawn: [], spread: matchSpread(fights) };
}

const EMPTY: Answer = {
  id: 'radio', question: 'Will the radio stay up?', verdict: 'cannot tell', says: '', figure: undefined, limit: undefined, margin: undefined, passes: undefined,
  items: [], needs: [], refused: undefined, parts: [], evidence: [], advice: [], basis: [], cautions: [], notAProblem: [],
};

function lead(verdict: Verdict): string {
  return verdict === 'good' ? 'Yes.' : verdict === 'bad' ? 'No.' : verdict === 'marginal' ? 'Mostly.' : 'That is not known.';
}

/** A nominal verdict, with what too few matches of the spread share made marginal. */
function withShare(own: Verdict, passes: number | undefined): Verdict {
  return own === 'good' && passes !== undefined && passes < ENOUGH ? 'marginal' : own;
}

function radioItem(base: Study, one: RadioRecord, samples: readonly RadioRecord[]): Item {
  const { part, lowest, reset_V, losses, without_s } = one;
  const passes = shareOf(samples, (sample) => sample.losses.length === 0);
  const own: Verdict = losses.length > 0 ? 'bad' : lowest.value >= ROOM * reset_V ? 'good' : 'marginal';
  const first = losses[0];
  const others = passes === undefined || passes >= ENOUGH ? '' : ` Control was lost in ${Math.round((1 - passes) * samples.length)} of ${samples.length} matches of the spread.`;
  const dip = own === 'good' ? `Its rail never falls below ${say(lowest.value, 'voltage')}; it resets at ${say(reset_V, 'voltage')}` : `Its rail is lowest at ${say(lowest.value, 'voltage')}, ${moment(lowest)}; it resets at ${say(reset_V, 'voltage')}`;
  const says = first === undefined
    ? `Never lost. ${dip}${one.lowest.value < reset_V ? ', but not for long enough to count' : ''}.${others}`
    : `Lost ${losses.length === 1 ? 'once' : `${losses.length} times`}, ${say(without_s, 'time')} without control in all, first ${moment({ value: 0, time_s: first.from_s, during: first.during })}${first.until_s === undefined ? ' and not back by the end' : ` for ${say(first.until_s - first.from_s, 'time')}`}. ${dip}.${others}`;
  return {
    where: called(base.circuit, part),
    verdict: withShare(own, passes),
    measure: 'lowest voltage of its rail',
    figure: figure(lowest.value, 'V', 'voltage', middleNinety(samples.map((sample) => sample.lowest.value))),
    limit: reset_V,
    margin: lowest.value - reset_V,
    passes,
    parts: [part],
    says,
    slip: false,
  };
}

function unfedItem(base: Study, id: string): Item {
  return {
    where: called(base.circuit, id), verdict: 'cannot tell', measure: 'lowest voltage of its rail', figure: undefined, limit: undefined, margin: undefined, passes: undefined, parts: [id],
    says: 'The file does not say what feeds it.', slip: false,
  };
}

function converterItems(base: Study, record: MatchRecord, fights: readonly MatchRecord[]): Item[] {
  return record.converters.map((one, k): Item => {
    const { part, lowest, stop_V, stops_s } = one;
    const samples = fights.map((fight) => fight.converters[k]!);
    const passes = shareOf(samples, (sample) => sample.stops_s.length === 0);
    const lost = record.radios.some(({ losses }) => losses.length > 0);
    const own: Verdict = stops_s.length > 0 ? (lost ? 'bad' : 'marginal') : lowest.value >= ROOM * stop_V ? 'good' : 'marginal';
    return {
      where: `input of ${called(base.circuit, part)}`,
      verdict: withShare(own, passes),
      measure: 'lowest voltage at its input',
      figure: figure(lowest.value, 'V', 'voltage', middleNinety(samples.map((sample) => sample.lowest.value))),
      limit: stop_V,
      margin: lowest.value - stop_V,
      passes,
      parts: [part],
      says: `${stops_s.length === 0 ? 'It runs through' : `It stops ${stops_s.length === 1 ? 'once' : `${stops_s.length} times`}, first at ${say(stops_s[0]!, 'time')}`}. The bus is lowest at ${say(lowest.value, 'voltage')}, ${moment(lowest)}; it stops at ${say(stop_V, 'voltage')}.`,
      slip: false,
    };
  });
}

/** Controllers that cut out for want of voltage: the machine limps, though its radio may live. */
function controllerItems(base: Study, record: MatchRecord, fights: readonly MatchRecord[]): Item[] {
  return record.controllers.flatMap((one, k): Item[] => {
    const samples = fights.map((fight): ControllerRecord => fight.controllers[k]!);
    const passes = shareOf(samples, (sample) => sample.cutOuts_s.length === 0);
    const { part, cutOuts_s, lowest } = one;
    if (cutOuts_s.length === 0 && (passes === undefined || passes >= ENOUGH)) return [];
    return [
      {
        where: called(base.circuit, part),
        verdict: 'marginal',
        measure: 'lowest voltage at its input',
        figure: figure(lowest.value, 'V', 'voltage', middleNinety(samples.map((sample) => sample.lowest.value))),
        limit: undefined,
        margin: undefined,
        passes,
        parts: [part],
        says: cutOuts_s.length === 0
          ? `It holds in this match, but cuts out for want of voltage in ${Math.round((1 - (passes ?? 1)) * samples.length)} of ${samples.length} others.`
          : `It cuts out for want of voltage ${cutOuts_s.length === 1 ? 'once' : `${cutOuts_s.length} times`}, first at ${say(cutOuts_s[0]!, 'time')}: its motors stop for a moment. Its input is lowest at ${say(lowest.value, 'voltage')}, ${moment(lowest)}.`,
        slip: false,
      },
    ];
  });
}

function railPlot({ match, record }: Fight): Evidence[] {
  const { curves } = record;
  const first = record.radios[0];
  if (curves === undefined || first === undefined) return [];
  const rails = record.radios.map(({ part }) => `${part} rail`);
  const bus = match.packs[0] === undefined ? [] : [`${match.packs[0].part} voltage`];
  return [
    {
      type: 'plot',
      title: 'The radio\'s rail in the match',
      x: { name: 'time', unit: 's' },
      y: { name: 'voltage', unit: 'V' },
      curves: [...rails, ...bus].flatMap((name) => {
        const column = curves.columns.find((one) => one.name === name);
        return column === undefined ? [] : [{ name, x: curves.time_s, y: column.values }];
      }),
      thresholds: [{ name: `${first.part} resets`, at: first.reset_V, axis: 'y' }, ...record.converters.slice(0, 1).map(({ part, stop_V }) => ({ name: `${part} stops`, at: stop_V, axis: 'y' as const }))],
      marks: [{ x: first.lowest.time_s, y: first.lowest.value, name: 'lowest' }],
    },
  ];
}

function lossTable(base: Study, record: MatchRecord): Evidence[] {
  const rows = record.radios.flatMap(({ part, losses }) => losses.map(({ from_s, until_s, during }) => [
    called(base.circuit, part), say(from_s, 'time'), until_s === undefined ? 'not by the end' : say(until_s, 'time'), say((until_s ?? record.length_s) - from_s, 'time'), during.join('; ') || 'nothing asked',
  ]));
  return rows.length === 0 ? [] : [{ type: 'table', title: 'Losses of control', head: ['Receiver', 'Lost at', 'Back at', 'Without control', 'Meanwhile'], rows: rows.slice(0, 20) }];
}
