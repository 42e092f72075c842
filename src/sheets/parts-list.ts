import type { Quantity } from '../quantity/quantity.ts';
import type { Part } from '../machine/parts.ts';
import { wordsOf } from '../machine/field.ts';
import { kindOf } from '../machine/parts.ts';
import { formatValue } from '../quantity/format.ts';
import type { Item } from '../questions/answer.ts';
import type { Paper } from './document/document.ts';
import { limitWords, valueWords } from './report/words.ts';
import { itemsAbout, type PaperSource } from './source.ts';

/** Questions whose figures are ratings that a part must have. */
export const RATING_QUESTIONS = ['overvoltage', 'soft-start', 'trip', 'heat', 'fuses', 'pack', 'opening'] as const;

/** How many to take along of each kind, for a machine that has some. Common practice, no source. */
const SPARES: Readonly<Record<string, string>> = {
  pack: 'one more than a match needs', fuse: '2 of each rating', link: '1', connector: '1 pair', button: '1', controller: '1 of each', motor: '1 of each', receiver: '1, bound',
  servo: '1', lamp: '1', resistor: '1 of each', converter: '1', regulator: '1', diode: '1', isolator: '1', contactor: '1',
};

/** Every part with what it must bear, what was chosen, its mass, and what to take along. */
export function partsListPaper(source: PaperSource): Paper {
  const { machine, stamp } = source;
  const groups = alike([...machine.parts.values()]);
  const masses = [...machine.parts.values()].flatMap((part) => massOf(part) ?? []);
  const kinds = [...new Set([...machine.parts.values()].map(({ kind }) => kind))];
  return {
    title: 'Parts list',
    stamp,
    layout: 'wide',
    lead: 'Required: what the answers compute for this machine as it is used. Chosen: what the file says of the part.',
    blocks: [
      {
        type: 'table',
        title: 'Parts',
        columns: [{ name: 'Part' }, { name: 'Quantity', figures: true }, { name: 'Kind' }, { name: 'What' }, { name: 'Required' }, { name: 'Chosen' }, { name: 'Mass of each', figures: true }, { name: 'Cost of each', figures: true }],
        rows: groups.map((parts) => [
          parts.map(({ id }) => id).join(', '), String(parts.length), kindName(parts[0]!), [...new Set(parts.map(({ about }) => about ?? ''))].filter((about) => about !== '').join('; '),
          requiredWords(source, parts), chosenWords(parts[0]!), quantityWords(massOf(parts[0]!)), textOf(parts[0]!, 'cost'),
        ]),
      },
      {
        type: 'facts', title: 'Mass', facts: [
          { name: 'Parts with a mass', value: `${masses.length} of ${machine.parts.size}` },
          { name: 'Together', value: masses.length === 0 ? 'not given' : formatValue(masses.reduce((sum, { value }) => sum + value, 0), 'mass') },
          { name: 'Machine', value: machine.mass === undefined ? 'not given' : machine.mass.text },
        ],
      },
      {
        type: 'table', title: 'Spares to take (common practice, no source)', columns: [{ name: 'Kind' }, { name: 'In the machine', figures: true }, { name: 'Take along' }, { name: 'Packed' }],
        rows: kinds.flatMap((kind) => {
          const spare = SPARES[kind];
          return spare === undefined ? [] : [[kind, String([...machine.parts.values()].filter((part) => part.kind === kind).length), spare, '\u2610']];
        }),
      },
    ],
  };
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

/** The highest figure of each measure among the answers about these parts. */
function requiredWords(source: PaperSource, parts: readonly Part[]): string {
  const worst = new Map<string, Item>();
  for (const id of RATING_QUESTIONS)
    for (const part of parts)
      for (const item of itemsAbout(source, id, part.id)) {
        if (item.figure === undefined || !Number.isFinite(item.figure.value)) continue;
        const before = worst.get(item.measure)?.figure?.value;
        if (before === undefined || item.figure.value > before) worst.set(item.measure, item);
      }
  return [...worst.values()].map((item) => `${valueWords(item.figure!.value, item.figure!.dimension)} ${item.measure}${item.limit === undefined ? '' : `, ${limitWords(item) ?? ''}`}`).join('; ');
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
