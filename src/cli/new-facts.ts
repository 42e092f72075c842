import { basename } from 'node:path';
import { Issues, type Issue } from '../machine/file/issue.ts';
import { quantityIn, type QuantityRule } from '../machine/file/values.ts';
import { CONTROLLER } from '../machine/parts/loads.ts';
import { FUSE } from '../machine/parts/conductive.ts';
import { PACK } from '../machine/parts/pack.ts';
import { LINK_CHARGE, MOST_CELLS, MOST_DRIVES, nameTrouble, RADIO_SUPPLIES, SOFT_STARTS, SWITCHES, type StarterFacts } from '../machine/starter/facts.ts';
import { nearest } from '../quantity/nearest.ts';
import type { Quantity } from '../quantity/quantity.ts';
import { quoted } from '../quantity/scan.ts';

/** One fact as it is written on the command line, or answered when asked for. */
export interface Fact<Value> {
  readonly option: string;
  /** For the list of options. */
  readonly help: string;
  /** As a question to a person. */
  readonly question: string;
  readonly example: string;
  /** What is taken when nothing is said. */
  readonly usual: string;
  /** @throws WrongFact */
  readonly read: (text: string) => Value;
}

/** What is wrong with a fact, in the words of the issues of a machine file. */
export class WrongFact extends Error {}

/** The facts in the order in which they are asked for; `usual` of the name is made from the file's. */
export const FACTS = {
  name: {
    option: 'name', help: 'name of the machine; from the name of FILE when left out',
    question: 'Name of the machine?',
    example: 'LIFTER', usual: '', read: readName,
  },
  cells: {
    option: 'cells', help: 'cells in series',
    question: 'How many cells in series has the pack?',
    example: '6', usual: '6', read: readCells,
  },
  chemistry: {
    option: 'chemistry', help: 'lipo, nca, nmc or lfp',
    question: `Which chemistry: ${PACK.fields.chemistry.options.join(', ')}?`,
    example: 'lipo', usual: 'lipo', read: choice(PACK.fields.chemistry.options),
  },
  capacity: {
    option: 'capacity', help: 'capacity of the pack',
    question: 'Capacity of the pack?',
    example: '3.3 Ah', usual: '3.3 Ah', read: (text) => readQuantity(text, PACK.fields.capacity),
  },
  drive: {
    option: 'drive', help: 'drive controllers: how many, and the rating of each',
    question: 'Drive controllers, how many and of which rating?',
    example: '2x60A', usual: '2x60A', read: readDrive,
  },
  weapon: {
    option: 'weapon', help: 'rating of the controller of the weapon or arm, or none',
    question: 'Rating of the controller of the weapon or arm?',
    example: '80A', usual: 'none', read: (text) => (text.toLowerCase() === 'none' ? undefined : readQuantity(text, CONTROLLER.fields.motorCurrent, 'none')),
  },
  isolators: {
    option: 'switch', help: 'main: one main switch; branch: an isolator a branch; links: removable links',
    question: 'One main switch (main), an isolator for each branch (branch), or removable links (links)?',
    example: 'main', usual: 'main', read: choice(SWITCHES),
  },
  softStart: {
    option: 'soft-start', help: 'none, a charge position, a button, or suggest',
    question: 'Soft start: none, a charge position (charge), a push button (button), or decided from a first estimate (suggest)?',
    example: 'charge', usual: 'suggest', read: choice(SOFT_STARTS),
  },
  fuse: {
    option: 'fuse', help: 'rating of the fuse, or usual',
    question: 'Rating of the fuse? (usual: a size that fits the controllers)',
    example: '100A', usual: 'usual', read: (text) => (text.toLowerCase() === 'usual' ? undefined : readQuantity(text, FUSE.fields.rating, 'usual')),
  },
  radioSupply: {
    option: 'radio', help: 'what feeds the radio: converter, or the supply in a controller',
    question: 'What feeds the radio: a DC-DC converter (converter), or the supply inside a drive controller (controller)?',
    example: 'converter', usual: 'converter', read: choice(RADIO_SUPPLIES),
  },
} as const satisfies { readonly [Name in keyof StarterFacts]: Fact<StarterFacts[Name]> };

export type FactName = keyof StarterFacts;

/** Facts as written; those of which nothing is said are missing. */
export type FactTexts = Readonly<Partial<Record<FactName, string>>>;

export const FACT_NAMES = Object.keys(FACTS) as FactName[];

