import type { Quantity } from '../quantity/quantity.ts';
import type { Part } from '../machine/parts.ts';
import { wordsOf } from '../machine/field.ts';
import { kindOf } from '../machine/parts.ts';
import { formatValue } from '../quantity/format.ts';
import type { Item } from '../questions/answer.ts';
import { EMPTY_BOX, type Paper, type Table } from './document/document.ts';
import { capital, limitWords, valueWords } from './report/words.ts';
import { answerTo, type PaperSource } from './source.ts';

/** Questions whose figures are ratings that a part must have. */
export const RATING_QUESTIONS = ['overvoltage', 'soft-start', 'trip', 'heat', 'fuses', 'pack', 'opening'] as const;

/** How many to take along of each kind, for a machine that has some. Common practice, no source. */
const SPARES: Readonly<Record<string, string>> = {
  pack: 'one more than the day needs (pit card)', fuse: '2 of each rating', link: '1', connector: '1 pair of each', button: '1', controller: '1 of each', motor: '1 of each', receiver: '1, linked to the transmitter',
  servo: '1', lamp: '1', resistor: '1 of each', converter: '1', regulator: '1', diode: '1', 'ideal diode': '1', isolator: '1', contactor: '1', 'solid-state switch': '1', 'brake resistor': '1', 'inrush limiter': '1 of each',
};

/** Every part with what was chosen, what the answers ask of it against what it bears, its mass, and what to take along. */
export function partsListPaper(source: PaperSource): Paper {
  const { machine, stamp } = source;
  const groups = alike([...machine.parts.values()]);
  const masses = [...machine.parts.values()].flatMap((part) => massOf(part) ?? []);
  const costs = [...machine.parts.values()].filter((part) => textOf(part, 'cost') !== '').length;
  const kinds = [...new Set([...machine.parts.values()].map(({ kind }) => kind))];
  return {
    title: 'Parts list',
    stamp,
    layout: 'wide',
    lead: 'Chosen: what the file says of the part. Required: what the answers compute for this machine as it is used.',
    blocks: [
      partsTable(source, groups, false),
      ...ratingsTable(source, groups),
      {
        type: 'facts', title: 'Mass and cost', facts: [
          { name: 'Parts with a mass', value: `${masses.length} of ${machine.parts.size}` },
          { name: 'Together', value: masses.length === 0 ? 'not given' : formatValue(masses.reduce((sum, { value }) => sum + value, 0), 'mass') },
          { name: 'Machine', value: machine.mass === undefined ? 'not given' : machine.mass.text },
          { name: 'Parts with a cost', value: `${costs} of ${machine.parts.size}` },
        ],
      },
      {
        type: 'table', title: 'Spares to take (common practice, no source)', columns: [{ name: 'Kind' }, { name: 'In the machine', figures: true }, { name: 'Take along' }, { name: 'Packed' }],
        rows: kinds.flatMap((kind) => {
          const spare = SPARES[kind];
          const some = [...machine.parts.values()].filter((part) => part.kind === kind);
          return spare === undefined ? [] : [[kindName(some[0]!), String(some.length), spare, EMPTY_BOX]];
        }),
      },
    ],
  };
}

/** The parts with their required ratings in one table, for a spreadsheet. */
export function partsTableWhole(source: PaperSource): Table {
  return partsTable(source, alike([...source.machine.parts.values()]), true);
}

function partsTable(source: PaperSource, groups: readonly (readonly Part[])[], required: boolean): Table {
  return {
    type: 'table',
    title: 'Parts',
    columns: [{ name: 'Part' }, { name: 'Quantity', figures: true }, { name: 'Kind' }, { name: 'What' }, ...(required ? [{ name: 'Required' }] : []), { name: 'Chosen' }, { name: 'Mass of each', figures: true }, { name: 'Cost of each', figures: true }],
    rows: groups.map((parts) => [
      parts.map(({ id }) => id).join(', '), String(parts.length), kindName(parts[0]!), [...new Set(parts.map(({ about }) => about ?? ''))].filter((about) => about !== '').join('; '),
      ...(required ? [ratingsOf(source, parts).map(({ what, needed, bears }) => `${what}: ${needed}${bears === undefined ? '' : `, ${bears}`}`).join('; ')] : []),
      chosenWords(parts[0]!), quantityWords(massOf(parts[0]!)), textOf(parts[0]!, 'cost'),
    ]),
  };
}

/** None where no question was asked whose figures are ratings. */
function ratingsTable(source: PaperSource, groups: readonly (readonly Part[])[]): Table[] {
  const rows = groups.flatMap((parts) => ratingsOf(source, parts).map(({ what, needed, bears, verdict }) => [parts.map(({ id }) => id).join(', '), what, needed, bears ?? 'no limit stated', verdict]));
  if (rows.length === 0) return [];
  return [{ type: 'table', title: 'Ratings required against chosen', columns: [{ name: 'Part' }, { name: 'What is asked of it' }, { name: 'Required', figures: true }, { name: 'It bears' }, { name: 'Verdict' }], rows }];
}

