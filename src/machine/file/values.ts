import { formatValue } from '../../quantity/format.ts';
import { nearest } from '../../quantity/nearest.ts';
import { parseQuantity } from '../../quantity/parse.ts';
import type { Quantity } from '../../quantity/quantity.ts';
import { quoted } from '../../quantity/scan.ts';
import { dimensionName } from '../../quantity/units.ts';
import type { Position, QuantityField } from '../field.ts';
import type { About, Issues, Place } from './issue.ts';
import { describe, type TextNode, type Tree } from './tree.ts';

/** What a quantity must be, whether it stands in a field or in a line of text. */
export type QuantityRule = Omit<QuantityField, 'type' | 'meaning' | 'required'>;

/** Every figure of such a machine lies far inside; what lies outside cannot be computed with. */
const SMALLEST = 1e-15;
const LARGEST = 1e15;

export function readText(tree: Tree, about: About, issues: Issues): TextNode | undefined {
  if (tree.type === 'text' && tree.text.trim() !== '') return tree;
  issues.error(tree.at, about, 'a text', describe(tree));
  return undefined;
}

export function readQuantity(tree: Tree, rule: QuantityRule, about: About, issues: Issues): Quantity | undefined {
  if (tree.type === 'text') return quantityIn(tree.text, tree.textAt, rule, about, issues);
  issues.error(tree.at, about, expectationOf(rule), describe(tree));
  return undefined;
}

/** Reads a quantity and holds it to its rule; slips that leave a possible value are asked about. */
export function quantityIn(text: string, at: Place, rule: QuantityRule, about: About, issues: Issues): Quantity | undefined {
  const parsed = parseQuantity(text, rule.dimension, { perCell: rule.perCell === true });
  const expected = expectationOf(rule);
  if (!parsed.ok) {
    const series = rule.dimension === 'count' ? /^\s*(\d+)\s*[sS](?:\s*(\d+)\s*[pP])?\s*$/.exec(text) : null;
    if (series === null) issues.error(at, about, expected, parsed.found, parsed.hint);
    else issues.error(at, about, expected, quoted(text.trim()), `write "${series[1] ?? ''}"${series[2] === undefined ? '' : `, and "parallel: ${series[2]}" beside it`}`);
    return undefined;
  }
  const { quantity } = parsed;
  const { value, low, high } = quantity;
  const shown = quoted(text.trim());
  const possible = low >= (rule.atLeast ?? -Infinity) && (rule.above === undefined || low > rule.above) && high <= (rule.atMost ?? Infinity);
  if (!possible) {
    const inside = low !== high && value > (rule.above ?? -Infinity) && value >= (rule.atLeast ?? -Infinity) && value <= (rule.atMost ?? Infinity);
    issues.error(at, about, expected, shown, inside ? 'its spread reaches beyond' : undefined);
    return undefined;
  }
  if (![value, low, high].every((number) => number === 0 || (Math.abs(number) >= SMALLEST && Math.abs(number) <= LARGEST))) {
    issues.error(at, about, expected, shown, 'nobody builds with such a number');
    return undefined;
  }
  if (rule.dimension === 'count' && ![value, low, high].every(Number.isInteger)) {
    issues.error(at, about, 'a whole number', shown);
    return undefined;
  }
  askIfUnlikely(quantity, shown, at, rule, about, issues);
  return quantity;
}

/** `a current above 0 A like "150 A"`. */
export function expectationOf({ dimension, above, atLeast, atMost, example }: QuantityRule): string {
  const show = (bound: number) => formatValue(bound, dimension);
  const bounds = [
    above === undefined ? undefined : `above ${show(above)}`,
    atLeast === undefined ? undefined : `of at least ${show(atLeast)}`,
    atMost === undefined ? undefined : `up to ${show(atMost)}`,
  ].filter((bound) => bound !== undefined).join(' and ');
  return `${dimensionName(dimension)}${bounds === '' ? '' : ` ${bounds}`} like "${example}"`;
}

function askIfUnlikely({ value, text }: Quantity, shown: string, at: Place, rule: QuantityRule, about: About, issues: Issues): void {
  if (rule.likely === undefined) return;
  const [low, high] = rule.likely;
  if (value >= low && value <= high) return;
  const expected = `${dimensionName(rule.dimension)} as machines have it, ${formatValue(low, rule.dimension)} to ${formatValue(high, rule.dimension)}`;
  issues.question(at, about, expected, shown, otherReading(value, text, rule, low, high));
}

/** The likely value that a slip of the prefix would have turned into this one. */
function otherReading(value: number, text: string, { dimension }: QuantityRule, low: number, high: number): string | undefined {
  const factor = [1e-3, 1e3, 1e-6, 1e6].find((slip) => value * slip >= low && value * slip <= high);
  if (factor === undefined || dimension === 'count') return undefined;
  const meant = formatValue(value * factor, dimension);
  const milli = factor === 1e-3 && dimension === 'charge' && /[^m]Ah/.test(text) ? text.trim().replace(/Ah/, 'mAh') : undefined;
  return milli === undefined ? `did you mean "${meant}"?` : `did you mean "${milli}" (${meant})?`;
}

export function readChoice(tree: Tree, options: readonly string[], about: About, issues: Issues): string | undefined {
  const written = tree.type === 'text' ? tree.text.trim() : '';
  if (options.includes(written)) return written;
  issues.error(tree.at, about, oneOf(options), describe(tree), didYouMean(written, options));
  return undefined;
}

export function readFlag(tree: Tree, about: About, issues: Issues): boolean | undefined {
  const word = readChoice(tree, ['yes', 'no', 'true', 'false'], about, issues);
  return word === undefined ? undefined : word === 'yes' || word === 'true';
}

/** `OFF: open`, `CHARGE: through R1`, `ON: direct`, in the order in which the isolator turns. */
export function readPositions(tree: Tree, about: About, issues: Issues): ReadonlyMap<string, Position> | undefined {
  const expected = 'positions like { OFF: open, CHARGE: through R1, ON: direct }';
  if (tree.type !== 'map') {
    issues.error(tree.at, about, expected, describe(tree));
    return undefined;
  }
  const positions = new Map<string, Position>();
  for (const { key, keyAt, value } of tree.entries) {
    const path = value.type === 'text' ? value.text.trim() : '';
    const through = /^through\s+(\S+)$/.exec(path)?.[1];
    if (through !== undefined) positions.set(key, { path: 'through', part: through });
    else if (path === 'open' || path === 'direct') positions.set(key, { path });
    else issues.error(path === '' ? keyAt : value.at, about, '"open", "direct" or "through" a resistor', describe(value), didYouMean(path, ['open', 'direct', 'through']));
  }
  const paths = [...positions.values()].map(({ path }) => path);
  if (positions.size < tree.entries.length) return undefined;
  if (paths.includes('open') && paths.includes('direct')) return positions;
  issues.error(tree.at, about, 'one position that is open and one that is direct', paths.includes('open') ? 'no direct one' : 'no open one');
  return undefined;
}

/** `"a", "b" or "c"`. */
export function oneOf(words: readonly string[]): string {
  const shown = words.map((word) => `"${word}"`);
  return shown.length < 2 ? shown.join('') : `${shown.slice(0, -1).join(', ')} or ${shown.at(-1) ?? ''}`;
}

export function didYouMean(word: string, candidates: readonly string[]): string | undefined {
  const meant = nearest(word, candidates);
  return meant === undefined ? undefined : `did you mean ${quoted(meant)}?`;
}