/** What the options of a command line say, by the names of the facts. */
export function factTexts(options: Readonly<Record<string, unknown>>): FactTexts {
  const texts: Partial<Record<FactName, string>> = {};
  for (const name of FACT_NAMES) {
    // `--soft-start` comes as `softStart`.
    const text = options[FACTS[name].option.replace(/-(.)/g, (_, letter: string) => letter.toUpperCase())];
    if (typeof text === 'string') texts[name] = text;
  }
  return texts;
}

/** What stands for a fact of which nothing is said. */
export function usualText(name: FactName, path: string): string {
  return name === 'name' ? nameFrom(path) : FACTS[name].usual;
}

/**
 * Reads all facts; what is missing in `texts` is read from what is usual.
 * @throws WrongFact with the option that is wrong in front
 */
export function readFacts(texts: FactTexts, path: string): StarterFacts {
  const read = <Name extends FactName>(name: Name): StarterFacts[Name] => readFact(name, texts[name] ?? usualText(name, path));
  const facts: StarterFacts = {
    name: read('name'), cells: read('cells'), chemistry: read('chemistry'), capacity: read('capacity'), drive: read('drive'), weapon: read('weapon'),
    isolators: read('isolators'), softStart: read('softStart'), fuse: read('fuse'), radioSupply: read('radioSupply'),
  };
  if (facts.isolators === 'links' && facts.softStart === 'charge') throw new WrongFact(`--soft-start: ${LINK_CHARGE}`);
  return facts;
}

/** @throws WrongFact with the option in front */
export function readFact<Name extends FactName>(name: Name, text: string): StarterFacts[Name] {
  const { option, read } = FACTS[name];
  try {
    // Each entry reads what its own name holds, which the table's type has checked.
    return read(text.trim()) as StarterFacts[Name];
  } catch (error) {
    throw error instanceof WrongFact ? new WrongFact(`--${option}: ${error.message}`) : error;
  }
}

/** `machines/lifter two.yaml` gives LIFTER TWO. */
function nameFrom(path: string): string {
  const name = basename(path).replace(/\.ya?ml$/i, '').toUpperCase();
  return nameTrouble(name) === undefined ? name : 'ROBOT';
}

function readName(text: string): string {
  const trouble = nameTrouble(text);
  if (trouble !== undefined) throw new WrongFact(`expected a name of 1 to 80 printable characters, found ${trouble}`);
  return text;
}

function readCells(text: string): number {
  const cells = /^\d{1,3}\s*[sS]?$/.test(text) ? Number.parseInt(text, 10) : NaN;
  if (!(cells >= 1 && cells <= MOST_CELLS)) throw new WrongFact(`expected a whole number from 1 to ${MOST_CELLS} like "6", found ${quoted(text)}`);
  return cells;
}

/** `2x60A`, `2 × 60 A`; one of them needs no count. */
function readDrive(text: string): StarterFacts['drive'] {
  const [, many, rating] = /^(\d+)\s*[xX×*]\s*(.*)$/.exec(text) ?? [undefined, '1', text];
  const count = Number(many);
  if (!(count >= 1 && count <= MOST_DRIVES)) throw new WrongFact(`expected 1 to ${MOST_DRIVES} controllers like "2x60A", found ${quoted(text)}`);
  return { count, rating: readQuantity(rating ?? '', CONTROLLER.fields.motorCurrent) };
}

function choice<const Option extends string>(options: readonly Option[]): (text: string) => Option {
  return (text) => {
    const found = options.find((option) => option === text.toLowerCase());
    if (found !== undefined) return found;
    const near = nearest(text, options);
    throw new WrongFact(`expected ${options.join(', ')}, found ${quoted(text)}${near === undefined ? '' : `; did you mean ${near}?`}`);
  };
}

/** A quantity by the rule of its field; what the reader of the file would ask back about is asked about now. */
function readQuantity(text: string, rule: QuantityRule, word?: string): Quantity {
  const issues = new Issues();
  const quantity = quantityIn(text, { line: 1, column: 1 }, rule, {}, issues);
  const [issue] = issues.all();
  if (quantity === undefined || issue !== undefined) throw new WrongFact(wordsOf(issue, text, word));
  return quantity;
}

function wordsOf(issue: Issue | undefined, text: string, word: string | undefined): string {
  const near = word === undefined ? undefined : nearest(text, [word]);
  const hint = near === undefined ? issue?.hint : `did you mean ${near}?`;
  const expected = `${issue?.expected ?? 'another value'}${word === undefined ? '' : `, or ${word}`}`;
  return `expected ${expected}, found ${issue?.found ?? quoted(text)}${hint === undefined ? '' : `; ${hint}`}`;
}
