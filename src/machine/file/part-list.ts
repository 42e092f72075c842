import { nearest } from '../../quantity/nearest.ts';
import { scaled, type Quantity } from '../../quantity/quantity.ts';
import { quoted } from '../../quantity/scan.ts';
import { wordsOf, type Field, type FieldValue, type Position } from '../field.ts';
import type { PartKind } from '../kind.ts';
import { kindOf, PART_KINDS, type Part } from '../parts.ts';
import type { Issues, Place } from './issue.ts';
import { LIMITS } from './limits.ts';
import { describe, type Entry, type Tree } from './tree.ts';
import { didYouMean, expectationOf, oneOf, readChoice, readFlag, readPositions, readQuantity, readText } from './values.ts';

/** What the rest of the file may refer to, also where a part has faults of its own. */
export interface KnownPart {
  readonly id: string;
  /** Undefined when the file names none that exists. */
  readonly kind: PartKind | undefined;
  readonly at: Place;
  readonly values: ReadonlyMap<string, { readonly value: FieldValue; readonly at: Place }>;
  readonly part: Part | undefined;
}

const ID = /^\p{L}[\p{L}\p{N}_]{0,39}$/u;

export function readParts(tree: Tree | undefined, top: Place, issues: Issues): ReadonlyMap<string, KnownPart> {
  const known = new Map<string, KnownPart>();
  if (tree?.type !== 'map' || tree.entries.length === 0) {
    issues.error(tree?.at ?? top, { field: 'parts' }, 'parts by their id, like "F1: { kind: fuse, rating: 150 A }"', tree === undefined ? 'none' : describe(tree));
    return known;
  }
  if (tree.entries.length > LIMITS.parts) {
    issues.error(tree.at, { field: 'parts' }, `at most ${LIMITS.parts} parts`, `${tree.entries.length}`);
    return known;
  }
  for (const entry of tree.entries) {
    if (ID.test(entry.key)) known.set(entry.key, readPart(entry, issues));
    else issues.error(entry.keyAt, { field: 'parts' }, 'an id of letters and digits that starts with a letter, like "Q1"', quoted(entry.key));
  }
  for (const part of known.values()) checkReferences(part, known, issues);
  return known;
}

function readPart({ key: id, keyAt: at, value: tree }: Entry, issues: Issues): KnownPart {
  const values: Map<string, { value: FieldValue; at: Place }> = new Map();
  if (tree.type !== 'map') {
    issues.error(tree.at, { part: id }, 'a mapping like { kind: fuse, rating: 150 A }', describe(tree));
    return { id, kind: undefined, at, values, part: undefined };
  }
  const kind = readKind(id, at, tree.entries, issues);
  const before = issues.errors;
  if (kind === undefined) return { id, kind, at, values, part: undefined };
  const properties = new Map(Object.keys(kind.fields).map((property) => [wordsOf(property), property]));
  let about: string | undefined;
  for (const entry of tree.entries) {
    if (entry.key === 'kind') continue;
    if (entry.key === 'about') {
      about = readText(entry.value, { part: id, field: 'about' }, issues)?.text.trim();
      continue;
    }
    const property = properties.get(entry.key);
    const field = property === undefined ? undefined : kind.fields[property];
    if (property === undefined || field === undefined) {
      unknownField(id, kind, entry, [...properties.keys(), 'about', 'kind'], issues);
      continue;
    }
    const value = readField(entry.value, field, { part: id, field: entry.key }, issues);
    if (value !== undefined) values.set(property, { value, at: entry.value.type === 'text' && entry.value.text === '' ? entry.keyAt : entry.value.at });
  }
  requireFields(id, at, kind, values, tree.entries, issues);
  if (kind.kind === 'pack') fullVoltagePerCell(values, issues, id);
  const part = issues.errors > before ? undefined : complete(id, at, kind, values, about);
  return { id, kind, at, values, part };
}

function readKind(id: string, at: Place, entries: readonly Entry[], issues: Issues): PartKind | undefined {
  const entry = entries.find(({ key }) => key === 'kind');
  const names = PART_KINDS.map(({ kind }) => kind);
  if (entry === undefined) {
    const near = entries.map(({ key }) => key).find((key) => didYouMean(key, ['kind']) !== undefined);
    issues.error(at, { part: id, field: 'kind' }, kindExpected(id, names), 'none', near === undefined ? undefined : `is ${quoted(near)} meant as "kind"?`);
    return undefined;
  }
  const name = entry.value.type === 'text' ? entry.value.text.trim() : '';
  if (names.some((one) => one === name)) return kindOf(name);
  issues.error(entry.value.at, { part: id, field: 'kind' }, kindExpected(name, names), describe(entry.value), meantKind(name, names));
  return undefined;
}

