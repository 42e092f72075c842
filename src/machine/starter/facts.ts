import type { Chemistry } from '../../physics/cells.ts';
import type { Quantity } from '../../quantity/quantity.ts';

export const SWITCHES = ['main', 'branch', 'links'] as const;
export const SOFT_STARTS = ['suggest', 'none', 'charge', 'button'] as const;
export const RADIO_SUPPLIES = ['converter', 'controller'] as const;

/** Packs with more cells than this are asked about when the file is read. */
export const MOST_CELLS = 20;
export const MOST_DRIVES = 8;

/** What a builder knows of a machine before anything is measured. */
export interface StarterFacts {
  readonly name: string;
  /** Cells in series, 1 to 20. */
  readonly cells: number;
  readonly chemistry: Chemistry;
  /** Charge of the whole pack. */
  readonly capacity: Quantity;
  /** Drive controllers, 1 to 8, and the rated motor current of each. */
  readonly drive: { readonly count: number; readonly rating: Quantity };
  /** Rated motor current of the controller of the weapon or arm; undefined where there is none. */
  readonly weapon: Quantity | undefined;
  /** One main switch, an isolator for each branch, or removable links. */
  readonly isolators: (typeof SWITCHES)[number];
  /** A charge position of each isolator, a push button across it, none, or left to the program. */
  readonly softStart: (typeof SOFT_STARTS)[number];
  /** Rated current; undefined leaves it to the program. */
  readonly fuse: Quantity | undefined;
  /** What feeds the radio: a DC-DC converter, or the supply inside the first drive controller. */
  readonly radioSupply: (typeof RADIO_SUPPLIES)[number];
}

/**
 * Holds facts to what a machine file can say without a question back.
 * @throws RangeError that names the fact, what was expected and what was found (NaN included)
 */
export function requireFacts(facts: StarterFacts): void {
  requireText('name', facts.name);
  requireWhole('cells', facts.cells, MOST_CELLS);
  requireWhole('drive', facts.drive.count, MOST_DRIVES);
  requireQuantity('capacity', facts.capacity, 'charge');
  requireQuantity('drive rating', facts.drive.rating, 'current');
  if (facts.weapon !== undefined) requireQuantity('weapon', facts.weapon, 'current');
  if (facts.fuse !== undefined) requireQuantity('fuse', facts.fuse, 'current');
  if (facts.isolators === 'links' && facts.softStart === 'charge') throw new RangeError(`soft start: ${LINK_CHARGE}`);
}

export const LINK_CHARGE = 'expected none or button, found charge: a link has no charge position';

/** Why a text cannot be the name of a machine, or undefined. */
export function nameTrouble(name: string): string | undefined {
  if (name.trim() === '') return 'nothing';
  if (name.trim().length > 80) return `${name.trim().length} characters`;
  return /[\p{Cc}\p{Cs}\u2028\u2029\uFEFF]/u.test(name) ? 'a character that cannot be printed' : undefined;
}

function requireText(what: string, text: string): void {
  const trouble = nameTrouble(text);
  if (trouble !== undefined) throw new RangeError(`${what}: expected 1 to 80 printable characters, found ${trouble}`);
}

function requireWhole(what: string, count: number, most: number): void {
  if (!(Number.isInteger(count) && count >= 1 && count <= most)) throw new RangeError(`${what}: expected a whole number from 1 to ${most}, got ${count}`);
}

function requireQuantity(what: string, { dimension, low }: Quantity, wanted: Quantity['dimension']): void {
  if (dimension !== wanted || !(low > 0)) throw new RangeError(`${what}: expected a ${wanted} above 0, got a ${dimension} of ${low}`);
}
