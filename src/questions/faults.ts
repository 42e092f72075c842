import type { Machine } from '../machine/machine.ts';
import { SPOILT_C } from '../physics/cable-limit.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { limitsOf } from './soft-start-heat.ts';
import { CONSEQUENCES, FailureStudy, hurts, rank, type Effect, type Noticed } from './states/failure-effects.ts';
import type { Strain } from './states/strand-limits.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, figure, RANK, say, worst } from './words.ts';

/** More than these nobody reads; the table has them all. */
const MOST_ITEMS = 12;

/** What can one failed part or one loose joint do? */
export function faults(base: Study, _records: readonly SampleRecord[]): Asked {
  const studied = new FailureStudy(base.machine, (resistor) => limitsOf(base, resistor));
  const effects = ranked(studied.failures.map((failure) => studied.worstOf([failure])));
  const items = effects.filter((effect) => effect.consequence !== 'nothing seen').map((effect) => effectItem(base, effect));
  const shown = [...items].sort((a, b) => RANK[b.verdict] - RANK[a.verdict]).slice(0, MOST_ITEMS);
  const decides = deciding(shown);
  const silent = effects.filter((effect) => effect.consequence === 'nothing seen').length;
  const verdict: Verdict = studied.unsolved > 0 ? worst([...items.map((item) => item.verdict), 'cannot tell']) : worst(items.map((item) => item.verdict));
  const answer: Answer = {
    id: 'faults',
    question: 'What can one failed part or one loose joint do?',
    verdict,
    says: summary(effects, items, studied.failures.length),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: undefined,
    items: shown,
    needs: base.machine.powerUp.length === 0 ? ['a procedure'] : [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: [faultTable(effects)],
    advice: [],
    basis: [
      `${studied.failures.length} failures, one at a time, in each of the ${studied.states.length} states that the procedure reaches as written, with one step left out or two swapped, and at full drive: ${studied.covered} cases, ${studied.unsolved === 0 ? 'none left out' : `${studied.unsolved} without a state of rest`}.`,
      'Ranked by severity first and then by detection, in the sense of IEC 60812: what nobody notices stands above what a lamp, a dead radio or smoke tells. How often a part fails is not computed.',
      'Times are those of a steady current of up to three minutes. A lead is spoilt at 160 °C, the short-circuit limit of PVC (IEC 60364-4-43), by IEC 60949 with what it loses to still air; it melts by Onderdonk’s equation. A guard opens at the latest of its spread.',
      ...reversalBasis(studied),
      ...(silent === 0 ? [] : [`${silent} of them change nothing that the crew or the machine would feel in these states: they wait for a second failure (\`ampwright faults FILE --pairs\`).`]),
    ],
    cautions: ['A list of single failures is not a proof of safety: two parts can fail, and a crash fails several at once. The lock, the link and the distance remain.'],
    notAProblem: effects.filter((effect) => effect.consequence === 'a guard opens').slice(0, 3).map((effect) => `${effect.failures[0]!.words}: ${guardWords(effect)}.`),
  };
  return { answer, drawn: [] };
}

/** The gravest first, and of those the ones that nobody notices. */
export function ranked(effects: readonly Effect[]): Effect[] {
  return [...effects].sort((a, b) => CONSEQUENCES.indexOf(b.consequence) - CONSEQUENCES.indexOf(a.consequence) || rank(b) - rank(a));
}

function effectItem(base: Study, effect: Effect): Item {
  const { noticed, failures, state } = effect;
  return {
    where: `${failures.map((one) => one.words).join(' and ')}, ${state.words}`,
    verdict: effectVerdict(effect),
    ...figureOf(effect),
    limit: undefined,
    margin: undefined,
    passes: undefined,
    parts: [...new Set([...failures.map((one) => one.part), ...effect.wakes, ...effect.dark, ...effect.reversed.map((one) => one.part), ...effect.strains.map((one) => one.part)])].filter((part) => base.machine.parts.has(part)),
    says: `${sentence(effectWords(base.machine, effect))} The crew notices ${NOTICED[noticed]}.`,
    slip: false,
  };
}

function figureOf({ consequence, strains, wakes, dark, reversed }: Effect): Pick<Item, 'measure' | 'figure'> {
  const hottest = strains.find((one) => !one.guard);
  const guard = strains.find((one) => one.guard);
  if (consequence === 'burns' && hottest !== undefined) return { measure: 'until something is harmed', figure: figure(hottest.within_s, 's', 'time', []) };
  const [first] = reversed;
  if (consequence === 'reversed' && first !== undefined) return { measure: 'across it the wrong way round', figure: figure(first.volts_V, 'V', 'voltage', []) };
  if (wakes.length > 0) return { measure: wakes.length === 1 ? 'load wakes' : 'loads wake', figure: figure(wakes.length, '1', 'count', []) };
  if (consequence === 'a guard opens' && guard !== undefined) return { measure: 'until it opens', figure: figure(guard.within_s, 's', 'time', []) };
  return { measure: dark.length === 1 ? 'load goes dark' : 'loads go dark', figure: figure(dark.length, '1', 'count', []) };
}

/** How the crew notices, to follow those words. */
export const NOTICED: Record<Noticed, string> = {
  'not at all': 'nothing of it',
  'by its mirror contact': 'at the next start, by its mirror contact',
  'by a lamp': 'by a lamp that is lit or dark when it should not be',
  'nothing starts': 'because something does not start',
  'by smoke': 'only by the smell',
};

/** What one failure's effect is worth. */
export function effectVerdict({ consequence, noticed, reversed, failures }: Effect): Verdict {
  const silent = noticed === 'not at all';
  // What is fed the wrong way round is gone before anybody can do anything; that of what was itself connected so is its own.
  if (reversed.some((one) => one.diodes_A !== undefined && hurts(one) && !failures.some(({ part }) => part === one.part))) return 'bad';
  switch (consequence) {
    case 'can move':
      return silent ? 'bad' : 'marginal';
    case 'reversed':
    case 'burns':
      return noticed === 'nothing starts' ? 'marginal' : 'bad';
    case 'wakes':
      return silent ? 'marginal' : 'good';
    default:
      return 'good';
  }
}

/** What an effect is, in one or two clauses. */
export function effectWords(machine: Machine, effect: Effect): string {
  const { wakes, moves, dark, reversed, strains } = effect;
  const only = wakes.filter((part) => !moves.includes(part));
  const hottest = strains.find((one) => !one.guard);
  const names = (parts: readonly string[]): string => parts.map((part) => called({ machine }, part)).join(', ');
  return [
    ...(wakes.length === 0 ? [] : [`${[...(moves.length === 0 ? [] : [`${names(moves)} can move`]), ...(only.length === 0 ? [] : [`${names(only)} ${only.length === 1 ? 'wakes' : 'wake'}`])].join(' and ')} though ${wakes.length === 1 ? 'it is' : 'they are'} switched off`]),
    ...reversalWords(machine, reversed),
    ...(hottest === undefined ? [] : [`${say(hottest.current_A, 'current')} flow in ${hottest.words}, ${harmWords(hottest)}`]),
    ...(strains.some((one) => one.guard) ? [guardWords(effect)] : []),
    ...(dark.length === 0 ? [] : [`${names(dark)} go${dark.length === 1 ? 'es' : ''} dark`]),
  ].join('; ');
}

/** What stands the wrong way round, the worst of it first; what it stands is not known. */
function reversalWords(machine: Machine, reversed: Effect['reversed']): string[] {
  const [first, ...others] = reversed;
  if (first === undefined) return [];
  const carried = first.diodes_A === undefined || first.diodes_A < 1 ? '' : `, and the body diodes of its transistors carry ${say(first.diodes_A, 'current')}`;
  const rest = others.length === 0 ? '' : `; ${others.map(({ part, volts_V }) => `${called({ machine }, part)} (${say(volts_V, 'voltage')})`).join(', ')} too`;
  return [`${called({ machine }, first.part)} has ${say(first.volts_V, 'voltage')} across it the wrong way round${carried}${rest}`];
}

function harmWords({ within_s, melts_s }: Strain): string {
  if (melts_s === undefined) return `which is harmed within ${say(within_s, 'time')}`;
  return `which is at ${say(SPOILT_C, 'temperature')} within ${say(within_s, 'time')} and melts after ${say(melts_s, 'time')}`;
}

function guardWords({ strains }: Effect): string {
  const guard = strains.find((one) => one.guard)!;
  return `${guard.words} opens within ${say(guard.within_s, 'time')} at ${say(guard.current_A, 'current')}`;
}

function sentence(words: string): string {
  return words === '' ? 'Nothing changes.' : `${words[0]!.toUpperCase()}${words.slice(1)}.`;
}

function summary(effects: readonly Effect[], items: readonly Item[], failures: number): string {
  const bad = items.filter((item) => item.verdict === 'bad');
  const moving = effects.filter((effect) => effect.consequence === 'can move');
  const burning = effects.filter((effect) => effect.consequence === 'burns');
  const reversed = effects.filter((effect) => effect.consequence === 'reversed').length;
  const turned = reversed === 0 ? '' : `, ${reversed} feed${reversed === 1 ? 's' : ''} electronics the wrong way round`;
  if (bad.length > 0) return `Of ${failures} single failures ${moving.length} let a load move behind its open isolator${turned} and ${burning.length} burn something before anything opens; ${bad.length} of those nobody would notice in time. First: ${bad[0]!.where}. ${bad[0]!.says}`;
  if (moving.length + burning.length > 0) return `Of ${failures} single failures ${moving.length} let a load move behind its open isolator and ${burning.length} burn something, and the crew would notice each of them.`;
  return `None of ${failures} single failures wakes a load behind an open isolator or burns anything before a fuse opens.`;
}

/** What can be connected the wrong way round, and what is not said about it. */
function reversalBasis({ failures, network }: FailureStudy): string[] {
  const ways = failures.filter(({ mode }) => mode === 'reversed').length;
  const connectors = [...network.machine.parts.values()].filter((part) => part.kind === 'connector' && part.values.polarised === undefined).map(({ id }) => id);
  return [
    ...(ways === 0 ? [] : [`${ways} of them are connected the wrong way round: diodes, converters, and what hangs on lugs, screw terminals and connectors that are not polarised. Two body diodes one on the other conduct from − to + in every controller and converter; what they stand, and when an electrolytic capacitor bursts, is not computed.`]),
    ...(connectors.length === 0 ? [] : [`${connectors.join(', ')} ${connectors.length === 1 ? 'is' : 'are'} taken as polarised (\`polarised: no\` says otherwise).`]),
  ];
}

function faultTable(effects: readonly Effect[]): Evidence {
  return {
    type: 'table',
    title: 'Every failure at its worst',
    head: ['failure', 'does', 'where', 'what wakes, goes dark or is harmed', 'noticed'],
    rows: effects.map((effect) => [
      effect.failures.map((one) => one.words).join(' and '),
      effect.consequence,
      effect.consequence === 'nothing seen' ? '' : effect.state.words,
      [...effect.wakes.map((part) => `${part} wakes`), ...effect.reversed.map(({ part, volts_V }) => `${part} ${say(volts_V, 'voltage')} reversed`), ...effect.dark.map((part) => `${part} dark`), ...effect.strains.slice(0, 2).map((one) => `${one.words} ${say(one.current_A, 'current')}, ${say(one.within_s, 'time')}`)].join(', '),
      effect.consequence === 'nothing seen' ? '' : effect.noticed,
    ]),
  };
}
