import { leadsOf, pointOf, seriesStack } from '../machine/circuit/nets.ts';
import { closedPosition } from '../machine/circuit/positions.ts';
import type { Machine, Step } from '../machine/machine.ts';
import type { Part } from '../machine/parts.ts';
import type { CheckName, RuleLine, RuleSet } from '../machine/rules/rule-set.ts';
import { shippedRules } from '../machine/rules/shipped.ts';
import { CELL_LIMITS } from '../physics/cells.ts';
import { formatValue } from '../quantity/format.ts';
import type { Answer, Asked, Figure, Item, Verdict } from './answer.ts';
import { fedWith } from './fed-parts.ts';
import type { Study } from './study.ts';
import { deciding, figure, worst } from './words.ts';

/** Voltage that rules on discharging ask to be below. Source: IEC 60204-1:2016, 6.2.4. */
const TOUCH_V = 60;

/** What one hand takes for one switch, s. Common practice, no source. */
const HAND_S = 3;

/** Questions whose answers decide a line. */
export type RuledQuestion = 'isolation' | 'discharge' | 'spark';

type AnswerTo = (id: RuledQuestion) => Answer | undefined;

interface Found {
  readonly verdict: Verdict;
  readonly says: string;
  readonly measure?: string;
  readonly figure?: Figure | undefined;
  readonly parts?: readonly string[];
  /** Set when only the crew can tell after all. */
  readonly crew?: true;
}

type Check = (machine: Machine, line: RuleLine, answerTo: AnswerTo) => Found;

/** A rule with what was found for it; `crew` for what only a crew can answer, whose verdict is `cannot tell`. */
export interface InspectedLine {
  readonly number: number;
  readonly rule: RuleLine;
  readonly item: Item;
  readonly crew: boolean;
}

/**
 * Each line of a rule set, computed from the machine and its other answers, or left for the crew.
 * @param answerTo  another question's answer about the same machine, where it was asked
 */
export function inspectedLines(machine: Machine, rules: RuleSet, answerTo: AnswerTo): InspectedLine[] {
  return rules.lines.map((rule, k) => {
    const found = rule.check === undefined ? CREW : CHECK[rule.check](machine, rule, answerTo);
    return { number: k + 1, rule, item: itemOf(rule, found), crew: found.crew === true };
  });
}

