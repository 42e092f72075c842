import { wordsOf, type Field, type FieldValue } from '../../../src/machine/field.ts';
import type { PartKind } from '../../../src/machine/kind.ts';
import { PART_KINDS } from '../../../src/machine/parts.ts';
import { parseQuantity } from '../../../src/quantity/parse.ts';
import { formatValue } from '../../../src/quantity/format.ts';
import type { Quantity } from '../../../src/quantity/quantity.ts';
import { expectationOf } from '../../../src/machine/file/values.ts';

export const REFERENCE_STARTS = '## Kinds of parts\n';

/** The reference of all part kinds, as it stands at the end of docs/machine-file.md. */
export function partReference(): string {
  const introduction = `
Written from the part kinds by \`npx vitest run test/machine/file/reference.test.ts -u\`. A field in bold must be given.
Under "left out" stands what is taken instead, with the range in which nine of ten such parts lie (common practice, no
source); where it depends on other fields, it is shown for a part with the values in bold. A dash means that the
questions which need the field say so.

Every part may also have \`about\`: what it is, in your words.
`;
  return `${REFERENCE_STARTS}${introduction}${PART_KINDS.map(section).join('')}`;
}

function section(kind: PartKind): string {
  const given = Object.fromEntries(Object.entries(kind.fields).filter(([, field]) => field.required === true).map(([property, field]) => [property, exampleOf(field)]));
  const defaults = kind.defaults(given);
  const rows = Object.entries(kind.fields).map(([property, field]) => {
    const name = field.required === true ? `**${wordsOf(property)}**` : wordsOf(property);
    const usual = defaults[property];
    const leftOut = field.required === true ? 'must be given' : usual === undefined ? PLAIN[`${kind.kind}.${property}`] ?? '—' : usually(usual);
    return `| ${name} | ${field.meaning.replaceAll('|', '\\|')} | ${written(field)} | ${leftOut} |\n`;
  });
  return `\n### ${kind.kind}\n\n${kind.meaning} ${place(kind)}\n\n| Field | Meaning | Written | Left out |\n|---|---|---|---|\n${rows.join('')}`;
}

function usually({ dimension, value, low, high }: Quantity): string {
  const show = (number: number) => formatValue(number, dimension);
  return low === high ? show(value) : `${show(value)} (${show(low)} to ${show(high)})`;
}

/** What the reader takes for fields that are no quantities. */
const PLAIN: Readonly<Record<string, string>> = { 'isolator.positions': '`{ OFF: open, ON: direct }`' };

function place({ terminals }: PartKind): string {
  if (terminals === 'through') return 'Stands inside a chain.';
  if (terminals.length === 0) return 'Stands in no chain: the field `drives` of a controller names it.';
  return `Stands at the ends of chains: ${terminals.map((terminal) => `\`${terminal}\``).join(', ')}.`;
}

function written(field: Field): string {
  switch (field.type) {
    case 'quantity':
      return `${expectationOf(field).replace(/ like ".*$/, '')}: \`${field.example}\``;
    case 'choice':
      return field.options.map((option) => `\`${option}\``).join(', ');
    case 'flag':
      return '`yes` or `no`';
    case 'part':
      return `the id of a part: ${field.kinds.join(' or ')}`;
    case 'positions':
      return '`open`, `direct` or `through` a resistor, by name';
    case 'text':
      return 'any text';
  }
}

function exampleOf(field: Field): FieldValue {
  if (field.type === 'choice') return field.options[0] ?? '';
  if (field.type !== 'quantity') throw new Error(`a required ${field.type} has no example`);
  const parsed = parseQuantity(field.example, field.dimension, { perCell: field.perCell === true });
  if (!parsed.ok) throw new Error(`example ${field.example}: ${parsed.found}`);
  return parsed.quantity;
}
