import { DISCHARGE_CLAUSES } from '../physics/safety.ts';
import type { Answer, Asked, Curve, Evidence, Item, Verdict } from './answer.ts';
import { switchOff, FOLLOWED_S, HARMLESS_J, PATIENCE_S, SAFE_V, type BankGroup, type Emptying, type SwitchedOff } from './switch-off.ts';
import type { SampleRecord, Study } from './study.ts';
import { deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

const ENOUGH = 0.9;
/** A bank that keeps this share of the pack for a minute is still fed by it. */
const STILL_FED = 0.95;
/** What a resistor that has failed open leaves: insulation, Ω. */
const OPEN_OHM = 1e9;

interface Emptied {
  readonly group: BankGroup;
  readonly emptying: Emptying;
  /** Parts that drain it and that nobody would miss. */
  readonly drains: readonly string[];
  readonly item: Item;
}

/** How long until it is safe to touch? */
export function discharge(base: Study, records: readonly SampleRecord[]): Asked {
  const law = clause();
  const levels = [SAFE_V, law.below_V];
  const whole = off(base, levels);
  const faults = drainsOf(base).map((part) => ({ part, off: off(base, levels, part) }));
  const closesNothing = base.nominal.closings.length === 0;
  const emptied = (closesNothing ? [] : base.groups).map((group, g): Emptied => {
    const drains = faults.filter(({ part }) => group.points.has(`${part}+`));
    const lamps = drains.filter(({ part }) => base.machine.parts.get(part)?.kind === 'lamp');
    const lampless = lamps.length === 0 ? undefined : lamps.map((lamp) => lamp.off.emptyings[g]!).find((e) => verdictOf(e) !== 'good');
    const emptying = whole.emptyings[g]!;
    const item = groupItem(base, group, emptying, lampless === undefined ? undefined : { lamps: lamps.map((l) => l.part), left: lampless }, records.map((r) => r.emptyings[g]!));
    return { group, emptying, drains: drains.map((d) => d.part), item };
  });
  const slips = (closesNothing ? [] : faults).flatMap(({ part, off: without }) => base.groups.flatMap((group, g) => (group.points.has(`${part}+`) ? [faultItem(base, group, part, without.emptyings[g]!)] : [])));
  const items = [...emptied.map((e) => e.item), ...slips];
  const decides = deciding(items);
  const main = emptied.find((e) => e.item === decides);
  const overLaw = base.supply_V > law.below_V;
  const answer: Answer = {
    id: 'discharge',
    question: 'How long until it is safe to touch?',
    verdict: closesNothing ? 'cannot tell' : worst(emptied.map((e) => e.item.verdict)),
    says: closesNothing ? 'The procedure closes nothing.' : main === undefined ? 'Nothing on this machine stores a charge.' : summary(main, emptied.length > 1),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: closesNothing ? ['a procedure that closes a switch'] : [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: main === undefined ? [] : [decayPlot(base, whole), emptyTable(base, emptied, levels, overLaw)],
    advice: [],
    basis: [
      `Counted for each from the moment when it is cut off from the pack, on a full pack${cutsOf(emptied)}.`,
      `Safe: below ${say(SAFE_V, 'voltage')}, or with less than ${say(HARMLESS_J, 'energy')} left (common practice, no source): nothing snaps on plugging, no tool gets hot.`,
      overLaw
        ? `Above ${say(law.below_V, 'voltage')} a standard asks for more: below it within ${say(law.within_s, 'time')}, or a warning that says how long (${law.source}).`
        : `No law's limit is passed: they begin at ${say(law.below_V, 'voltage')} (${law.source}), and this machine has ${say(base.supply_V, 'voltage')}.`,
    ],
    cautions: emptied.length === 0 ? [] : ['A weapon that still turns feeds the bus through its controller: the time counts from its standstill. Measure before you reach in.'],
    notAProblem: emptied.filter((e) => e.item.verdict === 'good').map((e) => `${e.item.where}: ${e.item.says}`),
  };
  return { answer, drawn: main === undefined ? [] : records.map((r) => r.emptyings[emptied.indexOf(main)]?.safe_s ?? NaN) };
}

/** Which step cuts what off, where steps differ. */
function cutsOf(emptied: readonly Emptied[]): string {
  const cuts = emptied.flatMap(({ group, emptying: { cutOffBy } }) => (cutOffBy === undefined ? [] : [`${group.name} by “${cutOffBy}”`]));
  return cuts.length === 0 ? '' : ` (${cuts.join(', ')})`;
}

interface Law {
  readonly below_V: number;
  readonly within_s: number;
  readonly source: string;
}

function clause(): Law {
  const found = DISCHARGE_CLAUSES.find(({ id }) => id === 'machinery');
  if (found?.below_V === undefined) throw new Error('no clause on machinery');
  return { below_V: found.below_V, within_s: found.within_s, source: found.source };
}

function off(base: Study, levels_V: readonly number[], failedPart?: string): SwitchedOff {
  const { circuit, groups, values } = base;
  const request = { circuit, groups, from: base.nominal, values, levels_V, record: { watches: groups.map((group) => group.watch), between: 2 } };
  if (failedPart === undefined) return switchOff(request);
  const failed = Float64Array.from(values);
  failed[circuit.inputs.at(`${failedPart}.resistance`)] = OPEN_OHM;
  return switchOff({ ...request, failed });
}

/** Lamps and bleeds that drain a bank when every switch is open. */
function drainsOf(base: Study): string[] {
  return [...base.machine.parts.values()].filter((part) => (part.kind === 'lamp' || part.kind === 'bleed') && base.groups.some((group) => group.points.has(`${part.id}+`))).map((part) => part.id);
}

function verdictOf({ below_s: [safe_s], later_J }: Emptying): Verdict {
  if (safe_s !== undefined && safe_s <= PATIENCE_S) return 'good';
  if (later_J <= HARMLESS_J) return 'good';
  return safe_s === undefined ? 'bad' : 'marginal';
}

function passesOne({ safe_s, later_J }: SampleRecord['emptyings'][number]): boolean {
  return (safe_s !== undefined && safe_s <= PATIENCE_S) || later_J <= HARMLESS_J;
}

function groupItem(
  base: Study, group: BankGroup, emptying: Emptying, lampless: { readonly lamps: readonly string[]; readonly left: Emptying } | undefined, samples: readonly SampleRecord['emptyings'][number][],
): Item {
  const [safe_s, law_s] = emptying.below_s;
  const law = clause();
  const passes = shareOf(samples, passesOne);
  const late = base.supply_V > law.below_V && (law_s === undefined || law_s > law.within_s);
  const own = verdictOf(emptying);
  const verdict: Verdict = own === 'bad' || late ? 'bad' : own === 'good' && (lampless !== undefined || (passes !== undefined && passes < ENOUGH)) ? 'marginal' : own;
  const reached = samples.flatMap((s) => (s.safe_s === undefined ? [] : [s.safe_s]));
  const lampOnly = lampless === undefined ? '' : ` Only the lamp ${lampless.lamps.join(' and ')} takes it down: with that broken, ${left(lampless.left)}.`;
  const limit = safe_s === undefined ? undefined : PATIENCE_S;
  return {
    where: whereIs(group),
    verdict,
    measure: `until it is below ${say(SAFE_V, 'voltage')}`,
    figure: safe_s === undefined ? undefined : figure(safe_s, 's', 'time', middleNinety(reached)),
    limit,
    margin: safe_s === undefined || limit === undefined ? undefined : limit - safe_s,
    passes,
    parts: [...new Set([...group.banks.map((bank) => bank.part), ...(lampless?.lamps ?? [])])],
    says: `${sentence(base, emptying)}${own === 'good' && passes !== undefined && passes < ENOUGH ? ` Within the spread it may stay above ${say(SAFE_V, 'voltage')}: that hangs on where what draws goes to sleep.` : ''}${lampOnly}${late ? ` ${law.source} asks for less than ${say(law.below_V, 'voltage')} within ${say(law.within_s, 'time')}.` : ''}`,
    slip: false,
  };
}

function faultItem(base: Study, group: BankGroup, part: string, emptying: Emptying): Item {
  const [safe_s] = emptying.below_s;
  return {
    where: `${whereIs(group)}, ${base.machine.parts.get(part)?.kind ?? 'part'} ${part} broken`,
    verdict: verdictOf(emptying),
    measure: `until it is below ${say(SAFE_V, 'voltage')}`,
    figure: safe_s === undefined ? undefined : figure(safe_s, 's', 'time', []),
    limit: safe_s === undefined ? undefined : PATIENCE_S,
    margin: safe_s === undefined ? undefined : PATIENCE_S - safe_s,
    passes: undefined,
    parts: [part, ...new Set(group.banks.map((bank) => bank.part))],
    says: sentence(base, emptying),
    slip: true,
  };
}

function whereIs(group: BankGroup): string {
  return group.place === undefined ? `bank of ${group.name}` : `banks at ${group.place} (${group.name})`;
}

function sentence({ supply_V }: Study, emptying: Emptying): string {
  const [safe_s] = emptying.below_s;
  if (emptying.later_V > STILL_FED * supply_V) return `Never: it is still on the pack with ${say(emptying.later_V, 'voltage')}, because nothing in the power down opens in front of it.`;
  const first = `${say(emptying.first_V, 'voltage')} and ${say(emptying.first_J, 'energy')} when it is cut off from the pack`;
  if (safe_s === 0) return `At once: ${first}.`;
  if (safe_s !== undefined) return `${say(safe_s, 'time')}: ${first}${safe_s > PATIENCE_S ? `; ${left(emptying)} after ${say(PATIENCE_S, 'time')}` : ''}.`;
  const harmless = emptying.later_J <= HARMLESS_J ? ', too little to do harm' : '';
  return `Not within ${say(FOLLOWED_S / 60, 'count')} minutes: what draws goes to sleep, and ${left(emptying)}${harmless}.`;
}

function left({ later_V, later_J }: Emptying): string {
  return `${say(later_V, 'voltage')} and ${say(later_J, 'energy')} stay on it`;
}

function summary({ item, emptying }: Emptied, several: boolean): string {
  const [safe_s] = emptying.below_s;
  if (safe_s === undefined) return `${item.where}: ${item.says}`;
  const counted = Math.max(1, Math.ceil(safe_s));
  const after = emptying.cutOffBy === undefined ? 'after the pack is disconnected' : `after “${emptying.cutOffBy}”${several ? ', which cuts off the slowest of them' : ''}`;
  return `Wait ${say(counted, 'time')} ${after}. ${item.where}: ${item.says}`;
}

function decayPlot(base: Study, whole: SwitchedOff): Evidence {
  const { time_s, curves } = whole.run.recording;
  const last = Math.max(...whole.emptyings.map(({ below_s: [safe_s] }) => safe_s ?? 0));
  const until = Math.max(2, Math.min(FOLLOWED_S, 1.5 * last));
  const lines = base.groups.map((group, g): Curve => {
    const { cutOff_s } = whole.emptyings[g]!;
    const shown = time_s.flatMap((t, k) => (t >= cutOff_s && t - cutOff_s <= until ? [k] : []));
    return { name: group.place ?? group.name, x: shown.map((k) => time_s[k]! - cutOff_s), y: shown.map((k) => curves[g]![k]!) };
  });
  return {
    type: 'plot',
    title: 'Voltage of the banks after switching off',
    x: { name: 'time after it is cut off', unit: 's' },
    y: { name: 'voltage', unit: 'V' },
    curves: lines,
    thresholds: [{ name: 'safe', at: SAFE_V, axis: 'y' }],
    marks: [],
  };
}

function emptyTable(base: Study, emptied: readonly Emptied[], levels: readonly number[], overLaw: boolean): Evidence {
  const asked = overLaw ? levels : levels.slice(0, 1);
  return {
    type: 'table',
    title: 'What stands where after switching off',
    head: ['Banks', 'Together', 'Drained by', 'Voltage at first', 'Energy at first', ...asked.map((level) => `Below ${say(level, 'voltage')}`), `After ${say(PATIENCE_S, 'time')}`],
    rows: emptied.map(({ group, emptying, drains }) => [
      whereIs(group),
      say(group.banks.reduce((sum, bank) => sum + bank.capacitance(base.values), 0), 'capacitance', 3),
      drains.length === 0 ? 'what is awake only' : drains.join(', '),
      say(emptying.first_V, 'voltage', 3),
      say(emptying.first_J, 'energy', 3),
      ...asked.map((_, k) => (emptying.below_s[k] === undefined ? 'never' : say(emptying.below_s[k], 'time', 3))),
      say(emptying.later_V, 'voltage', 3),
    ]),
  };
}
