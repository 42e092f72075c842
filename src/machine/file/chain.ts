import { parseQuantity } from '../../quantity/parse.ts';
import { quoted } from '../../quantity/scan.ts';
import type { Chain, ChainItem, Conductor, End } from '../machine.ts';
import type { About, Issues, Place } from './issue.ts';
import { LIMITS } from './limits.ts';
import type { KnownPart } from './part-list.ts';
import type { Entry } from './tree.ts';
import { didYouMean, oneOf, quantityIn, readText, type QuantityRule } from './values.ts';

/** A chain with the places of its pieces, for the checks that look at all chains together. */
export interface ReadChain {
  readonly chain: Chain;
  readonly about: About;
  readonly at: Place;
  readonly fromAt: Place;
  readonly toAt: Place;
  readonly itemsAt: readonly Place[];
}

const EXAMPLE = 'a chain like "from bar, Q1, 8 AWG 0.50 m, to T1"';

// Likely sections run from 32 AWG to the thickest flexible leads of electric karts; lengths from a jumper to the longest machine.
const SECTION: QuantityRule = { dimension: 'area', above: 0, likely: [0.03e-6, 125e-6], example: '8 AWG" or "16 mm²' };
const LENGTH: QuantityRule = { dimension: 'length', above: 0, likely: [0.005, 5], example: '0.50 m' };

/** `0,25`: a number, a comma and digits straight after it. `Q1,8 AWG` is an id before a conductor. */
const DECIMAL_COMMA = /(?<![\p{L}\p{N}_.,])\d+,\d+/u;

/** Words by which builders say what a length counts. */
const BOTH_WAYS = /\b(?:both ways|out and back|there and back|round trip|total)\b/i;
const ONE_WAY = /\b(?:one|each) way\b/i;

const LAYS = ['tied', 'loose', 'coaxial'] as const;
const INSULATIONS = ['silicone', 'pvc', 'xlpe', 'ptfe'] as const;
const BUNDLED = 'bundled';

/** IEC 60757 letters (from memory) and plain words. */
const COLOURS = [
  'black', 'brown', 'red', 'orange', 'yellow', 'green', 'blue', 'violet', 'grey', 'gray', 'white', 'pink', 'turquoise',
  'BK', 'BN', 'RD', 'OG', 'YE', 'GN', 'BU', 'VT', 'GY', 'WH', 'PK', 'TQ',
];

/** Reads one line of wiring: `from END, items, to END`, separated by commas. */
export function readChain(
  { key, value }: Entry, role: Chain['role'], section: string, known: ReadonlyMap<string, KnownPart>, issues: Issues,
): ReadChain | undefined {
  const about = { field: `${section}.${key}` };
  const node = readText(value, about, issues);
  if (node === undefined) return undefined;
  const { text, textAt } = node;
  const placeOf = (offset: number): Place => ({ line: textAt.line, column: textAt.column + offset });
  const comma = DECIMAL_COMMA.exec(text);
  if (comma !== null) {
    issues.error(placeOf(comma.index), about, 'a decimal point', quoted(comma[0]), `write ${quoted(comma[0].replace(',', '.'))}: commas part the pieces of a chain`);
    return undefined;
  }
  const pieces = splitAtCommas(text);
  const first = pieces[0];
  const last = pieces.at(-1);
  const from = /^from\s+(.+)$/s.exec(first?.text ?? '')?.[1];
  const to = /^to\s+(.+)$/s.exec(last?.text ?? '')?.[1];
  if (first === undefined || last === undefined || pieces.length < 2 || from === undefined || to === undefined) {
    const hint = from === undefined ? 'it starts with "from" and a place or terminal' : 'it ends with "to" and a place or terminal, after a comma';
    issues.error(textAt, about, EXAMPLE, quoted(text), hint);
    return undefined;
  }
  const before = issues.errors;
  const fromAt = placeOf(first.offset);
  const toAt = placeOf(last.offset);
  const start = readEnd(from, fromAt, about, known, issues);
  const middle = pieces.slice(1, -1);
  const itemsAt = middle.map(({ offset }) => placeOf(offset));
  const items = middle.map((piece, k) => readItem(piece.text, itemsAt[k] ?? textAt, about, known, issues));
  const end = readEnd(to, toAt, about, known, issues);
  if (issues.errors > before || start === undefined || end === undefined) return undefined;
  const chain = { name: key, role, from: start, items: items.filter((item) => item !== undefined), to: end, line: textAt.line, written: pieces.map((piece) => piece.text) };
  return { chain, about, at: textAt, fromAt, toAt, itemsAt };
}

