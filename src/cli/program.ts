import { Command, CommanderError, InvalidArgumentError } from 'commander';
import { DUTY_NAMES } from '../machine/duty/ready-made.ts';
import { nearest } from '../quantity/nearest.ts';
import type { Reading } from '../questions/hold-test.ts';
import { askCommand, parseOnly, type AskOptions } from './ask.ts';
import { checkCommand } from './check.ts';
import { demoCommand, type DemoOptions } from './demo.ts';
import { EXIT, Mistake, type ExitCode } from './exit.ts';
import { faultsCommand, type FaultsOptions } from './faults.ts';
import { holdTestCommand, type HoldTestOptions } from './hold-test.ts';
import { printable } from './layout.ts';
import { matchCommand, parseDuty, type MatchOptions } from './match.ts';
import { newCommand } from './new.ts';
import { FACT_NAMES, FACTS, factTexts } from './new-facts.ts';
import { papersCommand, parseNames, parsePaper, type PapersOptions } from './papers.ts';
import { FORMATS, PAPER_NAMES } from './papers-making.ts';
import { parsePack, parseReading, parseRest } from './readings.ts';
import { openCommand, type OpenOptions } from './open.ts';
import type { Services } from './services.ts';
import { statesCommand, type StatesOptions } from './states.ts';

const DEFAULTS = { samples: 200, seed: 1 } as const;
/** Fewer than where the shares that pass are what is asked for: papers show what decides, and are made often. */
const PAPER_SAMPLES = 20;
const MOST_SAMPLES = 100_000;
const LARGEST_SEED = 2 ** 32 - 1;

const EXIT_CODES = `
Exit codes:
  0  every answer is good or marginal (check: no errors)
  1  some answer is bad
  2  the machine file has errors or cannot be read
  3  the command was used wrongly
  4  no verdict: an input is missing, numbers were refused, or a fault of ours`;

/**
 * Runs one command line.
 * @param words  what stands after the program's name
 * @returns the code to exit with; mistakes of the user are printed, other errors are thrown
 */
export async function runProgram(words: readonly string[], services: Services): Promise<ExitCode> {
  let code: ExitCode = EXIT.fine;
  const program = programOf(services, (result) => {
    code = result;
  });
  try {
    if (words.length === 0) {
      services.terminal.writeError(program.helpInformation());
      return EXIT.usage;
    }
    await program.parseAsync(words, { from: 'user' });
    return code;
  } catch (error) {
    if (error instanceof Mistake) {
      services.terminal.writeError(`ampwright: ${error.message}\n`);
      return error.code;
    }
    if (error instanceof CommanderError) {
      const [word = ''] = words;
      if (error.code === 'commander.unknownCommand' && /[./\\]/.test(word)) {
        services.terminal.writeError(`To ask about a file: ampwright ask ${printable(word)}\n`);
      }
      return error.exitCode === 0 ? EXIT.fine : EXIT.usage;
    }
    throw error;
  }
}