/** Words of the trade that builders write for a kind. */
const TRADE_WORDS: Readonly<Record<string, string>> = {
  esc: 'controller', 'speed controller': 'controller', 'motor controller': 'controller', driver: 'controller', vesc: 'controller',
  bec: 'regulator', ubec: 'converter', 'dc-dc': 'converter', dcdc: 'converter', buck: 'converter', 'step-down': 'converter', 'dc-dc converter': 'converter',
  battery: 'pack', lipo: 'pack', accumulator: 'pack', 'battery pack': 'pack', switch: 'isolator', 'main switch': 'isolator', 'key switch': 'isolator', breaker: 'isolator',
  relay: 'contactor', plug: 'connector', jumper: 'link', 'removable link': 'link', 'loop key': 'link', bms: 'protection', pcm: 'protection', led: 'lamp', light: 'lamp',
  bulb: 'lamp', capacitor: 'capacitors', 'capacitor bank': 'capacitors', ntc: 'inrush limiter', thermistor: 'inrush limiter', mosfet: 'solid-state switch',
  fet: 'solid-state switch', 'push button': 'button', pushbutton: 'button', splice: 'joint', lug: 'joint', terminal: 'joint', 'bleed resistor': 'bleed', radio: 'receiver', rx: 'receiver',
  'brushless motor': 'motor', 'gear motor': 'motor', 'power supply': 'bench supply', usb: 'bench lead', charger: 'bench lead', schottky: 'diode',
};

function meantKind(name: string, names: readonly string[]): string | undefined {
  const meant = Object.hasOwn(TRADE_WORDS, name.toLowerCase()) ? TRADE_WORDS[name.toLowerCase()] : undefined;
  return meant === undefined ? didYouMean(name, names) : `did you mean ${quoted(meant)}?`;
}

/** The kinds that are spelt most alike, three of them: nobody reads two dozen. */
function kindExpected(name: string, names: readonly string[]): string {
  const near: string[] = [];
  for (let next = nearest(name, names); next !== undefined && near.length < 3; next = nearest(name, names.filter((one) => !near.includes(one)))) near.push(next);
  const shown = [...near, ...USUAL_KINDS.filter((one) => !near.includes(one))].slice(0, 3);
  return `a kind of part, like ${oneOf(shown)} (docs/machine-file.md lists all ${names.length})`;
}

const USUAL_KINDS = ['controller', 'isolator', 'fuse'] as const;

function readField(tree: Tree, field: Field, about: { readonly part: string; readonly field: string }, issues: Issues): FieldValue | undefined {
  switch (field.type) {
    case 'quantity':
      return readQuantity(tree, field, about, issues);
    case 'choice':
      return readChoice(tree, field.options, about, issues);
    case 'flag':
      return readFlag(tree, about, issues);
    case 'positions':
      return readPositions(tree, about, issues);
    case 'text':
    case 'part':
      return readText(tree, about, issues)?.text.trim();
  }
}

function unknownField(id: string, kind: PartKind, { key, keyAt, value }: Entry, names: readonly string[], issues: Issues): void {
  const near = didYouMean(key, names);
  // In braces a comma ends the value, and what follows it stands there as a name without a value.
  const cut = value.type === 'text' && value.text === '' && near === undefined;
  const hint = cut ? 'inside { } a value that holds a comma goes in quotes' : near ?? `fields of ${kind.name}: ${names.join(', ')}`;
  issues.error(keyAt, { part: id, field: key }, `a field of ${kind.name}`, quoted(key), hint);
}

function requireFields(
  id: string, at: Place, kind: PartKind, values: ReadonlyMap<string, unknown>, entries: readonly Entry[], issues: Issues,
): void {
  for (const [property, field] of Object.entries(kind.fields)) {
    const words = wordsOf(property);
    if (field.required !== true || values.has(property) || entries.some(({ key }) => key === words)) continue;
    // A misspelt field has been named already.
    if (entries.some(({ key }) => nearest(key, Object.keys(kind.fields).map(wordsOf)) === words)) continue;
    const expected = field.type === 'quantity' ? expectationOf(field) : field.type === 'choice' ? oneOf(field.options) : 'a value';
    issues.error(at, { part: id, field: words }, expected, 'none', field.meaning);
  }
}

