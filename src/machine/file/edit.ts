import { isMap, isScalar, isSeq, parseDocument, type Node, type Pair, type YAMLMap, type YAMLSeq } from 'yaml';
import { Issues } from './issue.ts';
import { keyTrouble } from './limits.ts';
import { readTree, type Tree } from './tree.ts';

/** A change of one value: where it stands, as keys and list indices from 0, and what is to stand there. */
export interface MachineEdit {
  readonly path: readonly (string | number)[];
  /** A value as in the file; `{ … }` and `[ … ]` stand for a mapping and a list; empty removes the entry. */
  readonly text: string;
  /** A new entry, which stands there: in a list before the entry that had the index, in a mapping behind this key. */
  readonly insert?: true | { readonly behind: string };
  /** The new entry is that of this key, copied as it is written, comments inside it too; `text` is not read. */
  readonly copyOf?: string;
}

/**
 * The text of a machine file with values replaced, added or removed, one edit after the other. Everything else stays
 * as it is to the byte: comments, order, spacing. Where nothing else is said a new key goes to the end of its mapping,
 * the index just behind the last one to the end of its list, and a copied entry behind its original.
 * @throws RangeError when the text is no YAML, a path leads nowhere, or a value cannot stand there
 */
export function editMachine(text: string, edits: readonly MachineEdit[]): string {
  return edits.reduce((now, edit, k) => apply(now, edit, k > 0), text);
}

/** What is cut out of the text, and what comes in its place. */
interface Splice {
  readonly start: number;
  readonly end: number;
  readonly text: string;
}

type Collection = YAMLMap<Node, Node | null> | YAMLSeq<Node>;

/** @param known  whether an edit before has found that the text can be read */
function apply(text: string, edit: MachineEdit, known: boolean): string {
  const { path, insert, copyOf } = edit;
  const refuse = (why: string): RangeError => new RangeError(`edit of ${path.join('.')}: ${why}`);
  const value = edit.text.trim();
  if (/[\r\n]/.test(value)) throw refuse('expected a value on one line');
  if (path.some((key) => typeof key === 'string' && keyTrouble(key) !== undefined)) throw refuse('expected names that a file may hold');
  const last = path.at(-1);
  const parent = last === undefined ? undefined : collectionAt(text, path.slice(0, -1), known);
  if (last === undefined || parent === undefined) throw refuse('expected a path that leads to a mapping or a list of this file');
  const splice = insert === undefined && copyOf === undefined
    ? (isMap(parent) ? spliceInMap(text, parent, String(last), value) : spliceInList(text, parent, Number(last), value))
    : (isMap(parent) ? newInMap(text, parent, String(last), edit) : newInList(text, parent, Number(last), value));
  if (splice === undefined) throw refuse('expected an entry that is there, or the one behind the last');
  const edited = text.slice(0, splice.start) + splice.text + text.slice(splice.end);
  if (!holds(edited, path, copyOf === undefined ? value : undefined)) throw refuse(`expected a value that can stand there, got ${JSON.stringify(edit.text)}`);
  return edited;
}

function collectionAt(text: string, path: readonly (string | number)[], known: boolean): Collection | undefined {
  if (!known && readTree(text, new Issues()) === undefined) return undefined;
  let node: unknown = parseDocument(text, { schema: 'failsafe' }).contents;
  for (const step of path) node = isMap(node) || isSeq(node) ? node.get(step, true) : undefined;
  return isMap<Node, Node | null>(node) || isSeq<Node>(node) ? node : undefined;
}

