/** Refuses a value that is not a finite number above zero (NaN included). @throws RangeError */
export function requirePositive(value: number, name: string, unit: string): void {
  if (!(value > 0 && value < Infinity)) throw new RangeError(`${name}: expected above 0 ${unit}, got ${value}`);
}

/** Refuses a value that is not a finite number of zero or more (NaN included). @throws RangeError */
export function requireNotNegative(value: number, name: string, unit: string): void {
  if (!(value >= 0 && value < Infinity)) throw new RangeError(`${name}: expected 0 ${unit} or more, got ${value}`);
}

/** Refuses a value outside `low` to `high`, both included (NaN too). @throws RangeError */
export function requireWithin(value: number, low: number, high: number, name: string, unit: string): void {
  if (!(value >= low && value <= high)) {
    throw new RangeError(`${name}: expected ${low} to ${high} ${unit}, got ${value}`);
  }
}