/**
 * The field holds volts per cell, whichever way it was written: `4.2 V per cell` stays, `42 V` for ten cells is divided.
 */
function fullVoltagePerCell(values: Map<string, { value: FieldValue; at: Place }>, issues: Issues, id: string): void {
  const written = values.get('fullVoltage');
  const cells = values.get('cells')?.value;
  if (written === undefined || !isQuantity(written.value) || !isQuantity(cells)) return;
  const voltage = written.value;
  const perCell = voltage.perCell ? voltage : { ...scaled(voltage, 1 / cells.value), perCell: true, text: voltage.text };
  values.set('fullVoltage', { ...written, value: perCell });
  // Common practice, no source: no rechargeable cell in use rests outside this when full.
  if (perCell.value >= 3 && perCell.value <= 4.6) return;
  const found = voltage.perCell ? quoted(voltage.text) : `${quoted(voltage.text)} for ${cells.value} cells`;
  issues.question(written.at, { part: id, field: 'full voltage' }, '3 V to 4.6 V per cell, like "4.2 V per cell"', found);
}

/** Fills in what the kind knows by its class, and what an isolator has when nothing is said: an off and an on position. */
function complete(
  id: string, at: Place, kind: PartKind, values: ReadonlyMap<string, { readonly value: FieldValue }>, about: string | undefined,
): Part {
  const given: Record<string, FieldValue> = {};
  for (const [property, { value }] of values) given[property] = value;
  const defaults = kind.defaults(given);
  const plain = kind.kind === 'isolator' ? { positions: ON_OFF } : {};
  // The fields were read against this very kind, so the union member is the one that `kind` names.
  return { kind: kind.kind, id, about, values: { ...plain, ...defaults, ...given }, line: at.line } as unknown as Part;
}

/** Positions of an isolator of which the file says nothing. */
export const ON_OFF: ReadonlyMap<string, Position> = new Map([['OFF', { path: 'open' }], ['ON', { path: 'direct' }]]);

function checkReferences({ id, kind, values }: KnownPart, known: ReadonlyMap<string, KnownPart>, issues: Issues): void {
  if (kind === undefined) return;
  for (const [property, { value, at }] of values) {
    const field = kind.fields[property];
    const about = { part: id, field: wordsOf(property) };
    if (field?.type === 'part' && typeof value === 'string') checkReference(value, field.kinds, about, at, known, issues);
    if (isPositions(value)) {
      for (const position of value.values()) {
        if (position.path === 'through') checkReference(position.part, ['resistor'], about, at, known, issues);
      }
    }
  }
  const [start, stop] = [values.get('start'), values.get('stop')];
  if (kind.kind === 'converter' && start !== undefined && stop !== undefined && isQuantity(start.value) && isQuantity(stop.value) && !(stop.value.value < start.value.value)) {
    issues.error(stop.at, { part: id, field: 'stop' }, `a voltage below the one at which it starts (${quoted(start.value.text)})`, quoted(stop.value.text));
  }
}

function checkReference(
  wanted: string, kinds: readonly string[], about: { readonly part: string; readonly field: string }, at: Place,
  known: ReadonlyMap<string, KnownPart>, issues: Issues,
): void {
  const fitting = [...known.values()].filter(({ kind }) => kind !== undefined && kinds.includes(kind.kind)).map(({ id }) => id);
  const target = known.get(wanted);
  if (target !== undefined && (target.kind === undefined || kinds.includes(target.kind.kind))) return;
  const found = target?.kind === undefined ? `${quoted(wanted)}, which is no part` : `${wanted}, which is ${target.kind.name}`;
  const names = kinds.map((kind) => kindOf(kind)?.name ?? kind).join(' or ');
  issues.error(at, about, `the id of ${names}`, found, whichPart(target === undefined ? wanted : '', fitting));
}

/** Names the part that was meant by a misspelt id, or the few that there are. */
export function whichPart(wanted: string, fitting: readonly string[]): string | undefined {
  const few = fitting.length > 0 && fitting.length < 8 ? `there ${fitting.length === 1 ? 'is' : 'are'} ${fitting.join(', ')}` : undefined;
  return didYouMean(wanted, fitting) ?? few;
}

export function isQuantity(value: FieldValue | undefined): value is Quantity {
  return typeof value === 'object' && 'dimension' in value;
}

export function isPositions(value: FieldValue | undefined): value is ReadonlyMap<string, Position> {
  return value instanceof Map;
}