function spliceInMap(text: string, map: YAMLMap<Node, Node | null>, key: string, value: string): Splice | undefined {
  const pairs = map.items;
  const at = pairs.findIndex((pair) => isScalar(pair.key) && pair.key.value === key);
  const pair = pairs[at];
  const flow = map.flow === true;
  if (pair !== undefined) {
    const start = pair.key.range?.[0] ?? 0;
    if (value === '') return flow ? withoutFlowItem(pairs.map((one) => spanOf(text, one)), at) : withoutLines(text, start, endOf(text, pair));
    const own = pair.value?.range;
    if (own === undefined || own === null || own[0] === own[1]) {
      const colon = text.indexOf(':', pair.key.range?.[1] ?? 0) + 1;
      return { start: colon, end: colon, text: ` ${valueText(value, flow)}` };
    }
    return { start: own[0], end: endOf(text, pair), text: valueText(value, flow) };
  }
  const lastPair = pairs.at(-1);
  if (value === '') return undefined;
  return append(text, map, `${scalarText(key, flow)}: ${valueText(value, flow)}`, lastPair === undefined ? undefined : spanOf(text, lastPair));
}

function spliceInList(text: string, list: YAMLSeq<Node>, index: number, value: string): Splice | undefined {
  const flow = list.flow === true;
  const spans = list.items.map((item) => [item.range?.[0] ?? 0, trimmedEnd(text, item)] as const);
  const span = spans[index];
  if (span !== undefined) {
    if (value === '') return flow ? withoutFlowItem(spans, index) : withoutLines(text, span[0], span[1]);
    return { start: span[0], end: span[1], text: valueText(value, flow) };
  }
  if (index !== spans.length || value === '') return undefined;
  return append(text, list, flow ? valueText(value, flow) : `- ${valueText(value, flow)}`, spans.at(-1));
}

/** A key that is not there yet, behind another one. */
function newInMap(text: string, map: YAMLMap<Node, Node | null>, key: string, { text: written, insert, copyOf }: MachineEdit): Splice | undefined {
  const pairOf = (name: string | undefined): Pair<Node, Node | null> | undefined => map.items.find((pair) => isScalar(pair.key) && pair.key.value === name);
  const original = pairOf(copyOf);
  const before = typeof insert === 'object' ? pairOf(insert.behind) : original;
  const flow = map.flow === true;
  if (pairOf(key) !== undefined || before === undefined || (copyOf !== undefined && original === undefined)) return undefined;
  const name = scalarText(key, flow);
  const [, end] = spanOf(text, before);
  if (original === undefined) return written.trim() === '' ? undefined : append(text, map, `${name}: ${valueText(written.trim(), flow)}`, spanOf(text, before));
  // With what is said behind it on its last line.
  const last = flow ? endOf(text, original) : endOfLine(text, endOf(text, original));
  return append(text, map, name + text.slice(original.key.range?.[1] ?? 0, last), [end, end]);
}

/** An entry before the one that has the index now. */
function newInList(text: string, list: YAMLSeq<Node>, index: number, value: string): Splice | undefined {
  const flow = list.flow === true;
  const spans = list.items.map((item) => [item.range?.[0] ?? 0, trimmedEnd(text, item)] as const);
  const [before, at] = [spans[index - 1], spans[index]];
  if (value === '' || (at === undefined && index !== spans.length)) return undefined;
  if (before !== undefined) return append(text, list, flow ? valueText(value, flow) : `- ${valueText(value, flow)}`, before);
  if (at === undefined) return undefined;
  if (flow) return { start: at[0], end: at[0], text: `${valueText(value, flow)}, ` };
  const lineStart = text.lastIndexOf('\n', at[0] - 1) + 1;
  const indent = /^ */.exec(text.slice(lineStart))?.[0] ?? '';
  return { start: lineStart, end: lineStart, text: `${indent}- ${valueText(value, flow)}${text.includes('\r\n') ? '\r\n' : '\n'}` };
}

/** Puts an entry behind another one of its collection. */
function append(text: string, collection: Collection, entry: string, last: readonly [number, number] | undefined): Splice | undefined {
  const [start, end] = collection.range ?? [0, 0];
  if (collection.flow === true) {
    if (last === undefined) return { start: start + 1, end: end - 1, text: ` ${entry} ` };
    return { start: last[1], end: last[1], text: `, ${entry}` };
  }
  if (last === undefined) return undefined;
  const lineEnd = endOfLine(text, last[1]);
  const lineStart = text.lastIndexOf('\n', start - 1) + 1;
  const indent = ' '.repeat(start - lineStart);
  const newline = text.includes('\r\n') ? '\r\n' : '\n';
  return { start: lineEnd, end: lineEnd, text: `${newline}${indent}${entry}` };
}