/** Parts of one kind with the same values, in the order of the file; those with computed ratings of their own stand alone. */
function alike(parts: readonly Part[]): Part[][] {
  const groups = new Map<string, Part[]>();
  for (const part of parts) {
    const key = `${part.kind}|${chosenWords(part)}|${part.kind === 'motor' || part.kind === 'joint' ? '' : (part.about ?? '')}`;
    groups.set(key, [...(groups.get(key) ?? []), part]);
  }
  return [...groups.values()];
}

function kindName({ kind }: Part): string {
  return kindOf(kind)?.name.replace(/^an? /, '') ?? kind;
}

/** What is stated of a part; class defaults are no choice. */
function chosenWords(part: Part): string {
  const fields = kindOf(part.kind)?.fields ?? {};
  return Object.entries(part.values as Readonly<Record<string, unknown>>).flatMap(([property, value]): string[] => {
    if (property === 'mass' || property === 'cost' || value === undefined || fields[property] === undefined) return [];
    if (isQuantity(value)) return value.origin === 'class default' ? [] : [`${wordsOf(property)} ${value.text}`];
    if (typeof value === 'string') return [`${wordsOf(property)} ${value}`];
    return value === true ? [wordsOf(property)] : [];
  }).join('; ');
}

interface Rating {
  readonly what: string;
  readonly needed: string;
  readonly bears: string | undefined;
  readonly verdict: string;
}

/** What is asked of these parts, of each measure the entry that comes nearest to its limit, or is highest where there is none. */
function ratingsOf(source: PaperSource, parts: readonly Part[]): Rating[] {
  const worst = new Map<string, Item>();
  for (const id of RATING_QUESTIONS)
    for (const part of parts)
      for (const item of answerTo(source, id)?.items ?? []) {
        if (item.slip || item.figure === undefined || !Number.isFinite(item.figure.value) || ratedPart(item) !== part.id || !isRating(part, item)) continue;
        const what = measured(part, item);
        const before = worst.get(what);
        if (before === undefined || nearer(item, before)) worst.set(what, item);
      }
  return [...worst].map(([what, item]) => {
    const limit = limitWords(item);
    return { what, needed: ratingWords(item.figure!.value, item), bears: limit?.replace(valueWords(item.limit!, item.figure!.dimension), ratingWords(item.limit!, item)), verdict: limit === undefined ? '' : item.verdict === 'bad' ? 'NOT ENOUGH' : item.verdict === 'good' ? 'enough' : item.verdict };
  });
}

/** A voltage that is reached somewhere else as a contact opens is what the last part named must bear, not the contact. */
function ratedPart({ measure, parts }: Item): string | undefined {
  return measure === 'reached' ? parts.at(-1) : parts[0];
}

/** Times in which something else is to open say nothing of this part; a joint that nobody opens breaks nothing. */
function isRating({ kind }: Part, { measure }: Item): boolean {
  return !measure.startsWith('until ') && !(measure === 'to break' && kind === 'joint');
}

/** Words of two answers for the same thing. */
const SAME: Readonly<Record<string, string>> = { 'of its middle, at the hottest': 'at its hottest', 'let-through of the hardest pulse': 'let-through of the pulse' };

/** `Temperature at its hottest`, `Let-through of the pulse`. */
function measured({ kind }: Part, { measure, figure }: Item): string {
  const words = SAME[measure] ?? measure;
  const noun = figure!.dimension === 'ratio' ? (kind === 'pack' ? 'charge' : 'share') : NAMED.has(figure!.dimension) ? figure!.dimension : '';
  const whole = noun === '' || words.includes(noun) ? words : `${noun} ${words}`;
  return `${capital(whole)}${measure === 'reached' ? ' when it brakes and is cut off' : ''}`;
}

/** Dimensions whose name says what a figure is. */
const NAMED: ReadonlySet<string> = new Set(['temperature', 'voltage', 'current', 'time', 'energy', 'power']);

function nearer(one: Item, before: Item): boolean {
  if (one.margin !== undefined && before.margin !== undefined && one.limit === before.limit) return one.margin < before.margin;
  if (one.limit !== undefined && before.limit === undefined) return true;
  return before.limit === undefined && one.figure!.value > before.figure!.value;
}

/** A share beside its limit stays a percentage above 100 % too. */
function ratingWords(value: number, { figure }: Item): string {
  return figure!.dimension === 'ratio' ? `${Number((value * 100).toPrecision(3))} %` : valueWords(value, figure!.dimension);
}

function massOf(part: Part): Quantity | undefined {
  const mass = (part.values as Readonly<Record<string, unknown>>)['mass'];
  return isQuantity(mass) ? mass : undefined;
}

function quantityWords(value: Quantity | undefined): string {
  return value === undefined ? '' : value.text;
}

function textOf(part: Part, property: string): string {
  const value = (part.values as Readonly<Record<string, unknown>>)[property];
  return isQuantity(value) ? value.text : typeof value === 'string' ? value : '';
}

function isQuantity(value: unknown): value is Quantity {
  return typeof value === 'object' && value !== null && 'dimension' in value && 'text' in value;
}
