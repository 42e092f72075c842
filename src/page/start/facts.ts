import { Issues } from '../../machine/file/issue.ts';
import { quantityIn, type QuantityRule } from '../../machine/file/values.ts';
import { FUSE } from '../../machine/parts/conductive.ts';
import { CONTROLLER } from '../../machine/parts/loads.ts';
import { PACK } from '../../machine/parts/pack.ts';
import { MOST_CELLS, MOST_DRIVES, nameTrouble, type StarterFacts } from '../../machine/starter/facts.ts';
import { starterMachine } from '../../machine/starter.ts';
import type { Quantity } from '../../quantity/quantity.ts';

/** Answers as they were typed or picked: what is half typed is kept, so that going back loses nothing. */
export interface Typed {
  readonly name: string;
  readonly cells: string;
  readonly chemistry: StarterFacts['chemistry'];
  readonly capacity: string;
  readonly drives: string;
  readonly rating: string;
  readonly hasWeapon: boolean;
  readonly weapon: string;
  readonly isolators: StarterFacts['isolators'];
  readonly softStart: StarterFacts['softStart'];
  /** Empty: a size that fits the controllers. */
  readonly fuse: string;
  readonly radioSupply: StarterFacts['radioSupply'];
}

export type Read<Value> = { readonly ok: true; readonly value: Value } | { readonly ok: false; readonly why: string };

export function readName(text: string): Read<string> {
  const trouble = nameTrouble(text);
  return trouble === undefined ? { ok: true, value: text.trim() } : { ok: false, why: `Expected a name of 1 to 80 characters, found ${trouble}.` };
}

/** `6`, `6S`, `6 s`. */
export function readCells(text: string): Read<number> {
  const cells = /^\d{1,3}\s*[sS]?$/.test(text.trim()) ? Number.parseInt(text, 10) : NaN;
  return cells >= 1 && cells <= MOST_CELLS ? { ok: true, value: cells } : { ok: false, why: `Expected 1 to ${MOST_CELLS} cells in series, like “6” or “6S”.` };
}

export function readDrives(text: string): Read<number> {
  const drives = /^\d{1,2}$/.test(text.trim()) ? Number(text) : NaN;
  return drives >= 1 && drives <= MOST_DRIVES ? { ok: true, value: drives } : { ok: false, why: `Expected 1 to ${MOST_DRIVES} controllers.` };
}

export function readCapacity(text: string): Read<Quantity> {
  return readQuantity(text, PACK.fields.capacity);
}

export function readRating(text: string): Read<Quantity> {
  return readQuantity(text, CONTROLLER.fields.motorCurrent);
}

export function readFuse(text: string): Read<Quantity | undefined> {
  return text.trim() === '' ? { ok: true, value: undefined } : readQuantity(text, FUSE.fields.rating);
}

/** The facts as far as they can be read; undefined while one of them cannot. */
export function factsOf(typed: Typed): StarterFacts | undefined {
  const [name, cells, capacity, drives, rating, fuse] = [readName(typed.name), readCells(typed.cells), readCapacity(typed.capacity), readDrives(typed.drives), readRating(typed.rating), readFuse(typed.fuse)];
  const weapon: Read<Quantity | undefined> = typed.hasWeapon ? readRating(typed.weapon) : { ok: true, value: undefined };
  if (!name.ok || !cells.ok || !capacity.ok || !drives.ok || !rating.ok || !weapon.ok || !fuse.ok) return undefined;
  return {
    name: name.value, cells: cells.value, chemistry: typed.chemistry, capacity: capacity.value, drive: { count: drives.value, rating: rating.value },
    weapon: weapon.value, isolators: typed.isolators, softStart: softStartOf(typed), fuse: fuse.value, radioSupply: typed.radioSupply,
  };
}

/** A link has no charge position: there, the program decides. */
export function softStartOf({ isolators, softStart }: Typed): StarterFacts['softStart'] {
  return isolators === 'links' && softStart === 'charge' ? 'suggest' : softStart;
}

/** Text of the machine, and the name of its file. */
export function machineOf(facts: StarterFacts): { readonly text: string; readonly fileName: string } {
  const plain = facts.name.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-|-$/g, '');
  return { text: starterMachine(facts), fileName: `${plain === '' ? 'machine' : plain}.yaml` };
}

/** By the rule of the field in the machine file; what its reader would ask back about is said here. */
function readQuantity(text: string, rule: QuantityRule): Read<Quantity> {
  const issues = new Issues();
  const value = quantityIn(text, { line: 1, column: 1 }, rule, {}, issues);
  const [issue] = issues.all();
  if (value !== undefined && issue === undefined) return { ok: true, value };
  return { ok: false, why: `Expected ${issue?.expected ?? 'another value'}, found ${issue?.found ?? 'this'}${issue?.hint === undefined ? '' : `; ${issue.hint}`}.` };
}