/** Takes whole lines out, with the comment behind the value. */
function withoutLines(text: string, start: number, end: number): Splice | undefined {
  const lineStart = text.lastIndexOf('\n', start - 1) + 1;
  if (!/^ *(?:- *)?$/.test(text.slice(lineStart, start))) return undefined;
  const lineEnd = endOfLine(text, end);
  return { start: lineStart, end: text.indexOf('\n', lineEnd) < 0 ? lineEnd : text.indexOf('\n', lineEnd) + 1, text: '' };
}

/** Takes one of several entries out of braces or brackets, with its comma. */
function withoutFlowItem(spans: readonly (readonly [number, number])[], at: number): Splice | undefined {
  const span = spans[at];
  const next = spans[at + 1];
  const before = spans[at - 1];
  if (span === undefined) return undefined;
  if (next !== undefined) return { start: span[0], end: next[0], text: '' };
  return { start: before?.[1] ?? span[0], end: span[1], text: '' };
}

function endOfLine(text: string, from: number): number {
  const newline = text.indexOf('\n', from);
  const end = newline < 0 ? text.length : newline;
  return text[end - 1] === '\r' ? end - 1 : end;
}

function spanOf(text: string, pair: Pair<Node, Node | null>): readonly [number, number] {
  return [pair.key.range?.[0] ?? 0, endOf(text, pair)];
}

function endOf(text: string, { key, value }: Pair<Node, Node | null>): number {
  return value?.range === undefined || value.range === null ? key.range?.[1] ?? 0 : trimmedEnd(text, value);
}

/** The range of a block collection reaches over the blank lines and comments behind it: not its to lose. */
function trimmedEnd(text: string, node: Node): number {
  const [start, end] = node.range ?? [0, 0];
  if (isMap<Node, Node | null>(node) && node.flow !== true) {
    const last = node.items.at(-1);
    return last === undefined ? start : endOf(text, last);
  }
  if (isSeq<Node>(node) && node.flow !== true) {
    const last = node.items.at(-1);
    return last === undefined ? start : trimmedEnd(text, last);
  }
  return start + text.slice(start, end).trimEnd().length;
}

function valueText(value: string, flow: boolean): string {
  if (/^[{[]/.test(value)) return value;
  const crew = /^crew: (.+)$/.exec(value)?.[1];
  return crew === undefined ? scalarText(value, flow) : `crew: ${scalarText(crew, flow)}`;
}

/** Plain where YAML reads it back as it stands, otherwise in quotes. */
function scalarText(value: string, flow: boolean): string {
  const { contents, errors } = parseDocument<Node>(flow ? `[ ${value} ]` : `value: ${value}`, { schema: 'failsafe' });
  const read = isSeq<Node>(contents) && contents.items.length === 1 ? contents.items[0] : isMap<Node, Node>(contents) ? contents.items[0]?.value : undefined;
  const plain = errors.length === 0 && isScalar(read) && read.value === value;
  return plain ? value : JSON.stringify(value);
}

/** Whether the edited text holds the value where it was put: nothing when it was removed, anything when it was copied. */
function holds(text: string, path: readonly (string | number)[], value: string | undefined): boolean {
  const issues = new Issues();
  const tree = readTree(text, issues);
  if (tree === undefined || issues.errors > 0) return false;
  if (value !== undefined && (value === '' || /^(?:[{[]|crew: )/.test(value))) return true;
  let node: Tree | undefined = tree;
  for (const step of path) {
    if (node?.type === 'map') node = node.entries.find(({ key }) => key === String(step))?.value;
    else node = node?.type === 'list' ? node.items[Number(step)] : undefined;
  }
  return value === undefined ? node !== undefined : node?.type === 'text' && node.text === value;
}
