import { compile as compileFormula, derivative, parse } from 'mathjs';
import { describe, expect, it } from 'vitest';
import type { Expr, ExpressionGraph } from '../../../src/engine/expression.ts';
import { compile, nominalParameters } from '../../../src/engine/model.ts';
import { SystemBuilder } from '../../../src/engine/system.ts';
import { sampler } from '../../../src/quantity/random.ts';

const UNKNOWNS = 3;
const SEED = 4711;

/** The same random expression twice: in the engine's graph, and as a formula of x0 to x2, p0, p1 and t. */
interface Twin {
  readonly graph: Expr;
  readonly formula: string;
}

function randomTwin(g: ExpressionGraph, leaves: readonly Twin[], next: () => number, depth: number): Twin {
  if (depth === 0 || next() < 0.1) return leaves[Math.floor(next() * leaves.length)]!;
  const a = randomTwin(g, leaves, next, depth - 1);
  const b = (): Twin => randomTwin(g, leaves, next, depth - 1);
  const positive: Twin = { graph: g.add(g.one, g.square(a.graph)), formula: `(1 + (${a.formula})^2)` };
  const bounded: Twin = { graph: g.tanh(a.graph), formula: `tanh(${a.formula})` };
  const choice = Math.floor(next() * 8);
  switch (choice) {
    case 0: {
      const other = b();
      return { graph: g.add(a.graph, other.graph), formula: `(${a.formula} + ${other.formula})` };
    }
    case 1: {
      const other = b();
      return { graph: g.subtract(a.graph, other.graph), formula: `(${a.formula} - ${other.formula})` };
    }
    case 2: {
      const other = b();
      return { graph: g.multiply(a.graph, other.graph), formula: `(${a.formula} * ${other.formula})` };
    }
    case 3: {
      const other = b();
      return { graph: g.divide(other.graph, positive.graph), formula: `(${other.formula} / ${positive.formula})` };
    }
    case 4:
      return { graph: g.negate(a.graph), formula: `(-(${a.formula}))` };
    case 5:
      return { graph: g.sqrt(positive.graph), formula: `sqrt(${positive.formula})` };
    case 6:
      return { graph: g.exp(bounded.graph), formula: `exp(${bounded.formula})` };
    default:
      return bounded;
  }
}

/** Three equations of random expressions, with the formulas that say the same. */
function randomSystem(sample: number, depth: number) {
  const next = sampler(SEED, sample);
  const b = new SystemBuilder();
  const g = b.graph;
  const states = Array.from({ length: UNKNOWNS }, (_, k) => b.state(`x${k}`, 'voltage', 0));
  const parameters = [b.parameter('p0', 0.3 + next()), b.parameter('p1', -1 - next())];
  const leaves: Twin[] = [
    ...states.map((state, k) => ({ graph: state.value, formula: `x${k}` })),
    ...parameters.map((parameter, k) => ({ graph: parameter.value, formula: `p${k}` })),
    { graph: g.time, formula: 't' },
    { graph: g.constant(0.75), formula: '0.75' },
    { graph: g.constant(-2), formula: '(-2)' },
  ];
  const twins = states.map((state) => {
    const twin = randomTwin(g, leaves, next, depth);
    b.rate(state, twin.graph);
    return twin;
  });
  const system = b.finish(1);
  const y = new Float64Array(system.unknowns.length);
  for (let k = 0; k < UNKNOWNS; k++) y[k] = 2 * next() - 1;
  const t = next();
  const scope = { x0: y[0]!, x1: y[1]!, x2: y[2]!, p0: system.parameters[0]!.value, p1: system.parameters[1]!.value, t };
  return { system, formulas: twins.map((twin) => twin.formula), y, t, scope };
}

const near = (got: number, want: number, share: number): boolean => Math.abs(got - want) <= share * Math.max(1, Math.abs(want));

describe.each(['generated', 'interpreted'] as const)('%s kernel on 150 random expressions, seed 4711', (kernel) => {
  it('has the values, the derivatives by every unknown and by time that mathjs has', () => {
    let compared = 0;
    for (let sample = 0; sample < 50; sample++) {
      const { system, formulas, y, t, scope } = randomSystem(sample, 4);
      const model = compile(system, kernel);
      const { plan } = model;
      const p = nominalParameters(model);
      const f = new Float64Array(plan.unknowns);
      const onlyRates = new Float64Array(plan.unknowns);
      const slopes = new Float64Array(plan.unknowns);
      const J = new Float64Array(plan.jacobian.length);
      model.kernel.ratesAndJacobian(t, y, p, f, J);
      model.kernel.rates(t, y, p, onlyRates);
      model.kernel.timeSlopes(t, y, p, slopes);
      expect([...onlyRates]).toEqual([...f]);
      formulas.forEach((formula, row) => {
        const parsed = parse(formula);
        expect(near(f[row]!, compileFormula(formula).evaluate({ ...scope }) as number, 1e-12), formula).toBe(true);
        for (let column = 0; column < UNKNOWNS; column++) {
          const entry = plan.jacobian.findIndex((e) => e.row === row && e.column === column);
          const want = derivative(parsed, `x${column}`, { simplify: false }).evaluate({ ...scope }) as number;
          expect(near(entry < 0 ? 0 : J[entry]!, want, 1e-10), `${formula} by x${column}`).toBe(true);
          compared++;
        }
        expect(near(slopes[row]!, derivative(parsed, 't', { simplify: false }).evaluate({ ...scope }) as number, 1e-10), `${formula} by t`).toBe(true);
      });
    }
    expect(compared).toBe(450);
  });

  it('has the derivative of the diode function ω that differences show', () => {
    const next = sampler(SEED, 10_000);
    for (let sample = 0; sample < 200; sample++) {
      const b = new SystemBuilder();
      const g = b.graph;
      const x = b.state('x', 'voltage', 0);
      const z = b.state('z', 'voltage', 0);
      b.rate(x, g.omega(g.add(g.multiply(x.value, g.constant(1 + next())), g.multiply(x.value, z.value))));
      b.rate(z, g.zero);
      const model = compile(b.finish(1), kernel);
      const p = nominalParameters(model);
      const y = new Float64Array(model.plan.unknowns);
      y[0] = 40 * next() - 10;
      y[1] = next();
      const f = new Float64Array(model.plan.unknowns);
      const J = new Float64Array(model.plan.jacobian.length);
      model.kernel.ratesAndJacobian(0, y, p, f, J);
      for (const unknown of [0, 1]) {
        const h = 1e-4;
        const at = (offset: number): number => {
          const moved = Float64Array.from(y);
          moved[unknown]! += offset;
          model.kernel.rates(0, moved, p, f);
          return f[0]!;
        };
        const difference = (8 * (at(h) - at(-h)) - (at(2 * h) - at(-2 * h))) / (12 * h);
        const entry = model.plan.jacobian.findIndex((e) => e.row === 0 && e.column === unknown);
        // The table of ω is good to 1e-10 of its value, which over 1e-4 is 1e-6 of the slope.
        expect(near(J[entry]!, difference, 1e-5)).toBe(true);
      }
    }
  });
});
