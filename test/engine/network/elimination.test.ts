import fc from 'fast-check';
import { Matrix, solve } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { backSolve, factorise, planElimination } from '../../../src/engine/network/elimination.ts';
import { external } from '../../external.ts';

interface Case {
  readonly size: number;
  readonly pairs: readonly (readonly [number, number])[];
  readonly entries: readonly number[];
}

/** Patterns from a chain to nearly full, with entries that are not symmetric. */
const CASES: fc.Arbitrary<Case> = fc.integer({ min: 1, max: 30 }).chain((size) =>
  fc.record({
    size: fc.constant(size),
    pairs: fc.array(fc.tuple(fc.nat(size - 1), fc.nat(size - 1)), { maxLength: 3 * size }),
    entries: fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 8 * size, maxLength: 8 * size }),
  }));

/** Largest difference of the two solutions over the largest entry of the solution. */
function deviation({ size, pairs, entries }: Case): number {
  const plan = planElimination(size, pairs);
  const dense = Matrix.zeros(size, size);
  const values = new Float64Array(plan.values);
  let next = 0;
  const entry = (): number => entries[next++ % entries.length]!;
  const put = (row: number, column: number, value: number): void => {
    dense.set(row, column, dense.get(row, column) + value);
    values[plan.slot(row, column)]! += value;
  };
  for (const [a, b] of pairs) {
    if (a === b) continue;
    put(a, b, entry());
    put(b, a, entry());
  }
  // Rows that outweigh the rest of themselves, as those of a circuit do.
  for (let k = 0; k < size; k++) put(k, k, 1 + dense.getRow(k).reduce((sum, value) => sum + Math.abs(value), 0));
  const right = Float64Array.from({ length: size }, entry);
  const expected = solve(dense, Matrix.columnVector([...right])).getColumn(0);
  factorise(plan, values);
  backSolve(plan, values, right, new Float64Array(size));
  const most = Math.max(1e-30, ...expected.map(Math.abs));
  return Math.max(...expected.map((x, k) => Math.abs(x - right[k]!))) / most;
}

describe('elimination', () => {
  // Tolerance: rounding of two orders of elimination over at most 30 unknowns.
  it('solves 300 random matrices as a general-purpose library does (seed 41)', () => {
    let worst = 0;
    fc.assert(fc.property(CASES, (one) => {
      worst = Math.max(worst, deviation(one));
    }), { seed: 41, numRuns: 300 });
    external({
      source: 'ml-matrix, dense LU decomposition with partial pivoting',
      what: 'elimination of 300 random sparse matrices of up to 30 unknowns: largest deviation over the largest unknown',
      expected: 0, got: worst, unit: '', absolute: 1e-12,
    });
  });

  it('knows no entry outside its pattern and what fills in', () => {
    const plan = planElimination(4, [[0, 1], [2, 3]]);
    expect(() => plan.slot(0, 2)).toThrow('no entry (0, 2)');
    expect(plan.slot(1, 0)).not.toBe(plan.slot(0, 1));
  });
});
