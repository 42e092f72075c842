import type { MachineNetwork, NetworkSource } from '../machine/network/machine-network.ts';
import type { SwitchRow } from '../machine/network/strands.ts';
import { nearest } from '../quantity/nearest.ts';
import { EXIT, Mistake } from './exit.ts';
import { printable } from './layout.ts';

/** Words that mean a position, whatever the file calls it: the first without a way, or the last with a direct one. */
const OPEN = new Set(['open', 'off', 'released', 'out', 'pulled', 'removed', 'unplugged']);
const CLOSED = new Set(['closed', 'on', 'held', 'pressed', 'in', 'inserted', 'plugged', 'plugged in']);

/**
 * Where switches stand by a text like `Q1 CHARGE, S1 held`: parts and positions as the file names them, forgiving of case;
 * `open` and `closed` and what people say for them serve for every switch, and a word before the part may say what it is.
 * @param start  positions of the switches that the text does not name
 * @throws Mistake for a switch or a position that there is not, with the nearest spelling
 */
export function parseState(text: string, { rows }: MachineNetwork, start: Uint8Array): Uint8Array {
  const positions = start.slice();
  const named = new Set<number>();
  for (const phrase of text.split(/[,;]/).map((one) => one.trim()).filter((one) => one !== '')) {
    const words = phrase.split(/\s+/);
    const at = words.findIndex((word) => rowOf(rows, word) >= 0);
    if (at < 0) throw mistake('--state', `a switch and its position, of ${rows.map(({ part }) => part).join(', ')}`, phrase, nearestOf(words, rows.map(({ part }) => part)));
    const row = rowOf(rows, words[at]!);
    if (named.has(row)) throw mistake('--state', `each switch once`, phrase, undefined);
    named.add(row);
    positions[row] = positionOf(rows[row]!, words.slice(at + 1).join(' '), phrase);
  }
  return positions;
}

/**
 * The sources of a list like `M1,M3`; `all` for all of them.
 * @throws Mistake for one that there is not
 */
export function parseSources(option: string, text: string, sources: readonly NetworkSource[]): string[] {
  const names = [...new Set(sources.map(({ part }) => part))];
  const words = text.split(',').map((word) => word.trim()).filter((word) => word !== '');
  if (words.some((word) => word.toLowerCase() === 'all')) return names;
  return words.map((word) => {
    const found = names.find((name) => name.toLowerCase() === word.toLowerCase());
    if (found === undefined) throw mistake(option, names.length === 0 ? 'a machine that has one' : `one or more of ${names.join(', ')}`, word, nearest(word, names));
    return found;
  });
}

function rowOf(rows: readonly SwitchRow[], word: string): number {
  return rows.findIndex(({ part }) => part.toLowerCase() === word.toLowerCase());
}

function positionOf({ part, positions }: SwitchRow, word: string, phrase: string): number {
  const wanted = word.toLowerCase();
  const exact = positions.findIndex(({ name }) => name.toLowerCase() === wanted);
  if (exact >= 0) return exact;
  const open = OPEN.has(wanted) ? positions.findIndex(({ ohm }) => ohm === undefined) : -1;
  const closed = CLOSED.has(wanted) ? positions.findLastIndex(({ ohm, through }) => ohm !== undefined && through === undefined) : -1;
  const found = Math.max(open, closed);
  if (found >= 0) return found;
  const names = positions.map(({ name }) => name);
  throw mistake('--state', `${part} with one of ${names.join(', ')}`, phrase, nearest(word, names));
}

function nearestOf(words: readonly string[], names: readonly string[]): string | undefined {
  return words.map((word) => nearest(word, names)).find((one) => one !== undefined);
}

function mistake(option: string, expected: string, found: string, near: string | undefined): Mistake {
  return new Mistake(`${option}: expected ${expected}, found ${JSON.stringify(printable(found))}${near === undefined ? '' : `; did you mean ${near}?`}`, EXIT.usage);
}
