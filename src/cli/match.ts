import { DUTY_NAMES, readyMadeDuty } from '../machine/duty/ready-made.ts';
import { readDutyLog } from '../machine/duty/log.ts';
import { fingerprint } from '../machine/file/fingerprint.ts';
import { formatIssue } from '../machine/file/issue.ts';
import { driven, logActions } from '../machine/match/log-actions.ts';
import { buildMatch, canFight, type MatchModel } from '../machine/match/model.ts';
import type { MatchOutcome } from '../machine/match/record.ts';
import { runMatch } from '../machine/match/run.ts';
import { fightSamples, type NumberedMatch } from '../machine/match/spread.ts';
import { nearest } from '../quantity/nearest.ts';
import { EXIT, Mistake, type ExitCode } from './exit.ts';
import { printable } from './layout.ts';
import { matchCsv, matchJson, matchText, spreadText } from './match-text.ts';
import { progressLine } from './progress.ts';
import { refuseSameFile } from './report-file.ts';
import type { Services } from './services.ts';
import { readSource } from './source-file.ts';
import { writeWhole } from './write-source.ts';

export interface MatchOptions {
  /** A ready-made duty in place of the machine's own. */
  readonly duty?: string | undefined;
  /** A log to play in place of a duty. */
  readonly log?: string | undefined;
  readonly seed: number;
  /** Matches of the spread besides the one as the file has it. */
  readonly matches: number;
  readonly csv?: string | undefined;
  readonly json: boolean;
}

/** Matches in pieces, so that progress shows and every thread stays busy. */
const PER_PIECE = 4;

/** `ampwright match`: one match as the file has it, and on request many with everything drawn from its spread. */
export async function matchCommand(path: string, options: MatchOptions, services: Services): Promise<ExitCode> {
  const { terminal, version, readMachine } = services;
  if (options.duty !== undefined && options.log !== undefined) throw new Mistake('match: expected --duty or --log, found both', EXIT.usage);
  if (options.log !== undefined && options.matches > 0) throw new Mistake('match: expected --matches with a duty, found it with --log, which is the same each time', EXIT.usage);
  if (options.csv !== undefined) refuseSameFile(path, options.csv, '--csv');
  const text = readSource(path);
  const file = readMachine(text);
  for (const issue of file.ok ? file.questions : file.issues) terminal.writeError(`${formatIssue(issue, printable(path))}\n`);
  if (!file.ok) return EXIT.file;
  const match = buildMatch(file.machine);
  if (!canFight(match)) {
    terminal.writeError(`ampwright: no match can be run: needs ${match.needs.join(', ')}\n`);
    return EXIT.none;
  }
  const duty = options.duty === undefined ? match.machine.duty : readyMadeDuty(options.duty)!;
  const played = options.log === undefined ? undefined : playedLog(options.log, match);
  const outcome = runMatch(match, { duty, seed: options.seed, curves: true, ...(played === undefined ? {} : { played: played.played, length_s: played.length_s }) });
  const shown = { machine: match.machine, needs: match.needs, outcome, fingerprint: fingerprint(text), version, seed: options.seed };
  // Many matches take a while: what is known already is not held back for them.
  if (!options.json) terminal.write(matchText(shown, terminal));
  const many = await fightMany(text, match, options, services);
  if (options.json) terminal.write(matchJson(shown, many));
  else if (many.length > 0 && outcome.status === 'done') terminal.write(spreadText(many, terminal));
  if (options.csv !== undefined && outcome.status === 'done') {
    writeWhole(options.csv, matchCsv(outcome.record));
    terminal.writeError(`curves: ${printable(options.csv)}\n`);
  }
  return exitCode(outcome, match);
}

/** The name of a ready-made duty. */
export function parseDuty(text: string): string {
  if (DUTY_NAMES.includes(text)) return text;
  const near = nearest(text, DUTY_NAMES);
  throw new Mistake(`--duty: expected one of ${DUTY_NAMES.join(', ')}, found ${JSON.stringify(printable(text))}${near === undefined ? '' : `; did you mean ${near}?`}`, EXIT.usage);
}

/** What a match finds is for the questions to judge: here only that it could be fought counts. */
function exitCode(outcome: MatchOutcome, match: MatchModel): ExitCode {
  return outcome.status === 'refused' || match.units.length === 0 ? EXIT.none : EXIT.fine;
}

function playedLog(path: string, match: MatchModel) {
  const result = readDutyLog(readSource(path), driven(match));
  if (!result.ok) {
    const lines = result.issues.map(({ line, expected, found, hint }) => `${printable(path)}:${line}: expected ${printable(expected)}, found ${printable(found)}${hint === undefined ? '' : `; ${printable(hint)}`}`);
    throw new Mistake(lines.join('\n'), EXIT.usage);
  }
  return { played: { name: printable(path), actions: logActions(match, result.log) }, length_s: Math.max(1, result.log.time_s.at(-1)!) };
}

async function fightMany(text: string, match: MatchModel, { matches, duty, seed }: MatchOptions, services: Services): Promise<readonly NumberedMatch[]> {
  if (matches === 0) return [];
  const progress = progressLine(services.terminal);
  const threads = await services.matchThreads?.(matches);
  const pieces = Array.from({ length: Math.ceil(matches / PER_PIECE) }, (_, p) => Array.from({ length: Math.min(PER_PIECE, matches - p * PER_PIECE) }, (_, k) => p * PER_PIECE + k));
  let done = 0;
  const told = <T>(some: readonly number[], found: T): T => {
    done += some.length;
    progress.show(done, matches, 'matches');
    return found;
  };
  try {
    if (threads !== undefined) return (await Promise.all(pieces.map(async (samples) => told(samples, await threads.fight({ text, duty, seed, samples }))))).flat();
    const own = duty === undefined ? match.machine.duty : readyMadeDuty(duty)!;
    return pieces.flatMap((samples) => told(samples, fightSamples(match, own, seed, samples)));
  } finally {
    progress.clear();
    await threads?.close();
  }
}
