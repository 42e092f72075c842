import { Matrix, solve } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { planFactors } from '../../../src/engine/kernel/ordering.ts';
import { compile, nominalParameters } from '../../../src/engine/model.ts';
import { SystemBuilder, type System } from '../../../src/engine/system.ts';
import { sampler } from '../../../src/quantity/random.ts';

const SEED = 815;

/** y' = A y with a random sparse A; the diagonal stays free of positive entries, as in every circuit. */
function randomLinear(sample: number): { system: System; A: Matrix; n: number; next: () => number } {
  const next = sampler(SEED, sample);
  const wanted = 2 + Math.floor(next() * 38);
  const b = new SystemBuilder();
  const g = b.graph;
  const states = Array.from({ length: wanted }, (_, k) => b.state(`x${k}`, 'voltage', 0));
  const A = Matrix.zeros(wanted, wanted);
  for (let r = 0; r < wanted; r++) {
    if (next() < 0.8) A.set(r, r, -10 * next());
    for (let k = 0; k < 3; k++) if (next() < 0.7) A.set(r, Math.floor(next() * wanted), (next() < 0.5 ? -1 : 1) * 10 ** (4 * next() - 2));
  }
  states.forEach((state, r) => {
    const terms = states.flatMap((other, c) => (A.get(r, c) === 0 ? [] : [g.multiply(g.constant(A.get(r, c)), other.value)]));
    b.rate(state, g.sum(terms));
  });
  return { system: b.finish(1), A, n: wanted, next };
}

describe.each(['generated', 'interpreted'] as const)('%s factors, 200 random patterns, seed 815', (kernel) => {
  it('solve (diag(d) − J) x = b as a dense general-purpose library does', () => {
    for (let sample = 0; sample < 200; sample++) {
      const { system, A, n, next } = randomLinear(sample);
      const model = compile(system, kernel);
      const { plan } = model;
      const zeros = new Float64Array(plan.unknowns);
      const J = new Float64Array(plan.jacobian.length);
      model.kernel.ratesAndJacobian(0, zeros, nominalParameters(model), new Float64Array(plan.unknowns), J);
      // As large a diagonal as a short step has: pivots on the diagonal are then safe, which is what the order relies on.
      const d = new Float64Array(plan.unknowns).fill(1);
      for (let k = 0; k < n; k++) d[k] = 500 * (1 + next());
      const right = new Float64Array(plan.unknowns);
      for (let k = 0; k < n; k++) right[k] = 2 * next() - 1;
      const dense = Matrix.sub(Matrix.diag([...d.subarray(0, n)]), A);
      const want = solve(dense, Matrix.columnVector([...right.subarray(0, n)])).getColumn(0);
      // Whatever was among the factors before must not matter.
      const LU = new Float64Array(plan.factors.size).fill(NaN);
      model.kernel.factor(J, d, LU);
      model.kernel.solve(LU, right);
      const size = Math.max(...want.map(Math.abs));
      want.forEach((value, k) => expect(Math.abs(right[k]! - value), `sample ${sample}`).toBeLessThanOrEqual(1e-11 * size));
    }
  });
});

describe('Markowitz order', () => {
  const patternOf = (rows: readonly (readonly number[])[]) => rows.map((columns) => new Set(columns));

  it('eliminates an arrow from its tips, without fill', () => {
    // Everything touches unknown 0: eliminated first it would fill the whole matrix.
    const n = 8;
    const rows = Array.from({ length: n }, (_, r) => (r === 0 ? Array.from({ length: n }, (__, c) => c) : [0, r]));
    const plan = planFactors(patternOf(rows), rows.map(() => true));
    expect(plan.order.indexOf(0)).toBeGreaterThanOrEqual(n - 2);
    expect(plan.size).toBe(3 * n - 2);
  });

  it('eliminates every unknown once, and has room for every fill', () => {
    for (let sample = 0; sample < 100; sample++) {
      const next = sampler(SEED, 1000 + sample);
      const n = 3 + Math.floor(next() * 30);
      const rows = Array.from({ length: n }, (_, r) => [r, ...Array.from({ length: 3 }, () => Math.floor(next() * n))]);
      const plan = planFactors(patternOf(rows), rows.map(() => true));
      expect([...plan.order].sort((x, y) => x - y)).toEqual(rows.map((_, r) => r));
      for (const { pivot, rows: below, columns } of plan.pivots) {
        expect(plan.position.has(pivot * n + pivot)).toBe(true);
        for (const r of below) for (const c of columns) expect(plan.position.has(r * n + c)).toBe(true);
      }
      expect(new Set(plan.position.values()).size).toBe(plan.size);
    }
  });

  it('refuses a system with an unknown that no equation determines', () => {
    expect(() => planFactors(patternOf([[0], [0]]), [true, false])).toThrow(/no pivot left for unknowns 1/);
  });
});
