import type { Quantity } from '../../quantity/quantity.ts';
import { exact } from '../../quantity/quantity.ts';
import { quoted } from '../../quantity/scan.ts';
import { classDefault } from '../classes.ts';
import type { Machine, Surroundings } from '../machine.ts';
import type { Part } from '../parts.ts';
import { checkConnections } from './connections.ts';
import { readDuty } from './duty.ts';
import { Issues, type Issue, type Place } from './issue.ts';
import { readParts, type KnownPart } from './part-list.ts';
import { readSteps } from './steps.ts';
import { describe, readTree, type Entry, type MapNode, type Tree } from './tree.ts';
import { checkTogether } from './unlikely.ts';
import { didYouMean, readQuantity, readText, type QuantityRule } from './values.ts';
import { readWiring } from './wiring.ts';

/** A machine with what was asked back about it, or everything that keeps the file from being one. */
export type FileResult =
  | { readonly ok: true; readonly machine: Machine; readonly questions: readonly Issue[] }
  | { readonly ok: false; readonly issues: readonly Issue[] };

const SECTIONS = [
  'ampwright', 'machine', 'about', 'mass', 'parts', 'wiring', 'returns', 'signal grounds', 'procedure', 'power down',
  'surroundings', 'match', 'duty', 'notes',
] as const;

type Section = (typeof SECTIONS)[number];

const FORMAT = '1';

const MASS: QuantityRule = { dimension: 'mass', above: 0, likely: [0.05, 1000], example: '60 kg' };
const MATCH: QuantityRule = { dimension: 'time', above: 0, likely: [20, 3600], example: '180 s' };
const AIR: QuantityRule = { dimension: 'temperature', atLeast: -60, atMost: 150, likely: [-30, 90], example: '25 °C' };

/**
 * Reads a machine file. Never throws and always ends soon, whatever the text; every issue that one reading can find
 * is returned together. Class defaults fill what the file leaves out.
 */
export function readMachine(text: string): FileResult {
  const issues = new Issues();
  const tree = readTree(text, issues);
  if (tree === undefined) return { ok: false, issues: issues.all() };
  if (tree.type !== 'map') {
    issues.error(tree.at, {}, 'a machine file that starts with "ampwright: 1"', describe(tree));
    return { ok: false, issues: issues.all() };
  }
  const machine = readSections(tree, issues);
  const errors = issues.all();
  return issues.errors === 0 && machine !== undefined ? { ok: true, machine, questions: errors } : { ok: false, issues: errors };
}

function readSections(tree: MapNode, issues: Issues): Machine | undefined {
  const top = tree.at;
  const sections = new Map<Section, Tree>();
  for (const entry of tree.entries) {
    const section = SECTIONS.find((name) => name === entry.key);
    if (section === undefined) unknownSection(entry, issues);
    else sections.set(section, entry.value);
  }
  checkFormat(sections.get('ampwright'), top, issues);
  const name = requiredText(sections.get('machine'), top, 'machine', issues);
  const about = optionalText(sections.get('about'), 'about', issues);
  const mass = optionalQuantity(sections.get('mass'), MASS, 'mass', issues);
  const known = readParts(sections.get('parts'), top, issues);
  const wiring = readWiring({ wiring: sections.get('wiring'), returns: sections.get('returns'), grounds: sections.get('signal grounds') }, top, known, issues);
  checkConnections(wiring, known, issues);
  const powerUp = readSteps(sections.get('procedure'), 'procedure', known, issues);
  const powerDown = readSteps(sections.get('power down'), 'power down', known, issues);
  const surroundings = readSurroundings(sections.get('surroundings'), issues);
  const match = optionalQuantity(sections.get('match'), MATCH, 'match', issues);
  const duty = readDuty(sections.get('duty'), known, issues);
  const notes = readNotes(sections.get('notes'), issues);
  checkTogether(known, wiring, mass, issues);
  if (name === undefined) return undefined;
  return {
    name, about, mass,
    parts: partsOf(known),
    wiring: { chains: wiring.chains.map(({ chain }) => chain), bar: wiring.bar },
    powerUp, powerDown, surroundings,
    // Common practice, no source: most events fight three minutes.
    match: match ?? exact('time', 180, 'class default'),
    duty,
    notes,
  };
}

function partsOf(known: ReadonlyMap<string, KnownPart>): ReadonlyMap<string, Part> {
  const parts = new Map<string, Part>();
  for (const { id, part } of known.values()) {
    if (part !== undefined) parts.set(id, part);
  }
  return parts;
}

function unknownSection({ key, keyAt }: Entry, issues: Issues): void {
  issues.error(keyAt, { field: key }, 'a section of a machine file', quoted(key), didYouMean(key, SECTIONS) ?? `sections: ${SECTIONS.join(', ')}`);
}

function checkFormat(tree: Tree | undefined, top: Place, issues: Issues): void {
  if (tree?.type === 'text' && tree.text.trim() === FORMAT) return;
  const hint = tree?.type === 'text' && /^\d+$/.test(tree.text.trim()) ? 'the file is of another format version than this program reads' : undefined;
  issues.error(tree?.at ?? top, { field: 'ampwright' }, `the format version, "ampwright: ${FORMAT}"`, tree === undefined ? 'none' : describe(tree), hint);
}

function requiredText(tree: Tree | undefined, top: Place, field: string, issues: Issues): string | undefined {
  if (tree !== undefined) return readText(tree, { field }, issues)?.text.trim();
  issues.error(top, { field }, 'the name of the machine', 'none');
  return undefined;
}

function optionalText(tree: Tree | undefined, field: string, issues: Issues): string | undefined {
  return tree === undefined ? undefined : readText(tree, { field }, issues)?.text.trim();
}

function optionalQuantity(tree: Tree | undefined, rule: QuantityRule, field: string, issues: Issues): Quantity | undefined {
  return tree === undefined ? undefined : readQuantity(tree, rule, { field }, issues);
}

function readSurroundings(tree: Tree | undefined, issues: Issues): Surroundings {
  // Common practice, no source: a hall in winter to an open field in summer; the inside of a closed machine is warmer.
  const usual = { ambient: classDefault('temperature', 25, 5, 45), inside: classDefault('temperature', 40, 25, 65) };
  if (tree === undefined) return usual;
  if (tree.type !== 'map') {
    issues.error(tree.at, { field: 'surroundings' }, 'a mapping like { ambient: 25 °C, inside: 40 °C }', describe(tree));
    return usual;
  }
  const read = new Map<string, Quantity | undefined>();
  for (const { key, keyAt, value } of tree.entries) {
    const field = `surroundings.${key}`;
    if (key === 'ambient' || key === 'inside') read.set(key, readQuantity(value, AIR, { field }, issues));
    else issues.error(keyAt, { field }, '"ambient" or "inside"', quoted(key), didYouMean(key, ['ambient', 'inside']));
  }
  return { ambient: read.get('ambient') ?? usual.ambient, inside: read.get('inside') ?? usual.inside };
}

function readNotes(tree: Tree | undefined, issues: Issues): ReadonlyMap<string, string> {
  const notes = new Map<string, string>();
  if (tree === undefined) return notes;
  if (tree.type !== 'map') {
    issues.error(tree.at, { field: 'notes' }, 'texts by their name, like "event: 3 minutes"', describe(tree));
    return notes;
  }
  for (const { key, value } of tree.entries) {
    const text = readText(value, { field: `notes.${key}` }, issues)?.text.trim();
    if (text !== undefined) notes.set(key, text);
  }
  return notes;
}