/** Cuts at commas outside brackets. */
function splitAtCommas(text: string): { readonly text: string; readonly offset: number }[] {
  const pieces: { text: string; offset: number }[] = [];
  let depth = 0;
  let start = 0;
  for (let at = 0; at <= text.length; at += 1) {
    const char = text[at];
    if (char === '(' || char === '[') depth += 1;
    if (char === ')' || char === ']') depth -= 1;
    if (at < text.length && !(char === ',' && depth <= 0)) continue;
    const piece = text.slice(start, at);
    pieces.push({ text: piece.trim(), offset: start + piece.length - piece.trimStart().length });
    start = at + 1;
  }
  return pieces;
}

/** `G1+`, `T1-`, `T3 out`, `T1` (its + terminal), or a place by its name. */
function readEnd(written: string, at: Place, about: About, known: ReadonlyMap<string, KnownPart>, issues: Issues): End | undefined {
  const text = written.trim().replace(/\s+/g, ' ');
  const [, id = '', sign] = /^(.*?)(?: ?([+\u2212-])| (out))?$/u.exec(text) ?? [];
  const terminal = sign === '+' ? '+' : sign === '-' || sign === '\u2212' ? '-' : text.endsWith(' out') ? 'out' : undefined;
  const part = known.get(id);
  if (part === undefined) {
    if (terminal === undefined && text.length <= LIMITS.name) return { place: text };
    const fault = terminal === undefined ? `a name of ${text.length} characters` : `${quoted(id)}, which is no part`;
    issues.error(at, about, 'a terminal of a part, or the name of a place', fault, didYouMean(id, [...known.keys()]));
    return undefined;
  }
  if (part.kind === undefined) return { part: id, terminal: terminal ?? '+' };
  const { terminals, name } = part.kind;
  if (terminals === 'through') {
    issues.error(at, about, 'a terminal or a place', `${id}, which is ${name} and stands inside a chain`, `write it between commas: "..., ${id}, ..."`);
    return undefined;
  }
  const wanted = terminal ?? '+';
  if (terminals.includes(wanted)) return { part: id, terminal: wanted };
  const hint = terminals.length === 0 ? `name it in the field "drives" of what it hangs on` : `it has ${terminals.map((one) => quoted(one)).join(', ')}`;
  issues.error(at, about, `a terminal that ${name} has`, quoted(text), hint);
  return undefined;
}

function readItem(text: string, at: Place, about: About, known: ReadonlyMap<string, KnownPart>, issues: Issues): ChainItem | undefined {
  const part = known.get(text);
  if (part !== undefined) {
    if (part.kind === undefined || part.kind.terminals === 'through') return { part: text };
    issues.error(at, about, 'a part with two ends, or a conductor', `${text}, which is ${part.kind.name}`, 'it stands at the end of a chain: end this one there and start another');
    return undefined;
  }
  if (/^(?:\.?\d|AWG|awg)/.test(text)) {
    const conductor = readConductor(text, at, about, issues);
    return conductor === undefined ? undefined : { conductor };
  }
  const through = [...known.values()].filter(({ kind }) => kind?.terminals === 'through').map(({ id }) => id);
  issues.error(at, about, 'the id of a part, or a conductor like "8 AWG 0.50 m"', text === '' ? 'nothing between two commas' : quoted(text), didYouMean(text, through));
  return undefined;
}

