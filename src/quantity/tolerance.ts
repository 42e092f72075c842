import { type Amount, amountToSI, finite, isTrouble, takeAmount, type Trouble } from './amount.ts';
import type { Dimension, Origin } from './kinds.ts';
import { type Cursor, quoted, take } from './scan.ts';
import { type Bounds, boundsAround } from './spread.ts';
import { timesPowerOfTen, toSI, type Unit } from './units.ts';

/** What has been read of a quantity so far. */
export interface Reading extends Bounds {
  readonly value: number;
  /** The unit the value was written in. */
  readonly unit: Unit | undefined;
  readonly perCell: boolean;
  /** A spread has been read. */
  readonly spread: boolean;
  readonly origin: Origin | undefined;
}

/** Which side of the value the sign just read opens. */
export type Side = 'both' | 'above' | 'below';

/** Reads what follows the sign: `20 %`, `0.2 mF`, and the other side in `-20 % +50 %` or `-20/+50 %`. */
export function takeTolerance(cursor: Cursor, dimension: Dimension, reading: Reading, side: Side): Reading | Trouble {
  if (reading.spread) return { trouble: 'two spreads' };
  const first = takeAmount(cursor, dimension);
  if (isTrouble(first)) return first;
  if (side === 'both') return withTolerance(dimension, reading, first, first);
  const back = cursor.at;
  take(cursor, '/', ',');
  const opposite = side === 'above' ? take(cursor, '-', '–') : take(cursor, '+');
  if (opposite === undefined) {
    cursor.at = back;
    if (side === 'above') return withTolerance(dimension, reading, undefined, first);
    if (first.unit?.symbol === '%') return withTolerance(dimension, reading, first, undefined);
    return {
      trouble: 'a minus sign after the value',
      hint: 'write "to" for a range, or both sides of a tolerance: "-0.2 mF +0.4 mF"',
    };
  }
  const second = takeAmount(cursor, dimension);
  if (isTrouble(second)) return second;
  const shared = first.unit === undefined ? { ...first, unit: second.unit } : first;
  return side === 'below' ? withTolerance(dimension, reading, shared, second) : withTolerance(dimension, reading, second, shared);
}

function withTolerance(
  dimension: Dimension, reading: Reading, below: Amount | undefined, above: Amount | undefined,
): Reading | Trouble {
  const down = distance(dimension, reading, below);
  if (typeof down !== 'number') return down;
  const up = distance(dimension, reading, above);
  if (typeof up !== 'number') return up;
  const bounds = boundsAround(reading.value, down, up);
  if (!Number.isFinite(bounds.low) || !Number.isFinite(bounds.high)) return { trouble: 'a tolerance too large to compute with' };
  const perCell = reading.perCell || below?.perCell === true || above?.perCell === true;
  return { ...reading, ...bounds, perCell, spread: true };
}

/** How far, in SI, one side of a tolerance reaches. */
function distance(dimension: Dimension, reading: Reading, amount: Amount | undefined): number | Trouble {
  if (amount === undefined) return 0;
  const { unit, written, decimal } = amount;
  if (unit?.symbol === '%') {
    if (dimension === 'temperature') {
      return { trouble: 'a percentage of a temperature', hint: 'write the spread in degrees, like "±5 K"' };
    }
    if (reading.unit?.symbol === '%') {
      return {
        trouble: 'a percentage of a percentage',
        hint: `${quoted(`±${written}`)} can be percentage points or a share of the value; write the range instead, like "80 to 90 %"`,
      };
    }
    return finite(Math.abs(reading.value) * timesPowerOfTen(decimal, -2), amount, reading.value === 0);
  }
  if (unit === undefined && reading.unit !== undefined && reading.unit.symbol !== '') {
    return { trouble: `${quoted(`±${written}`)} without a unit`, hint: `write "±${written} %" or "±${written} ${reading.unit.symbol}"` };
  }
  if (unit?.gauge === true) return { trouble: 'a tolerance in gauges', hint: 'write a range, like "8 to 10 AWG"' };
  if (unit?.dimension === 'temperature rise' && dimension === 'temperature') return finite(toSI(decimal, unit), amount);
  // A tolerance is a difference: the offset of a temperature scale has no place in it.
  return amountToSI(1, amount, unit === undefined ? undefined : { ...unit, offset: 0 }, dimension);
}
