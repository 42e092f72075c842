import type { Dimension } from './kinds.ts';
import { nearest } from './nearest.ts';
import { type Cursor, isDigit, quoted, skipSpaces, takeNumber, wordsAhead } from './scan.ts';
import { dimensionName, findUnit, findUnitAnywhere, toSI, type Unit, unitSymbols } from './units.ts';

/** A number and its unit as they stand in a text, before they are turned into SI. */
export interface Amount {
  /** Unsigned decimal text, or a gauge such as `2/0`. */
  readonly decimal: string;
  /** Undefined when none is written. */
  readonly unit: Unit | undefined;
  readonly perCell: boolean;
  /** As written, for messages. */
  readonly written: string;
}

/** Why a text is no quantity: what stands there, and what to do about it. */
export interface Trouble {
  readonly trouble: string;
  readonly hint?: string;
}

export function isTrouble(outcome: object): outcome is Trouble {
  return 'trouble' in outcome;
}

/** Dimensions whose numbers need no unit. Money has none here: see `Quantity`. */
export const UNITLESS: ReadonlySet<Dimension> = new Set<Dimension>(['ratio', 'count', 'money']);

/** Dimensions whose bare 0 is not one value: 0 °C or 0 K, no metal or 0 AWG. */
const ZERO_NEEDS_UNIT: ReadonlySet<Dimension> = new Set<Dimension>(['temperature', 'area']);

/** Words that may follow a bare number without being its unit. */
const NO_UNIT = new Set(['to', 'per', '/', 'class', 'data', 'default', 'datasheet', 'measured', 'assumed', 'derived', 'stated']);

/** Multiplier letters of IEC 60062, in the place of the decimal point. */
const MULTIPLIERS: Partial<Record<Dimension, ReadonlyMap<string, number>>> = {
  resistance: new Map([['R', 0], ['k', 3], ['K', 3], ['M', 6], ['G', 9]]),
  capacitance: new Map([['p', -12], ['n', -9], ['u', -6], ['μ', -6], ['m', -3], ['F', 0]]),
};

/** Reads `2.2 mF`, `4k7`, `8 AWG`, `AWG 8`, `4 V per cell`, or a bare number. No sign. */
export function takeAmount(cursor: Cursor, dimension: Dimension): Amount | Trouble {
  skipSpaces(cursor);
  const start = cursor.at;
  const coded = takeCoded(cursor, dimension);
  if (coded !== undefined) return coded;
  const leadingGauge = takeLeadingGauge(cursor);

  let decimal = takeNumber(cursor);
  if (decimal === undefined) return { trouble: 'no number where one belongs' };
  const { text } = cursor;
  if (text[cursor.at] === ',' && isDigit(text, cursor.at + 1)) return ambiguousComma(text, start, cursor.at);
  if (text.startsWith('/0', cursor.at)) {
    decimal += '/0';
    cursor.at += 2;
  }
  if (leadingGauge !== undefined) {
    return { decimal, unit: leadingGauge, perCell: false, written: text.slice(start, cursor.at) };
  }
  const unit = takeUnit(cursor, dimension);
  if (isTrouble(unit)) return unit;
  return { decimal, ...unit, written: text.slice(start, cursor.at).trim() };
}

/** SI value of an amount in a unit, or why it has none in this dimension. */
export function amountToSI(sign: number, amount: Amount, unit: Unit | undefined, dimension: Dimension): number | Trouble {
  const { decimal, written } = amount;
  if (unit === undefined) {
    const zero = Number(decimal) === 0 && !ZERO_NEEDS_UNIT.has(dimension);
    const bare = UNITLESS.has(dimension) || zero ? findUnit('', dimension) ?? findUnit('', 'ratio') : undefined;
    if (bare === undefined) return { trouble: 'a number without a unit' };
    return finite(toSI(`${sign < 0 ? '-' : ''}${decimal}`, bare), amount);
  }
  if (unit.dimension !== dimension) return wrongDimension(unit, dimension);
  if (unit.gauge) {
    const section = toSI(decimal, unit);
    return sign > 0 && section > 0 ? section : { trouble: `${quoted(written)} is no wire gauge`, hint: 'gauges run from 4/0 (0000) to 40 AWG' };
  }
  return finite(toSI(`${sign < 0 ? '-' : ''}${decimal}`, unit), amount);
}

