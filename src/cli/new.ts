import { starterMachine } from '../machine/starter.ts';
import { starterChoices } from '../machine/starter/choices.ts';
import type { StarterFacts } from '../machine/starter/facts.ts';
import { formatValue } from '../quantity/format.ts';
import { EXIT, Mistake, type ExitCode } from './exit.ts';
import { hang, printable, wrap } from './layout.ts';
import { refuseExisting, writeMachine } from './machine-file.ts';
import { FACT_NAMES, FACTS, readFact, readFacts, usualText, WrongFact, type FactName, type FactTexts } from './new-facts.ts';
import type { Services } from './services.ts';

export interface NewOptions {
  readonly facts: FactTexts;
  /** Writes over a file, which is kept beside the new one. */
  readonly force: boolean;
}

/** `ampwright new`: writes a first machine file from a few facts, and says what was taken for those that are missing. */
export async function newCommand(path: string, { force, facts: given }: NewOptions, services: Services): Promise<ExitCode> {
  const { terminal } = services;
  refuseExisting(path, force);
  try {
    // A wrong option is named before anything is asked.
    readFacts(given, path);
    const texts = services.prompt === undefined ? given : await askMissing(given, path, services);
    const facts = readFacts(texts, path);
    const { backup } = writeMachine(path, starterMachine(facts), force);
    terminal.write(`${saidLines(path, facts, texts, backup, terminal.columns).join('\n')}\n`);
    return EXIT.fine;
  } catch (error) {
    throw error instanceof WrongFact ? new Mistake(error.message, EXIT.usage) : error;
  }
}

/** Asks for what is missing, one by one; an empty answer takes what is usual, a wrong one is asked again. */
async function askMissing(given: FactTexts, path: string, { prompt, terminal }: Services): Promise<FactTexts> {
  const texts: Partial<Record<FactName, string>> = { ...given };
  for (const name of FACT_NAMES) {
    if (texts[name] !== undefined) continue;
    const { question, example } = FACTS[name];
    const usual = usualText(name, path);
    const lines = wrap(`${question} For instance ${example}.`, terminal.columns);
    for (;;) {
      const answer = await prompt?.(`${lines.join('\n')}\n[${printable(usual)}] > `);
      if (answer === undefined) throw new Mistake(`${printable(path)}: not written, because the answers ended`, EXIT.usage);
      if (answer.trim() === '') break;
      try {
        readFact(name, answer);
        readFacts({ ...texts, [name]: answer }, path);
        texts[name] = answer;
        break;
      } catch (error) {
        if (!(error instanceof WrongFact)) throw error;
        terminal.write(`${wrap(error.message.replace(/^--[a-z-]+: /, ''), terminal.columns).join('\n')}\n`);
      }
    }
  }
  return texts;
}

function saidLines(path: string, facts: StarterFacts, texts: FactTexts, backup: string | undefined, columns: number): string[] {
  const missing = FACT_NAMES.filter((name) => texts[name] === undefined);
  const item = (text: string): string[] => hang('  - ', text, columns);
  return [
    ...wrap(`${path}: written${backup === undefined ? '' : `; what was there is kept as ${backup}`}`, columns),
    ...(missing.length === 0 ? [] : ['Not said, and taken:', ...missing.flatMap((name) => item(`--${FACTS[name].option} ${usualText(name, path)}`))]),
    'Chosen as a first guess:',
    ...chosen(facts).flatMap(item),
    ...wrap('What else is not known is left out, so that class defaults count; comments in the file name each, and how to find it.', columns),
    'Next:',
    `  ampwright ask ${printable(path)}`,
  ];
}

function chosen(facts: StarterFacts): string[] {
  const { softStart, branches, fuse_A, closing_A, make_A } = starterChoices(facts);
  const current = (current_A: number): string => formatValue(current_A, 'current', 2);
  const sized = branches.flatMap(({ feeds, softStart: one }) => {
    if (one === undefined) return [];
    return [`${formatValue(one.resistance_ohm, 'resistance')}${feeds === 'all' ? '' : ` for the ${feeds}`}, counted ${formatValue(one.count_s, 'time')}`];
  });
  const closes = `by a first estimate the switch closes on ${current(closing_A)}, and such a contact is taken to stand ${current(make_A)} at least`;
  return [
    ...(facts.fuse === undefined ? [`fuse: ${formatValue(fuse_A, 'current')}`] : []),
    ...(facts.softStart === 'suggest' && softStart === 'none' ? [`no soft start: ${closes}`] : []),
    ...(softStart === 'none' ? [] : [`soft start: ${softStart === 'charge' ? 'a charge position' : 'a push button'}, ${sized.join('; ')}`]),
    'leads by the current that they carry, each 0.4 m long',
  ];
}
