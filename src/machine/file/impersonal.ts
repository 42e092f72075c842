import { Lexer } from 'yaml';
import { editMachine } from './edit.ts';
import { Issues } from './issue.ts';
import { readTree } from './tree.ts';

/** Sections in which people write who, where and when. */
const PERSONAL_SECTIONS = ['notes'] as const;

/** What the lexer says about its tokens, not text of the file: byte order, document start, scalar, error in a flow. */
const SIGNALS = new Set(['\uFEFF', '\u0002', '\u0018', '\u001F']);

/**
 * A machine file without what may be personal: its notes and all comments. Names of parts and the crew's steps stay,
 * because the machine is not the same without them.
 */
export function withoutPersonal(text: string): string {
  const tree = readTree(text, new Issues());
  if (tree?.type !== 'map') return text;
  const found = PERSONAL_SECTIONS.filter((section) => tree.entries.some(({ key }) => key === section));
  return withoutComments(editMachine(text, found.map((section) => ({ path: [section], text: '' }))));
}

function withoutComments(text: string): string {
  const kept: string[] = [];
  let scalar = false;
  for (const token of new Lexer().lex(text)) {
    if (!SIGNALS.has(token) && (scalar || !token.startsWith('#'))) kept.push(token);
    scalar = token === '\u001F';
  }
  return kept.join('').replace(/[ \t]+$/gm, '').replace(/\n{3,}/g, '\n\n').replace(/^\n+/, '');
}