/** The value, unless it cannot be computed with; a number that only became zero by its smallness cannot. */
export function finite(value: number, { decimal }: Amount, zeroAllowed = false): number | Trouble {
  if (Number.isNaN(value)) return { trouble: `${quoted(decimal)} is no number here` };
  if (!Number.isFinite(value)) return { trouble: 'a number too large to compute with' };
  if (value === 0 && !zeroAllowed && /^[^eE]*[1-9]/.test(decimal)) return { trouble: 'a number too small to compute with' };
  return value === 0 ? 0 : value;
}

/** `k` in `4k7`, `R` in `R47`: resistors and capacitors marked per IEC 60062. */
function takeCoded(cursor: Cursor, dimension: Dimension): Amount | undefined {
  const multipliers = MULTIPLIERS[dimension];
  if (multipliers === undefined) return undefined;
  const { text } = cursor;
  let at = cursor.at;
  while (isDigit(text, at)) at += 1;
  const whole = text.slice(cursor.at, at);
  const exponent = multipliers.get(text.charAt(at));
  let end = at + 1;
  while (isDigit(text, end)) end += 1;
  const fraction = text.slice(at + 1, end);
  if (exponent === undefined || fraction === '') return undefined;
  const written = text.slice(cursor.at, end);
  cursor.at = end;
  const [name] = wordsAhead(cursor);
  if (name !== undefined && findUnit(name.word, dimension)?.exponent === 0) cursor.at = name.end;
  const rest = { factor: 1, offset: 0, gauge: false };
  return { decimal: `${whole || '0'}.${fraction}`, unit: { dimension, symbol: '', exponent, ...rest }, perCell: false, written };
}

function takeLeadingGauge(cursor: Cursor): Unit | undefined {
  if (cursor.text.slice(cursor.at, cursor.at + 3).toUpperCase() !== 'AWG') return undefined;
  cursor.at += 3;
  return findUnit('AWG', 'area');
}

function takeUnit(cursor: Cursor, dimension: Dimension): Pick<Amount, 'unit' | 'perCell'> | Trouble {
  const words = wordsAhead(cursor);
  const [first] = words;
  if (first === undefined) return { unit: undefined, perCell: false };
  const symbols = words.map((_, last) => canonical(words.slice(0, last + 1).map(({ word }) => word).join(' ')));
  for (let last = words.length - 1; last >= 0; last -= 1) {
    const symbol = symbols[last] ?? '';
    const perCell = symbol.endsWith('/cell');
    const bare = perCell ? symbol.slice(0, -'/cell'.length) : symbol;
    const unit = bare === '' ? undefined : findUnit(bare, dimension) ?? findUnitAnywhere(bare);
    if (unit === undefined) continue;
    cursor.at = words[last]?.end ?? cursor.at;
    return { unit, perCell };
  }
  if (NO_UNIT.has(first.word.toLowerCase()) || first.word === '/cell' || first.word.startsWith('..')) {
    return { unit: undefined, perCell: false };
  }
  return unknownUnit(first.word, dimension);
}

/** `kg m^2` → `kg·m²`, `V per cell` → `V/cell`. */
function canonical(words: string): string {
  return words
    .replace(/ per /g, '/')
    .replace(/ ?([/·]) ?/g, '$1')
    .replace(/ /g, '·')
    .replace(/([A-Za-z])\^?2(?![0-9])/g, '$1²');
}

function unknownUnit(word: string, dimension: Dimension): Trouble {
  const trouble = `the unknown unit ${quoted(word)}`;
  const meant = nearest(word.slice(0, 65), unitSymbols(dimension));
  if (meant !== undefined) return { trouble, hint: `did you mean "${meant}"?` };
  return { trouble, hint: `units of ${dimensionName(dimension)}: ${unitSymbols(dimension).slice(0, 4).join(', ')}` };
}

function ambiguousComma(text: string, start: number, comma: number): Trouble {
  let end = comma + 1;
  while (isDigit(text, end)) end += 1;
  const before = text.slice(start, comma);
  const after = text.slice(comma + 1, end);
  return {
    trouble: 'a comma inside the number',
    hint: `${quoted(`${before},${after}`)} can be read as ${quoted(`${before}.${after}`)} (decimal comma) or as ${quoted(before + after)} (comma between thousands); write the one that is meant`,
  };
}

function wrongDimension(unit: Unit, dimension: Dimension): Trouble {
  if (unit.gauge) return { trouble: 'a wire gauge, which is a cross-section' };
  const trouble = dimensionName(unit.dimension);
  if (dimension === 'temperature' && unit.dimension === 'temperature rise') {
    return { trouble, hint: 'a temperature is written in °C; K is for differences' };
  }
  if (dimension === 'temperature rise' && unit.dimension === 'temperature') {
    return { trouble, hint: 'a difference of temperatures is written in K' };
  }
  return { trouble };
}