/** `8 AWG 0.50 m`, `0.5 m 16 mm²`, then how it lies, its insulation and a colour, in any order. */
function readConductor(text: string, at: Place, about: About, issues: Issues): Conductor | undefined {
  const expected = 'a conductor like "8 AWG 0.50 m"';
  if (BOTH_WAYS.test(text) || ONE_WAY.test(text)) {
    issues.error(at, about, expected, quoted(text), BOTH_WAYS.test(text) ? 'a length is written one way: half of what goes out and back' : 'every length is one way: leave these words out');
    return undefined;
  }
  const words = text.split(/\s+/);
  const heads = quantityHeads(words);
  if (heads.length !== 2) {
    const hint = heads.length === 1 ? 'it needs its cross-section and its length (one way)' : undefined;
    issues.error(at, about, expected, quoted(text), hint);
    return undefined;
  }
  const tail = words.length - trailingWords(words);
  const [one, two] = [words.slice(0, heads[1]).join(' '), words.slice(heads[1], tail).join(' ')];
  const sectionFirst = parseQuantity(one, 'area').ok || !parseQuantity(two, 'area').ok;
  const section = quantityIn(sectionFirst ? one : two, at, SECTION, about, issues);
  const length = quantityIn(sectionFirst ? two : one, at, LENGTH, about, issues);
  const style = readStyle(words.slice(tail), at, about, issues);
  return section === undefined || length === undefined || style === undefined ? undefined : { section, length, ...style };
}

/** Where quantities begin: words that start with a digit, outside brackets, unless they go on with the one before. */
function quantityHeads(words: readonly string[]): number[] {
  const heads: number[] = [];
  let depth = 0;
  words.forEach((word, k) => {
    const goesOn = /^(?:to|AWG|awg|[±+–-]|\.\.\.?)$/.test(words[k - 1] ?? '') && k > 0 && !(words[k - 1] === 'AWG' && /^(?:\d+\/)?\d+$/.test(words[k - 2] ?? ''));
    if (depth === 0 && !goesOn && /^(?:\.?\d|AWG\d|awg\d)/.test(word)) heads.push(k);
    else if (depth === 0 && /^awg$/i.test(word) && !/^(?:\d\/)?\d+$/.test(words[k - 1] ?? '')) heads.push(k);
    depth += word.split(/[([]/).length - word.split(/[)\]]/).length;
  });
  return heads;
}

/** How many words at the end are no part of a quantity: letters only, and no unit or word of one. */
function trailingWords(words: readonly string[]): number {
  const OF_QUANTITIES = /^(?:m|mm|cm|km|in|inch|inches|ft|foot|feet|mm²|cm²|sqmm|AWG|awg|ga|gauge|to|datasheet|data|sheet|measured|assumed|default|class|derived|stated)$/;
  let count = 0;
  for (let k = words.length - 1; k > 0; k -= 1) {
    const word = words[k] ?? '';
    // What follows a bare number is meant as its unit, right or wrong.
    if (!/^[\p{L}/]+$/u.test(word) || OF_QUANTITIES.test(word) || /^[\d.]+$/.test(words[k - 1] ?? '')) break;
    count += 1;
  }
  return count;
}

function readStyle(words: readonly string[], at: Place, about: About, issues: Issues): Pick<Conductor, 'lay' | 'colour' | 'insulation' | 'bundled'> | undefined {
  const lays = LAYS.filter((lay) => words.includes(lay));
  const insulations = INSULATIONS.filter((one) => words.includes(one));
  const known: readonly string[] = [...LAYS, ...INSULATIONS, BUNDLED];
  const colours = words.filter((word) => !known.includes(word));
  const unknown = colours.find((word) => word !== 'and' && word.split('/').some((colour) => !COLOURS.includes(colour)));
  if (unknown !== undefined || lays.length > 1 || insulations.length > 1) {
    const found = unknown === undefined ? (lays.length > 1 ? lays : insulations).join(' and ') : quoted(unknown);
    issues.error(at, about, `after the length ${oneOf(LAYS)}, an insulation, "bundled", or a colour`, found, unknown === undefined ? undefined : didYouMean(unknown, [...known, ...COLOURS]));
    return undefined;
  }
  return { lay: lays[0] ?? 'tied', insulation: insulations[0] ?? 'silicone', bundled: words.includes(BUNDLED), colour: colours.length === 0 ? undefined : colours.join(' ') };
}

