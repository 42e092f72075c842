import { Composer, isMap, isScalar, isSeq, Lexer, LineCounter, Parser, type CST, type Node, type Pair } from 'yaml';
import { quoted } from '../../quantity/scan.ts';
import type { Issues, Place } from './issue.ts';
import { keyTrouble, LIMITS } from './limits.ts';

/** A file's content with places: every scalar is text, whatever it looks like (`ON`, `10`, `1e3`). */
export type Tree = TextNode | ListNode | MapNode;

export interface TextNode {
  readonly type: 'text';
  readonly text: string;
  readonly at: Place;
  /** Place of the text's first character, behind a quotation mark. */
  readonly textAt: Place;
}

export interface ListNode {
  readonly type: 'list';
  readonly items: readonly Tree[];
  readonly at: Place;
}

export interface MapNode {
  readonly type: 'map';
  readonly entries: readonly Entry[];
  readonly at: Place;
}

export interface Entry {
  readonly key: string;
  readonly keyAt: Place;
  readonly value: Tree;
}

/** For messages: what a node is. */
export function describe(tree: Tree): string {
  if (tree.type === 'text') return tree.text.trim() === '' ? 'nothing' : quoted(tree.text);
  return tree.type === 'list' ? 'a list' : 'a mapping';
}

/** Reads YAML 1.2 (failsafe schema: no tags, anchors, aliases, merge keys); undefined when it cannot be read. */
export function readTree(text: string, issues: Issues): Tree | undefined {
  if (!acceptable(text, issues)) return undefined;
  const lines = new LineCounter();
  const tokens = tokensOf(text, lines, issues);
  if (tokens === undefined || !harmless(tokens, lines, issues)) return undefined;
  const composer = new Composer({ schema: 'failsafe', uniqueKeys: false, prettyErrors: false });
  const documents = [...composer.compose(tokens, true, text.length)];
  const [document] = documents;
  if (document === undefined) return undefined;
  if (documents.length > 1) {
    issues.error(placeAt(lines, documents[1]?.range[0] ?? 0), {}, 'one machine a file', 'a second document after "---"');
    return undefined;
  }
  const troubles = [...document.errors, ...document.warnings];
  // Whatever else is odd comes of what was left open.
  if (troubles.length > 0 && tellOpen(tokens, lines, issues)) return undefined;
  for (const { code, message, pos } of troubles) {
    issues.error(placeAt(lines, pos[0]), {}, 'YAML that can be read', quoted(message.split('\n')[0] ?? ''), SYNTAX_HINTS[code]);
  }
  if (issues.errors > 0) return undefined;
  return convert(document.contents, 0, lines, issues);
}

const SYNTAX_HINTS: Readonly<Record<string, string>> = {
  BAD_INDENT: 'lines of one mapping or list start in the same column',
  BLOCK_AS_IMPLICIT_KEY: 'a text that holds ": " goes in quotes',
  MISSING_CHAR: 'a bracket or quotation mark is open, or a text that holds a colon or comma is not in quotes',
  MULTILINE_IMPLICIT_KEY: 'a name and its colon stand on one line',
  BAD_SCALAR_START: 'a text that starts with this character goes in quotes',
  UNEXPECTED_TOKEN: 'a text with special characters goes in quotes',
};

