import { fingerprint } from '../machine/file/fingerprint.ts';
import { formatIssue } from '../machine/file/issue.ts';
import type { Machine } from '../machine/machine.ts';
import { effectVerdict, effectWords, NOTICED, ranked } from '../questions/faults.ts';
import { limitsOf } from '../questions/soft-start-heat.ts';
import { FailureStudy, type Effect } from '../questions/states/failure-effects.ts';
import { PairSearch } from '../questions/states/failure-pairs.ts';
import { procedureStates, type ReachedState } from '../questions/states/procedure-states.ts';
import { EXIT, Mistake, type ExitCode } from './exit.ts';
import { faultsJson, type Faults } from './faults-json.ts';
import { hang, printable } from './layout.ts';
import { searchPairs } from './pair-search.ts';
import type { Services } from './services.ts';
import { readSource } from './source-file.ts';
import { parseState } from './state-words.ts';
import { markOf, MARK_WIDTH, type Terminal } from './terminal.ts';

export interface FaultsOptions {
  readonly pairs: boolean;
  /** The one state to look at. */
  readonly state?: string | undefined;
  readonly json: boolean;
}

/** `ampwright faults`: every failure at its worst, ranked, and on request every two together. */
export async function faultsCommand(path: string, options: FaultsOptions, services: Services): Promise<ExitCode> {
  const { terminal, version, readMachine } = services;
  if (options.pairs && options.state !== undefined) throw new Mistake('faults: expected --pairs or --state, found both', EXIT.usage);
  const text = readSource(path);
  const file = readMachine(text);
  for (const issue of file.ok ? file.questions : file.issues) terminal.writeError(`${formatIssue(issue, printable(path))}\n`);
  if (!file.ok) return EXIT.file;
  const { machine } = file;
  const study = new FailureStudy(machine, (resistor) => limitsOf({ machine }, resistor));
  const state = options.state === undefined ? undefined : namedState(study, options.state);
  const effects = ranked(study.failures.map((failure) => (state === undefined ? study.worstOf([failure]) : study.worstOf([failure], [state], state))));
  const { covered, solved, unsolved } = study;
  let pairs: Faults['pairs'];
  if (options.pairs) {
    const search = new PairSearch(study);
    const { found, ...tried } = await searchPairs(search, text, services);
    pairs = { ...tried, effects: found.map((one) => search.effect(one)) };
  }
  const faults: Faults = { machine, effects, states: state === undefined ? study.states.length : 1, covered, solved, unsolved, state: state?.words, pairs };
  terminal.write(options.json ? faultsJson(faults, { fingerprint: fingerprint(text), version }) : faultsText(faults, terminal));
  return exitCode(faults);
}

function exitCode({ effects, unsolved, pairs }: Faults): ExitCode {
  if (pairs !== undefined && pairs.done < pairs.of) return EXIT.interrupted;
  if (effects.some((effect) => effectVerdict(effect) === 'bad')) return EXIT.bad;
  return unsolved + (pairs?.unsolved ?? 0) > 0 ? EXIT.none : EXIT.fine;
}

/** A state by the words of the command line; with every pack in and every motor at rest. */
function namedState({ network }: FailureStudy, words: string): ReachedState {
  if (network.rows.length === 0) throw new Mistake('--state: expected a machine with a switch, found none', EXIT.usage);
  const { situation } = procedureStates(network)[0]!;
  const positions = parseState(words, network, situation.positions);
  return { situation: { ...situation, positions }, words: network.rows.map((row, r) => `${row.part} ${row.positions[positions[r]!]!.name}`).join(', '), slip: false };
}

/** More pairs than these nobody reads; --json has them all. */
const MOST_PAIRS = 40;

function faultsText(faults: Faults, terminal: Terminal): string {
  const { machine, effects, states, covered, solved, unsolved, state, pairs } = faults;
  const { columns } = terminal;
  const where = state === undefined ? `${states} state${states === 1 ? '' : 's'} of the procedure and likely slips, and at full drive` : `${state}, at rest and at full drive`;
  const lines = [
    terminal.ink('bold', `${printable(machine.name)}: ${effects.length} single failures`),
    ...hang('  ', `Each in ${where}: ${covered} cases, none left out; ${solved} of them solved anew, in the others the failure lies where nothing flows.`, columns),
    '',
    ...effects.filter(seen).flatMap((effect) => effectLines(machine, effect, terminal)),
  ];
  const unseen = effects.filter((effect) => !seen(effect));
  if (unseen.length > 0) lines.push('', ...hang(`  ${unseen.length} change nothing that anybody would notice: `, `${unseen.map(({ failures }) => failures[0]!.words).join(', ')}.`, columns));
  if (unsolved > 0) lines.push('', ...hang('  ', `In ${unsolved} case${unsolved === 1 ? '' : 's'} no state of rest was found.`, columns));
  if (pairs !== undefined) lines.push('', ...pairLines(machine, pairs, terminal));
  return `${lines.join('\n')}\n`;
}

function seen({ consequence }: Effect): boolean {
  return consequence !== 'nothing seen';
}

function effectLines(machine: Machine, effect: Effect, terminal: Terminal): string[] {
  const verdict = effectVerdict(effect);
  const { failures, state, consequence, noticed } = effect;
  const head = `${failures.map(({ words }) => words).join(' and ')}: ${consequence}, ${state.words}`;
  return [...hang(`${markOf(verdict, terminal)} `, head, terminal.columns), ...hang(' '.repeat(MARK_WIDTH + 1), `${effectWords(machine, effect)}. The crew notices ${NOTICED[noticed]}.`, terminal.columns)];
}

function pairLines(machine: Machine, { done, of, covered, solved, unsolved, effects }: NonNullable<Faults['pairs']>, terminal: Terminal): string[] {
  const { columns } = terminal;
  const stopped = done < of ? `Stopped after ${done} of ${of} pairs of failures` : `All ${of} pairs of failures`;
  return [
    terminal.ink('bold', stopped),
    ...hang('  ', `In the states as written and at full drive: ${covered} cases, none of them left out; ${solved} solved anew, in the others one of the two changes nothing beside the other. ${effects.length} pairs do worse than either alone, or the same unnoticed.${effects.length > MOST_PAIRS ? ` The first ${MOST_PAIRS}; --json has them all.` : ''}${unsolved > 0 ? ` In ${unsolved} cases no state of rest was found.` : ''}`, columns),
    ...(effects.length === 0 ? [] : ['']),
    ...effects.slice(0, MOST_PAIRS).flatMap((effect) => effectLines(machine, effect, terminal)),
  ];
}
