import { isMap, isScalar, isSeq, parseDocument, type Node, type Pair, type YAMLMap, type YAMLSeq } from 'yaml';
import { Issues } from './issue.ts';
import { keyTrouble } from './limits.ts';
import { readTree } from './tree.ts';

/** A change of one value: where it stands, as keys and list indices from 0, and what is to stand there. */
export interface MachineEdit {
  readonly path: readonly (string | number)[];
  /** A value as in the file; `{ … }` and `[ … ]` stand for a mapping and a list; empty removes the entry. */
  readonly text: string;
}

/**
 * The text of a machine file with values replaced, added or removed, one edit after the other. Everything else stays
 * as it is to the byte: comments, order, spacing. A new key goes to the end of its mapping, the index just behind the
 * last one to the end of its list.
 * @throws RangeError when the text is no YAML, a path leads nowhere, or a value cannot stand there
 */
export function editMachine(text: string, edits: readonly MachineEdit[]): string {
  return edits.reduce(apply, text);
}

/** What is cut out of the text, and what comes in its place. */
interface Splice {
  readonly start: number;
  readonly end: number;
  readonly text: string;
}

type Collection = YAMLMap<Node, Node | null> | YAMLSeq<Node>;

function apply(text: string, { path, text: written }: MachineEdit): string {
  const refuse = (why: string): RangeError => new RangeError(`edit of ${path.join('.')}: ${why}`);
  const value = written.trim();
  if (/[\r\n]/.test(value)) throw refuse('expected a value on one line');
  if (path.some((key) => typeof key === 'string' && keyTrouble(key) !== undefined)) throw refuse('expected names that a file may hold');
  const last = path.at(-1);
  const parent = last === undefined ? undefined : collectionAt(text, path.slice(0, -1));
  if (last === undefined || parent === undefined) throw refuse('expected a path that leads to a mapping or a list of this file');
  const splice = isMap(parent) ? spliceInMap(text, parent, String(last), value) : spliceInList(text, parent, Number(last), value);
  if (splice === undefined) throw refuse('expected an entry that is there, or the one behind the last');
  const edited = text.slice(0, splice.start) + splice.text + text.slice(splice.end);
  if (!holds(edited, path, value)) throw refuse(`expected a value that can stand there, got ${JSON.stringify(written)}`);
  return edited;
}

function collectionAt(text: string, path: readonly (string | number)[]): Collection | undefined {
  if (readTree(text, new Issues()) === undefined) return undefined;
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

/** Puts an entry behind the last one of its collection. */
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

/** Whether the edited text holds the value where it was put (or nothing, when it was removed). */
function holds(text: string, path: readonly (string | number)[], value: string): boolean {
  const issues = new Issues();
  if (readTree(text, issues) === undefined || issues.errors > 0) return false;
  if (value === '' || /^(?:[{[]|crew: )/.test(value)) return true;
  return parseDocument(text, { schema: 'failsafe' }).getIn(path) === value;
}
