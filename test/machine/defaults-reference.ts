import type { Field, FieldValue, Fields } from '../../src/machine/field.ts';
import { wordsOf } from '../../src/machine/field.ts';
import { readMachine } from '../../src/machine/file/read.ts';
import { Inputs } from '../../src/machine/inputs.ts';
import type { PartKind } from '../../src/machine/kind.ts';
import { PART_KINDS } from '../../src/machine/parts.ts';
import { formatValue } from '../../src/quantity/format.ts';
import { parseQuantity } from '../../src/quantity/parse.ts';
import { scaled, type Quantity } from '../../src/quantity/quantity.ts';
import { BENCH } from './file/demos.ts';

type Values = Record<string, FieldValue>;

/** Sizes at which a default that follows another value is shown, as shares of that field's example. */
const SHARES = [0.1, 0.3, 1, 3] as const;

/** docs/defaults.md, from the part kinds. */
export function defaultsPage(): string {
  return `# Class defaults

Written from the part kinds by \`npx vitest run test/machine/defaults.test.ts -u\`; edits here are lost.

What a machine file leaves out is taken from here. Each class default is a value with a spread: nine of ten such parts lie
between its two ends (5 and 95 %), and samples of the spread are drawn log-normally on each side. A class default marks every
answer that rests on it, and a value in the file always goes before it. "Common practice, no source" means what builders
hold to be usual, without a publication to cite: measure what decides.

A default that follows other values of the part is shown for several of them. Everything else of such a part is as in the
example of its field in [machine-file.md](machine-file.md).
${PART_KINDS.map(section).join('')}${beside()}`;
}

/** The properties of a kind that have a class default and those whose source is written down: the same, always. */
export function defaultedFields(kind: PartKind): { readonly defaulted: readonly string[]; readonly sourced: readonly string[] } {
  return { defaulted: Object.keys(kind.defaults(requiredOf(kind.fields))).sort(), sourced: Object.keys(kind.sources).sort() };
}

function section(kind: PartKind): string {
  const usual = kind.defaults(requiredOf(kind.fields));
  const rows = Object.keys(usual).flatMap((property) => rowsOf(kind, property));
  if (rows.length === 0) return '';
  return `\n## ${kind.kind}\n\n| Field | For | Taken | 5 to 95 % | Source |\n|---|---|---|---|---|\n${rows.join('')}`;
}

function rowsOf(kind: PartKind, property: string): string[] {
  const base = requiredOf(kind.fields);
  const source = kind.sources[property] ?? '';
  const followed = Object.keys(kind.fields).filter((other) => other !== property && follows(kind, property, other, base));
  const cases = followed.flatMap((other) => variants(kind.fields[other], base[other]).map((value) => ({ other, value })));
  if (cases.length === 0) return [row(property, '', kind.defaults(base)[property], source)];
  // A field that may be left out has its own default, or none, behind this one.
  const plain = followed.some((other) => kind.fields[other]?.required !== true) ? [row(property, 'nothing said', kind.defaults(base)[property], source)] : [];
  return [...plain, ...cases.map(({ other, value }) => row(property, `${wordsOf(other)} ${shown(value)}`, kind.defaults({ ...base, [other]: value })[property], source))];
}

/** Whether a default changes with another field of its part. */
function follows(kind: PartKind, property: string, other: string, base: Values): boolean {
  const plain = kind.defaults(base)[property];
  return variants(kind.fields[other], base[other]).some((value) => {
    const changed = kind.defaults({ ...base, [other]: value })[property];
    return changed?.value !== plain?.value || changed?.low !== plain?.low || changed?.high !== plain?.high;
  });
}

function variants(field: Field | undefined, required: FieldValue | undefined): FieldValue[] {
  if (field?.type === 'choice') return [...field.options];
  if (field?.type !== 'quantity') return [];
  const example = required === undefined ? exampleOf(field) : required;
  return typeof example === 'object' && 'dimension' in example ? SHARES.map((share) => scaled(example, share)) : [];
}

function requiredOf(fields: Fields): Values {
  return Object.fromEntries(Object.entries(fields).filter(([, field]) => field.required === true).map(([property, field]) => [property, exampleOf(field)]));
}

function exampleOf(field: Field): FieldValue {
  if (field.type === 'choice') return field.options[0] ?? '';
  if (field.type !== 'quantity') throw new Error(`a required ${field.type} has no example`);
  const parsed = parseQuantity(field.example, field.dimension, { perCell: field.perCell === true });
  if (!parsed.ok) throw new Error(`example ${field.example}: ${parsed.found}`);
  return parsed.quantity;
}

function row(property: string, when: string, quantity: Quantity | undefined, source: string): string {
  if (quantity === undefined || quantity.origin !== 'class default') throw new Error(`${property} is no class default`);
  const show = (number: number): string => formatValue(number, quantity.dimension);
  const spread = quantity.low === quantity.high ? 'no spread' : `${show(quantity.low)} to ${show(quantity.high)}`;
  return `| ${wordsOf(property)} | ${when} | ${show(quantity.value)} | ${spread} | ${source} |\n`;
}

function shown(value: FieldValue): string {
  if (typeof value === 'string') return value;
  if (typeof value === 'object' && 'dimension' in value) return formatValue(value.value, value.dimension);
  throw new Error('only quantities and choices are varied');
}

/** Defaults that belong to no part, as a file without a word about them reads. */
function beside(): string {
  const result = readMachine(BENCH.replace(', 0.2 mΩ a joint', ''));
  if (!result.ok) throw new Error('the bench machine is not read');
  const { machine } = result;
  const inputs = new Inputs(machine).list;
  const input = (key: string): Quantity | undefined => inputs.find((one) => one.key === key)?.quantity;
  const practice = 'common practice, no source';
  const waits = machine.powerUp.findIndex((step) => step.act === 'wait');
  const rows = [
    row('temperature outside', '', machine.surroundings.ambient, practice),
    row('temperature inside', '', machine.surroundings.inside, practice),
    row('match', '', machine.match, practice),
    row('negative joint on the bar', '', machine.wiring.bar?.joint, practice),
    row('pause between two steps', '', input('crew.pause'), practice),
    row('time that the crew keeps', `\`${machine.powerUp[waits]?.text ?? ''}\` without a spread`, input(`power up step ${waits + 1}.time`), practice),
  ];
  return `\n## Beside the parts\n\n| What | For | Taken | 5 to 95 % | Source |\n|---|---|---|---|---|\n${rows.join('')}`;
}