/** Would it pass inspection? Lines that are computed decide; those left for the crew stand apart, in a table to tick. */
export function inspection(machine: Machine, rules: RuleSet, answerTo: AnswerTo): Answer {
  const lines = inspectedLines(machine, rules, answerTo);
  const items = lines.filter(({ crew }) => !crew).map(({ item }) => item);
  const crew = lines.filter((line) => line.crew);
  const decides = deciding(items);
  const failed = items.filter((item) => item.verdict === 'bad');
  const left = `${items.length} of ${lines.length} lines are computed, ${crew.length} are left for the crew. This is not an approval: the inspector decides.`;
  return {
    id: 'inspection',
    question: 'Would it pass inspection?',
    verdict: items.length === 0 ? 'cannot tell' : worst(items.map((item) => item.verdict)),
    says: failed.length === 0 ? `Nothing computed speaks against it. ${left}` : `Not yet: ${failed.map(({ where, says }) => `${where}: ${says}`).join(' ')} ${left}`,
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: undefined,
    items,
    needs: items.length === 0 ? ['a crew that looks at the machine'] : [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: [
      { type: 'table', title: 'Left for the crew: cannot tell from the file', head: ['Rule', 'Verdict', 'What the program can add', 'Source of the rule'], rows: crew.map(({ item, rule }) => [rule.rule, item.verdict, item.says, rule.source]) },
      { type: 'table', title: 'Where the computed rules were read', head: ['Rule', 'Source'], rows: lines.filter((line) => !line.crew).map(({ rule }) => [rule.rule, rule.source]) },
    ],
    advice: [],
    basis: [`Rule set: ${rules.name}, dated ${rules.dated}. Events change their rules: read your event's own.`],
    cautions: ['Never presented as an approval.'],
    notAProblem: [],
  };
}

/** The same by the rule set that is shipped, as one of a machine's questions. */
export function inspectionByGenericRules({ machine }: Study, _: readonly unknown[], answerTo: AnswerTo): Asked {
  return { answer: inspection(machine, shippedRules(), answerTo), drawn: [] };
}

function itemOf({ rule, limit: written }: RuleLine, found: Found): Item {
  const limit = found.figure === undefined ? undefined : written;
  return {
    where: rule,
    verdict: found.verdict,
    measure: found.measure ?? 'computed',
    figure: found.figure,
    limit,
    margin: limit === undefined || found.figure === undefined ? undefined : limit - found.figure.value,
    passes: undefined,
    parts: found.parts ?? [],
    says: found.says,
    slip: false,
  };
}

const CREW: Found = { verdict: 'cannot tell', says: '', crew: true };

const CHECK: Readonly<Record<CheckName, Check>> = {
  'nominal voltage': (machine, { limit }) => {
    const stack = stackOf(machine);
    if (stack.length === 0) return { ...CREW, says: 'No pack in the file.' };
    const volts = stack.reduce((sum, { values }) => sum + values.cells.value * CELL_LIMITS[values.chemistry].nominal_V, 0);
    return {
      verdict: limit === undefined || volts <= limit ? 'good' : 'bad', measure: 'nominal', figure: figure(volts, 'V', 'voltage', []), parts: stack.map(({ id }) => id),
      says: `${formatValue(volts, 'voltage')} nominal.`,
    };
  },
  'battery type': (machine) => {
    const packs = kinds(machine, 'pack');
    if (packs.length === 0) return { ...CREW, says: 'No pack in the file.' };
    return { verdict: 'good', parts: ids(packs), says: `Lithium cells (${[...new Set(packs.map((pack) => (pack.kind === 'pack' ? pack.values.chemistry : '')))].join(', ')}), which are on the usual lists.` };
  },
  'manual break': (machine) => {
    // Everything that a hand does not turn or pull is taken as closed; what is still dead then is broken by hand alone.
    const standing = new Map([...machine.parts.values()].filter(({ kind }) => ['contactor', 'solid-state switch', 'button'].includes(kind)).map(({ id }) => [id, closedPosition(machine, id)]));
    const fed = fedWith(machine, standing);
    const alive = kinds(machine, 'controller').filter(({ id }) => fed(id) === 'directly');
    const hands = kinds(machine, 'isolator', 'link');
    return alive.length === 0
      ? { verdict: 'good', parts: ids(hands), says: `With ${ids(hands).join(', ')} open, no controller is fed.` }
      : { verdict: 'bad', parts: ids(alive), says: `${ids(alive).join(', ')} would still be fed with every isolator and link open: nothing but a relay or an electronic switch breaks it.` };
  },
  'time to switch off': (machine, { limit }) => {
    const steps = machine.powerDown.filter((step) => 'part' in step);
    if (steps.length === 0) return { ...CREW, says: 'The file names no power down.' };
    const seconds = steps.length * HAND_S + machine.powerDown.reduce((sum, step) => sum + (step.act === 'wait' ? step.time.value : 0), 0);
    return {
      verdict: limit === undefined || seconds <= limit ? 'good' : 'bad', measure: 'to switch off', figure: figure(seconds, 's', 'time', []), parts: steps.map((step) => ('part' in step ? step.part : '')),
      says: `${steps.length === 1 ? '1 switch' : `${steps.length} switches`}, ${formatValue(HAND_S, 'time')} each by common practice, once a hand is there: time it.`,
    };
  },
  'power light': (machine) => {
    const lamps = kinds(machine, 'lamp');
    if (lamps.length === 0) return { verdict: 'bad', says: 'There is no lamp in the file.' };
    const fed = fedWith(machine, standingOn(machine));
    const dead = fedWith(machine, new Map());
    const dark = lamps.filter(({ id }) => fed(id) === 'not');
    const always = lamps.filter(({ id }) => dead(id) !== 'not');
    if (dark.length > 0) return { verdict: 'bad', parts: ids(dark), says: `${ids(dark).join(', ')} stay dark with the machine on.` };
    if (always.length > 0) return { verdict: 'bad', parts: ids(always), says: `${ids(always).join(', ')} are lit with everything off: they show nothing.` };
    return { verdict: 'good', parts: ids(lamps), says: `${ids(lamps).join(', ')} lit with the machine on, dark with it off.` };
  },
  'light from battery': (machine) => {
    const lamps = kinds(machine, 'lamp');
    if (lamps.length === 0) return { verdict: 'bad', says: 'There is no lamp in the file.' };
    const direct = new Set(leadsOf(machine).map(({ to }) => to));
    const behind = lamps.filter(({ id }) => !direct.has(`${id}+`));
    return behind.length === 0 ? { verdict: 'good', parts: ids(lamps), says: `${ids(lamps).join(', ')} hang on the battery's own wires.` } : { verdict: 'bad', parts: ids(behind), says: `${ids(behind).join(', ')} hang behind a converter.` };
  },
  'fuse below burst': fuseCheck,
  'transmitter first': (machine) => orderCheck(machine.powerUp, (steps) => steps[0], 'first', 'power up'),
  'transmitter last': (machine) => orderCheck(machine.powerDown, (steps) => steps.findLast((step) => 'part' in step || (step.act === 'crew' && isTransmitter(step))), 'last', 'power down'),
  isolation: (_, __, answerTo) => other(answerTo('isolation')),
  discharged: (machine, { limit }, answerTo) => {
    const full_V = stackOf(machine).reduce((sum, { values }) => sum + values.cells.value * CELL_LIMITS[values.chemistry].full_V, 0);
    if (full_V > 0 && full_V < TOUCH_V) return { verdict: 'good', parts: stackOf(machine).map(({ id }) => id), says: `Full it has ${formatValue(full_V, 'voltage')}: never ${formatValue(TOUCH_V, 'voltage')}.` };
    const answer = answerTo('discharge');
    const asked = other(answer);
    if (answer === undefined || asked.crew === true) return asked;
    // The answer counts down to a lower voltage than rules ask for: who is below it in time is below theirs too.
    const slowest = answer.items.filter(({ slip }) => !slip).reduce<Item | undefined>((most, item) => ((item.figure?.value ?? Infinity) > (most?.figure?.value ?? -1) ? item : most), undefined);
    if (slowest?.figure === undefined) return asked;
    const { value } = slowest.figure;
    return value <= (limit ?? Infinity)
      ? { verdict: 'good', measure: 'until it is below 5 V', figure: slowest.figure, parts: slowest.parts, says: `Below 5 V after ${formatValue(value, 'time')} already.` }
      : { ...CREW, says: `Below 5 V after ${formatValue(value, 'time')}; when below the rule's voltage the answer does not tell: measure.` };
  },
  spark: (_, __, answerTo) => other(answerTo('spark')),
};

/** The verdict of another question, where it was asked. */
function other(answer: Answer | undefined): Found {
  if (answer === undefined) return { ...CREW, says: 'The question was not asked.' };
  if (answer.verdict === 'cannot tell') return { ...CREW, says: answer.says };
  return { verdict: answer.verdict, measure: answer.question, parts: answer.parts, says: answer.says };
}

function stackOf(machine: Machine): Extract<Part, { kind: 'pack' }>[] {
  return seriesStack(machine).flatMap((id) => machine.parts.get(id) ?? []).filter((part) => part.kind === 'pack');
}

function fuseCheck(machine: Machine): Found {
  const packs = [...machine.parts.values()].filter((part) => part.kind === 'pack');
  const found = packs.map((pack) => {
    const leaving = machine.wiring.chains.filter((chain) => pointOf(chain.from) === `${pack.id}+` || pointOf(chain.to) === `${pack.id}-`);
    const fuse = leaving.flatMap((chain) => chain.items).flatMap((item) => ('part' in item ? (machine.parts.get(item.part) ?? []) : [])).find((part) => part.kind === 'fuse');
    const burst_A = pack.values.labelRate === undefined ? undefined : (pack.values.labelRate.value * pack.values.capacity.value) / 3600;
    return { pack, fuse: fuse?.kind === 'fuse' ? fuse : undefined, burst_A };
  });
  const bare = found.filter(({ fuse }) => fuse === undefined);
  if (bare.length > 0) return { verdict: 'bad', parts: bare.map(({ pack }) => pack.id), says: `No fuse in the lead of ${bare.map(({ pack }) => pack.id).join(', ')}.` };
  const unknown = found.filter(({ burst_A }) => burst_A === undefined);
  const over = found.filter(({ fuse, burst_A }) => burst_A !== undefined && fuse !== undefined && fuse.values.rating.value >= burst_A);
  const words = found.map(({ pack, fuse, burst_A }) => `${fuse?.id ?? ''} ${formatValue(fuse?.values.rating.value ?? 0, 'current')}, ${pack.id} ${burst_A === undefined ? 'not labelled' : `can give ${formatValue(burst_A, 'current')} by its label`}`).join('; ');
  const parts = found.flatMap(({ fuse, pack }) => [fuse?.id ?? '', pack.id]).filter((id) => id !== '');
  if (over.length > 0) return { verdict: 'bad', parts, says: `${words}: too large to blow.` };
  return unknown.length > 0 ? { ...CREW, parts, says: `${words}: the crew compares.` } : { verdict: 'good', parts, says: `${words}.` };
}

function orderCheck(steps: readonly Step[], pick: (steps: readonly Step[]) => Step | undefined, place: string, list: string): Found {
  if (!steps.some(isTransmitter)) return { ...CREW, says: `The ${list} does not name the transmitter.` };
  const step = pick(steps);
  return step !== undefined && isTransmitter(step) ? { verdict: 'good', says: `The ${list} has it ${place}: “${step.text}”.` } : { verdict: 'bad', says: `The ${list} has “${step?.text ?? ''}” ${place}.` };
}

function isTransmitter(step: Step): boolean {
  return step.act === 'crew' && /\b(transmitter|remote|radio)\b/i.test(step.text);
}

/** Where the switches stand after the power-up. */
function standingOn(machine: Machine): ReadonlyMap<string, string> {
  const standing = new Map<string, string>();
  for (const step of machine.powerUp) {
    if (!('part' in step)) continue;
    if (['release', 'hold', 'remove', 'disconnect', 'open'].includes(step.act)) standing.delete(step.part);
    else standing.set(step.part, step.act === 'turn' ? step.position : closedPosition(machine, step.part));
  }
  return standing;
}

function kinds(machine: Machine, ...names: readonly Part['kind'][]): Part[] {
  return [...machine.parts.values()].filter(({ kind }) => names.includes(kind));
}

function ids(parts: readonly Part[]): string[] {
  return parts.map(({ id }) => id);
}