/** Refuses by sight what no reader should be given. */
function acceptable(text: string, issues: Issues): boolean {
  const start = { line: 1, column: 1 };
  if (text.length > LIMITS.text) {
    issues.error(start, {}, `a file of at most ${LIMITS.text / 1024} kB`, `${text.length} characters`);
    return false;
  }
  const bad = /[^\P{Cc}\t\n\r]|\uFFFD|\r(?!\n)/u.exec(text);
  if (bad !== null) {
    const hint = bad[0] === '\uFFFD' ? 'the file is not UTF-8 text: save it as UTF-8' : 'a control character: is this a text file?';
    issues.error(placeIn(text, bad.index), {}, 'text', bad[0] === '\uFFFD' ? 'a character that could not be decoded' : quoted(bad[0]), hint);
    return false;
  }
  const tab = /^ *\t[ \t]*(?=[^\s#])/m.exec(text);
  if (tab !== null) {
    issues.error(placeIn(text, tab.index), {}, 'spaces before the first word of a line', 'a tab');
    return false;
  }
  const lines = text.split('\n').length;
  if (lines > LIMITS.lines) issues.error(start, {}, `at most ${LIMITS.lines} lines`, `${lines} lines`);
  return lines <= LIMITS.lines;
}

function placeIn(text: string, offset: number): Place {
  const before = text.slice(0, offset);
  return { line: before.split('\n').length, column: offset - before.lastIndexOf('\n') };
}

function placeAt(lines: LineCounter, offset: number): Place {
  const { line, col } = lines.linePos(offset);
  return { line: Math.max(line, 1), column: Math.max(col, 1) };
}

function tokensOf(text: string, lines: LineCounter, issues: Issues): CST.Token[] | undefined {
  const parser = new Parser(lines.addNewLine);
  const tokens: CST.Token[] = [];
  lines.addNewLine(0);
  let lexemes = 0;
  for (const lexeme of new Lexer().lex(text)) {
    lexemes += 1;
    if (lexemes > LIMITS.lexemes) {
      issues.error({ line: 1, column: 1 }, {}, `at most ${LIMITS.lexemes} words and marks`, 'more');
      return undefined;
    }
    for (const token of parser.next(lexeme)) tokens.push(token);
  }
  for (const token of parser.end()) tokens.push(token);
  return tokens;
}

const REFUSED_TOKENS: Readonly<Record<string, string>> = {
  anchor: 'an anchor (&)', alias: 'an alias (*)', tag: 'a tag (!)', directive: 'a directive (%)',
};

/** Looks for depth, anchors, aliases, tags and directives without recursion, which deep files would exhaust. */
function harmless(tokens: readonly CST.Token[], lines: LineCounter, issues: Issues): boolean {
  const pending: { readonly token: CST.Token | CST.SourceToken; readonly depth: number }[] = tokens.map((token) => ({ token, depth: 0 })).reverse();
  const before = issues.errors;
  for (let next = pending.pop(); next !== undefined; next = pending.pop()) {
    const { token } = next;
    const refused = REFUSED_TOKENS[token.type];
    if (refused !== undefined) {
      issues.error(placeAt(lines, token.offset), {}, 'plain values', refused, 'write the value out; a text that starts with this sign goes in quotes');
    }
    if (token.type === 'document') {
      for (const part of token.start) pending.push({ token: part, depth: 0 });
      if (token.value !== undefined) pending.push({ token: token.value, depth: 0 });
    }
    if (!('items' in token)) continue;
    const depth = next.depth + 1;
    if (depth > LIMITS.depth) {
      issues.error(placeAt(lines, token.offset), {}, `at most ${LIMITS.depth} lists and mappings inside each other`, 'more');
      return false;
    }
    for (const { start, key, sep, value } of token.items) {
      for (const part of [...start, ...(sep ?? []), key, value]) {
        if (part !== undefined && part !== null) pending.push({ token: part, depth });
      }
    }
  }
  return issues.errors === before;
}

const CLOSES: Readonly<Record<string, string>> = { '{': '}', '[': ']' };

/** Names the lines where a bracket or a quotation mark opens that nothing closes; the library names where it gave up. */
function tellOpen(tokens: readonly CST.Token[], lines: LineCounter, issues: Issues): boolean {
  const before = issues.errors;
  const pending: (CST.Token | CST.SourceToken)[] = [...tokens];
  for (let token = pending.pop(); token !== undefined; token = pending.pop()) {
    if ((token.type === 'double-quoted-scalar' || token.type === 'single-quoted-scalar') && 'source' in token) {
      const sign = token.source.charAt(0);
      if (token.source.length < 2 || !token.source.endsWith(sign)) issues.error(placeAt(lines, token.offset), {}, `a second ${sign} that ends the text`, `none after the ${sign} here`);
    }
    if (token.type === 'document' && token.value !== undefined) pending.push(token.value);
    if (token.type === 'flow-collection') {
      const sign = token.start.source;
      const closed = token.end.some(({ source }) => source === CLOSES[sign]);
      if (!closed) issues.error(placeAt(lines, token.offset), {}, `a ${CLOSES[sign] ?? ''} that closes it`, `none after the ${sign} here`, 'what begins with { or [ ends on its own line');
    }
    if (!('items' in token)) continue;
    for (const { key, value } of token.items) for (const part of [key, value]) if (part !== undefined && part !== null) pending.push(part);
  }
  return issues.errors > before;
}

function convert(node: Node | null, offset: number, lines: LineCounter, issues: Issues): Tree {
  const from = node?.range?.[0] ?? offset;
  const at = placeAt(lines, from);
  if (isMap(node)) {
    return { type: 'map', entries: entriesOf(node.items as Pair<Node, Node | null>[], from, lines, issues), at };
  }
  if (isSeq(node)) return { type: 'list', items: node.items.map((item) => convert(item as Node, from, lines, issues)), at };
  let text = isScalar(node) && typeof node.value === 'string' ? node.value : '';
  if (text.length > LIMITS.scalar) {
    issues.error(at, {}, `a text of at most ${LIMITS.scalar} characters`, `${text.length} characters`);
    text = '';
  }
  const escape = /[^\P{Cc}\t\n]/u.exec(text);
  if (escape !== null) {
    issues.error(at, {}, 'a text without control characters', quoted(text));
    text = '';
  }
  const isQuoted = isScalar(node) && (node.type === 'QUOTE_DOUBLE' || node.type === 'QUOTE_SINGLE');
  return { type: 'text', text, at, textAt: isQuoted ? { line: at.line, column: at.column + 1 } : at };
}

function entriesOf(pairs: readonly Pair<Node, Node | null>[], offset: number, lines: LineCounter, issues: Issues): Entry[] {
  const entries: Entry[] = [];
  const seen = new Set<string>();
  for (const { key, value } of pairs) {
    const keyAt = placeAt(lines, key.range?.[0] ?? offset);
    if (!isScalar(key)) {
      issues.error(keyAt, {}, 'a name before the colon', isMap(key) ? 'a mapping' : 'a list');
      continue;
    }
    const name = typeof key.value === 'string' ? key.value : '';
    const trouble = keyTrouble(name);
    if (trouble !== undefined) {
      issues.error(keyAt, {}, trouble.expected, name.trim() === '' ? 'nothing' : quoted(name), trouble.hint);
    } else if (seen.has(name)) {
      issues.error(keyAt, {}, 'every name once', `${quoted(name)} a second time`);
    } else {
      seen.add(name);
      entries.push({ key: name, keyAt, value: convert(value, key.range?.[1] ?? offset, lines, issues) });
    }
  }
  return entries;
}