function programOf(services: Services, finish: (code: ExitCode) => void): Command {
  const { terminal, version, questionIds } = services;
  // Sub-commands take these settings over when they are made.
  const program = new Command('ampwright')
    .exitOverride()
    .configureOutput({
      writeOut: (text) => terminal.write(text),
      writeErr: (text) => terminal.writeError(text),
      outputError: (text, write) => write(`ampwright: ${printable(text.trim()).replace(/^error: /, '')}\n`),
      getOutHelpWidth: () => terminal.columns,
      getErrHelpWidth: () => terminal.columns,
    })
    .description('Answers what a builder asks about the power system of a battery-powered combat robot, from one machine file.')
    .version(version, '--version', 'print the version')
    .helpOption('--help', 'print this help')
    .showHelpAfterError('(ampwright --help shows the commands)')
    .addHelpText('after', `
Examples:
  ampwright demo                                  the demo machine, and a report
  ampwright new robot.yaml --cells 6 --drive 2x60A  a first machine file
  ampwright check robot.yaml                      is the file in order?
  ampwright open robot.yaml                       the page, bound to the file
  ampwright ask robot.yaml                        all questions
  ampwright ask robot.yaml --only spark,hold      two of them, in full
  ampwright ask robot.yaml --report robot.html    with curves, to show and print
  ampwright ask robot.yaml --json > answers.json  for scripts
  ampwright papers robot.yaml --out papers     drawing, lists, cards to print
  ampwright states robot.yaml                     what is live in every state
  ampwright faults robot.yaml                     what one failed part does
  ampwright hold-test --help                      banks and standby from a meter
${EXIT_CODES}`);

  program.command('ask')
    .description('ask the questions of a machine file')
    .argument('<FILE>', 'the machine file (YAML)')
    .option('--only <ids>', `only these questions, shown in full: ${questionIds.join(', ')}`, (text) => parseOnly(text, questionIds, nearest))
    .option('--json', 'print one JSON object instead of text', false)
    .option('--samples <N>', 'samples of the spreads', wholeNumber(0, MOST_SAMPLES), DEFAULTS.samples)
    .option('--seed <S>', 'seed of the samples: the same seed gives the same numbers', wholeNumber(0, LARGEST_SEED), DEFAULTS.seed)
    .option('--report <OUT.html>', 'write the answers with their curves as one HTML file')
    .addHelpText('after', EXIT_CODES)
    .action(async (file: string, options: AskOptions) => finish(await askCommand(file, options, services)));

  program.command('check')
    .description('read a machine file and say what is wrong or odd in it')
    .argument('<FILE>', 'the machine file (YAML)')
    .action((file: string) => finish(checkCommand(file, services)));

  const begin = program.command('new')
    .description('write a first machine file from a few facts; asks for them on a terminal')
    .argument('<FILE>', 'the machine file to write');
  for (const name of FACT_NAMES) begin.option(`--${FACTS[name].option} <${FACTS[name].example}>`, FACTS[name].help);
  begin
    .option('--force', 'write over FILE, and keep the old one as FILE.bak', false)
    .addHelpText('after', `
Example:
  ampwright new lifter.yaml --cells 6 --capacity "3.3 Ah" --drive 2x60A --weapon 80A

Exit codes:
  0  the file is written
  3  the command was used wrongly, FILE exists, or it cannot be written`)
    .action(async (file: string, options: Readonly<Record<string, unknown>>) => finish(await newCommand(file, { facts: factTexts(options), force: options['force'] === true }, services)));

  program.command('hold-test')
    .description('tell bank capacitance and standby current from meter readings of a held soft start')
    .argument('<FILE>', 'the machine file (YAML)')
    .option('--at <SWITCH>', 'the switch held on its soft start, main contact open; not needed where there is one')
    .option('--reading <TIME VOLTS>', 'what the meter showed on the charged bus, like "0.5 s 12.3 V"; several times', (text: string, before: readonly Reading[] = []) => [...before, parseReading(text)])
    .option('--rest <VOLTS>', 'what it showed at rest, like "39.3 V"', parseRest)
    .option('--pack <VOLTS>', 'the pack measured at the test, like "41.8 V"; from the file when left out', parsePack)
    .option('--write', 'write what was told into the file as measured', false)
    .option('--json', 'print one JSON object instead of text', false)
    .addHelpText('after', `
Example:
  ampwright hold-test robot.yaml --at Q1 --pack "41.80 V" \\
    --reading "0.5 s 21.40 V" --reading "1 s 30.62 V" --rest "37.41 V"

Exit codes:
  0  both were told
  2  the machine file has errors, or cannot be read or written
  3  the command was used wrongly
  4  one of them cannot be told, or a fault of ours`)
    .action((file: string, options: HoldTestOptions) => finish(holdTestCommand(file, options, services)));
  program.command('states')
    .description('what every load is in every state of the switches: dead, leaking, awake or able to move')
    .argument('<FILE>', 'the machine file (YAML)')
    .option('--spinning <MOTORS>', 'motors that turn, like M1,M2, or all; at rest when left out')
    .option('--out <PACKS>', 'packs that are out, like G1, or all; in when left out')
    .option('--state <POSITIONS>', 'one state in detail, like "Q1 CHARGE, S1 held"; switches not named stand as before the first step')
    .option('--json', 'print one JSON object instead of text', false)
    .addHelpText('after', `
Example:
  ampwright states robot.yaml --state "Q1 ON, Q2 OFF" --spinning M3

Exit codes:
  0  the states are shown, whatever they are
  2  the machine file has errors or cannot be read
  3  the command was used wrongly
  4  in some state no state of rest was found, or a fault of ours`)
    .action((file: string, options: StatesOptions) => finish(statesCommand(file, options, services)));
  program.command('faults')
    .description('what every single failure does at its worst, and every two together')
    .argument('<FILE>', 'the machine file (YAML)')
    .option('--pairs', 'also all pairs of failures, in the states that the procedure reaches as written', false)
    .option('--state <POSITIONS>', 'only in this state, like "Q1 CHARGE, S1 held"; switches not named stand as before the first step')
    .option('--json', 'print one JSON object instead of text', false)
    .addHelpText('after', `
Example:
  ampwright faults robot.yaml --state "Q1 ON, Q2 OFF"

Exit codes:
  0    no single failure is bad
  1    some single failure is bad
  2    the machine file has errors or cannot be read
  3    the command was used wrongly
  4    in some case no state of rest was found, or a fault of ours
  130  --pairs was stopped with Ctrl-C; what was found so far is shown`)
    .action(async (file: string, options: FaultsOptions) => finish(await faultsCommand(file, options, services)));
  program.command('match')
    .description('fight a match: pack, buses, radio, heat and fuses through its three minutes')
    .argument('<FILE>', 'the machine file (YAML)')
    .option('--duty <NAME>', `a ready-made duty in place of the file's own: ${DUTY_NAMES.join(', ')}`, parseDuty)
    .option('--log <LOG.csv>', 'play throttles or motor currents over time instead of a duty: columns like "time, T1 throttle, M2 current"')
    .option('--seed <S>', "seed of the duty's events", wholeNumber(0, LARGEST_SEED), DEFAULTS.seed)
    .option('--matches <N>', 'also so many matches with everything drawn from its spread', wholeNumber(0, MOST_SAMPLES), 0)
    .option('--csv <OUT.csv>', 'write every curve')
    .option('--json', 'print one JSON object instead of text', false)
    .addHelpText('after', `
Example:
  ampwright match robot.yaml --duty brutal --seed 7 --csv match.csv

Exit codes:
  0  the match was fought, whatever it shows
  2  the machine file has errors or cannot be read
  3  the command was used wrongly, or a file cannot be read or written
  4  no match can be run, its numbers were refused, or a fault of ours`)
    .action(async (file: string, options: MatchOptions) => finish(await matchCommand(file, options, services)));
  program.command('papers')
    .description('write drawing, lists, cards, sheets and one page to share, as PDF, HTML, SVG and CSV')
    .argument('<FILES...>', 'the machine file (YAML); several are each written into a folder of their own')
    .requiredOption('--out <DIR>', 'folder to write into')
    .option('--only <names>', `only these: ${PAPER_NAMES.join(', ')}`, (text) => parseNames('--only', text, PAPER_NAMES))
    .option('--format <names>', `only these: ${FORMATS.join(', ')}`, (text) => parseNames('--format', text, FORMATS), FORMATS)
    .option('--paper <SIZE>', 'size of the pages: a4 or letter', parsePaper, 'A4')
    .option('--date <DATE>', 'date to print, as you write it; none when left out')
    .option('--revision <R>', 'revision to print')
    .option('--rules <FILE>', "the event's rules on power (YAML) in place of the generic set; machines/rules/generic.yaml shows how")
    .option('--before <FILE>', 'an older version of the machine, compared on the share page')
    .option('--impersonal', 'leave notes and comments out', false)
    .option('--samples <N>', 'samples of the spreads; every paper with answers says how many', wholeNumber(0, MOST_SAMPLES), PAPER_SAMPLES)
    .option('--seed <S>', 'seed of the samples', wholeNumber(0, LARGEST_SEED), DEFAULTS.seed)
    .option('--force', 'write over files that this command did not make', false)
    .addHelpText('after', `
Example:
  ampwright papers robot.yaml --out papers --only wire-list,power-card

Exit codes:
  0  the papers are written, whatever they say
  2  a machine file or the rules have errors or cannot be read
  3  wrongly used, a file is in the way, or one cannot be written`)
    .action(async (files: string[], options: PapersOptions) => finish(await papersCommand(files, options, services)));
  program.command('open')
    .description('open a machine file in the page: drawing, questions and values, on this computer only')
    .argument('<FILE>', 'the machine file (YAML)')
    .option('--port <N>', 'port on the loopback address; 0 takes any that is free', wholeNumber(0, 65_535), 0)
    .addHelpText('after', `
Exit codes:
  0  ended by Ctrl-C
  2  the file cannot be read
  3  the command was used wrongly, or the port is taken`)
    .action(async (file: string, options: OpenOptions) => finish(await openCommand(file, options, services)));
  program.command('demo')
    .description('ask the questions of the demo machine and write its report to out/crush10s.html')
    .option('--serve', 'then open a copy of it in the page: out/crush10s.yaml', false)
    .option('--port <N>', 'port on the loopback address; 0 takes any that is free', wholeNumber(0, 65_535), 0)
    .action(async (options: DemoOptions) => finish(await demoCommand({ ...DEFAULTS, ...options }, services)));

  return program;
}

/** A parser of whole numbers; others are named in the same words as mistakes in the file. */
function wholeNumber(least: number, most: number): (text: string) => number {
  return (text) => {
    const number = /^\d{1,10}$/.test(text) ? Number(text) : NaN;
    if (!(number >= least && number <= most)) throw new InvalidArgumentError(`Expected a whole number from ${least} to ${most}.`);
    return number;
  };
}
