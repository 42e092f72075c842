import { EigenvalueDecomposition, Matrix, inverse, solve } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { compile, nominalParameters } from '../../src/engine/model.ts';
import { Stepper } from '../../src/engine/stepper.ts';
import { SystemBuilder } from '../../src/engine/system.ts';
import { RODAS4, RODAS4P, RODAS5P, type Tableau } from '../../src/engine/tableau.ts';
import { external } from '../external.ts';

const methods = [RODAS4, RODAS4P, RODAS5P];
const orderSource = 'E. Hairer, G. Wanner, Solving Ordinary Differential Equations II, 2nd ed. 1996, section IV.7 (order conditions, Table 7.1) and VI.4 (index 1)';

/** The method in its classical coefficients: α, β = α + Γ, b. */
interface Classical {
  readonly alpha: number[][];
  readonly beta: number[][];
  readonly Gamma: number[][];
  readonly b: number[];
}

/** Γ = (I/γ − C)⁻¹, α = a Γ, b = m Γ (Hairer & Wanner, IV.7, eq. 7.25). */
function classical(method: Tableau): Classical {
  const s = method.stages;
  const C = Matrix.zeros(s, s);
  method.C.forEach((row, k) => row.forEach((value, j) => C.set(k + 1, j, value)));
  const a = Matrix.zeros(s + 1, s);
  method.a.forEach((row, k) => row.forEach((value, j) => a.set(k + 1, j, value)));
  // Each later argument, and the solution, is the argument before it plus that stage.
  for (let i = method.a.length + 1; i <= s; i++) {
    for (let j = 0; j < s; j++) a.set(i, j, a.get(i - 1, j));
    a.set(i, i - 1, a.get(i, i - 1) + 1);
  }
  const Gamma = inverse(Matrix.sub(Matrix.eye(s).div(method.gamma), C));
  const alphaAndB = a.mmul(Gamma);
  const alpha = alphaAndB.subMatrix(0, s - 1, 0, s - 1);
  return { alpha: alpha.to2DArray(), beta: Matrix.add(alpha, Gamma).to2DArray(), Gamma: Gamma.to2DArray(), b: alphaAndB.getRow(s) };
}

const rowSums = (m: readonly (readonly number[])[]): number[] => m.map((row) => row.reduce((sum, x) => sum + x, 0));
const times = (m: readonly (readonly number[])[], v: readonly number[]): number[] => m.map((row) => row.reduce((sum, x, j) => sum + x * v[j]!, 0));
const product = (...vs: readonly (readonly number[])[]): number[] => vs[0]!.map((_, i) => vs.reduce((all, v) => all * v[i]!, 1));
const dot = (x: readonly number[], y: readonly number[]): number => x.reduce((sum, v, i) => sum + v * y[i]!, 0);

/** Every condition of the ordinary part up to order 5 as [order, tree, sum, right-hand side]; one row per rooted tree. */
function conditions({ alpha, beta, b }: Classical): readonly (readonly [number, string, number, number])[] {
  const a1 = rowSums(alpha);
  const b1 = rowSums(beta);
  const bb = times(beta, b1);
  const a2 = product(a1, a1);
  return [
    [1, 'τ', dot(b, a1.map(() => 1)), 1],
    [2, '[τ]', dot(b, b1), 1 / 2],
    [3, '[τ,τ]', dot(b, a2), 1 / 3],
    [3, '[[τ]]', dot(b, bb), 1 / 6],
    [4, '[τ,τ,τ]', dot(b, product(a2, a1)), 1 / 4],
    [4, '[τ,[τ]]', dot(b, product(a1, times(alpha, b1))), 1 / 8],
    [4, '[[τ,τ]]', dot(b, times(beta, a2)), 1 / 12],
    [4, '[[[τ]]]', dot(b, times(beta, bb)), 1 / 24],
    [5, '[τ,τ,τ,τ]', dot(b, product(a2, a2)), 1 / 5],
    [5, '[τ,τ,[τ]]', dot(b, product(a2, times(alpha, b1))), 1 / 10],
    [5, '[[τ],[τ]]', dot(b, product(times(alpha, b1), times(alpha, b1))), 1 / 20],
    [5, '[τ,[τ,τ]]', dot(b, product(a1, times(alpha, a2))), 1 / 15],
    [5, '[τ,[[τ]]]', dot(b, product(a1, times(alpha, bb))), 1 / 30],
    [5, '[[τ,τ,τ]]', dot(b, times(beta, product(a2, a1))), 1 / 20],
    [5, '[[τ,[τ]]]', dot(b, times(beta, product(a1, times(alpha, b1)))), 1 / 40],
    [5, '[[[τ,τ]]]', dot(b, times(beta, times(beta, a2))), 1 / 60],
    [5, '[[[[τ]]]]', dot(b, times(beta, times(beta, bb))), 1 / 120],
  ];
}

/** Conditions of the algebraic part that are not among the ordinary ones, ω = β⁻¹. */
function algebraicConditions({ alpha, beta, b }: Classical): readonly (readonly [number, string, number, number])[] {
  const omega = inverse(new Matrix(beta)).to2DArray();
  const a1 = rowSums(alpha);
  const a2 = product(a1, a1);
  const ow = times(omega, a2);
  return [
    [2, 'b ω α²', dot(b, ow), 1],
    [3, 'b ω α³', dot(b, times(omega, product(a2, a1))), 1],
    [3, 'b ω α αβ', dot(b, times(omega, product(a1, times(alpha, rowSums(beta))))), 1 / 2],
    [4, 'b α α ω α²', dot(b, product(a1, times(alpha, ow))), 1 / 4],
  ];
}

describe.each(methods)('coefficients of $name', (method) => {
  const forms = classical(method);

  it('have row sums that agree with the nodes c and d', () => {
    rowSums(forms.alpha).forEach((sum, i) => expect(sum, `c ${i + 1}`).toBeCloseTo(method.c[i]!, 11));
    rowSums(forms.Gamma).forEach((sum, i) => expect(sum, `d ${i + 1}`).toBeCloseTo(method.d[i]!, 11));
  });

  it('meet every condition up to the order', () => {
    for (const [order, tree, sum, expected] of [...conditions(forms), ...algebraicConditions(forms)]) {
      if (order > method.order) continue;
      external({ source: orderSource, what: `${method.name}, condition of order ${order}: ${tree}`, expected, got: sum, unit: '1', absolute: 1e-11,
        note: 'coefficients are printed to about 15 digits, products of five of them lose four' });
    }
  });

  it('are no more than that: some condition of the next order fails', () => {
    const next = conditions(forms).filter(([order]) => order === method.order + 1);
    // The table ends at order 5, so the order-5 method is told by its measured order.
    if (method.order < 5) expect(next.some(([, , sum, expected]) => Math.abs(sum - expected) > 1e-5)).toBe(true);
    else expect(next).toHaveLength(0);
  });

  it('are stiffly accurate, A-stable on the imaginary axis, and vanish at infinity', () => {
    const { alpha, beta, b } = forms;
    expect(rowSums(alpha)[method.stages - 1]).toBeCloseTo(1, 11);
    b.forEach((weight, j) => expect(weight).toBeCloseTo(beta[method.stages - 1]![j]!, 11));
    for (let k = -40; k <= 60; k++) expect(growth(forms, 0, 10 ** (k / 20))).toBeLessThanOrEqual(1 + 1e-12);
    expect(growth(forms, -1e9, 0)).toBeLessThan(1e-6);
    const eigenvalues = new EigenvalueDecomposition(new Matrix(beta)).realEigenvalues;
    eigenvalues.forEach((value) => expect(value).toBeCloseTo(method.gamma, 2));
  });
});

/** |R(x + iy)|, R(z) = 1 + z bᵀ(I − z β)⁻¹ 1, as a real system of twice the size. */
function growth({ beta, b }: Classical, x: number, y: number): number {
  const s = b.length;
  const system = Matrix.zeros(2 * s, 2 * s);
  for (let i = 0; i < s; i++)
    for (let j = 0; j < s; j++) {
      const identity = i === j ? 1 : 0;
      system.set(i, j, identity - x * beta[i]![j]!);
      system.set(i, s + j, y * beta[i]![j]!);
      system.set(s + i, j, -y * beta[i]![j]!);
      system.set(s + i, s + j, identity - x * beta[i]![j]!);
    }
  const ones = Matrix.columnVector([...b.map(() => 1), ...b.map(() => 0)]);
  const k = solve(system, ones).getColumn(0);
  const re = dot(b, k.slice(0, s));
  const im = dot(b, k.slice(s));
  return Math.hypot(1 + x * re - y * im, x * im + y * re);
}

/** A problem with a known solution; the unknowns come first among those of the system. */
interface Problem {
  readonly name: string;
  readonly model: ReturnType<typeof compile>;
  readonly exact: (t: number) => readonly number[];
  readonly end_s: number;
  readonly steps: readonly number[];
}

/** y' = y (1 − y), y(0) = 1/5: y = 1/(1 + 4 e^−t). */
function logistic(): Problem {
  const b = new SystemBuilder();
  const y = b.state('y', 'voltage', 0.2);
  b.rate(y, b.graph.multiply(y.value, b.graph.subtract(b.graph.one, y.value)));
  return { name: 'logistic equation', model: compile(b.finish(1)), exact: (t) => [1 / (1 + 4 * Math.exp(-t))], end_s: 4, steps: [32, 48, 64, 96] };
}

/** y' = −2 t y², y(0) = 1: y = 1/(1 + t²). */
function bell(): Problem {
  const b = new SystemBuilder();
  const g = b.graph;
  const y = b.state('y', 'voltage', 1);
  b.rate(y, g.multiply(g.multiply(g.constant(-2), g.time), g.square(y.value)));
  return { name: 'y′ = −2 t y²', model: compile(b.finish(1)), exact: (t) => [1 / (1 + t * t)], end_s: 1.5, steps: [48, 64, 96, 128] };
}

/** y' = y z, 0 = 1 − (y + z)²: the logistic equation again, z = 1 − y. */
function split(): Problem {
  const b = new SystemBuilder();
  const g = b.graph;
  const y = b.state('y', 'voltage', 0.2);
  const z = b.node('z');
  b.join(z, b.reference);
  b.rate(y, g.multiply(y.value, z.voltage));
  b.inject(z, g.subtract(g.one, g.square(g.add(y.value, z.voltage))));
  const exact = (t: number): number[] => [1 / (1 + 4 * Math.exp(-t)), 1 - 1 / (1 + 4 * Math.exp(-t))];
  return { name: 'index 1, split logistic equation', model: compile(b.finish(1)), exact, end_s: 4, steps: [32, 48, 64, 96] };
}

/** y' = −2 t z/(1+t), 0 = z − (1+t) y²: y = 1/(1 + t²), z = (1+t)/(1 + t²)². */
function swept(): Problem {
  const b = new SystemBuilder();
  const g = b.graph;
  const y = b.state('y', 'voltage', 1);
  const z = b.node('z');
  b.join(z, b.reference);
  const later = g.add(g.one, g.time);
  b.rate(y, g.divide(g.multiply(g.multiply(g.constant(-2), g.time), z.voltage), later));
  b.inject(z, g.subtract(z.voltage, g.multiply(later, g.square(y.value))));
  const exact = (t: number): number[] => [1 / (1 + t * t), (1 + t) / (1 + t * t) ** 2];
  return { name: 'index 1, swept by time', model: compile(b.finish(1)), exact, end_s: 1.5, steps: [64, 96, 128, 192] };
}

/** y' = z e^t/(2y), 0 = e^−t + e^−3t √(1+t) − z − z³ y: y = √(1 + t), z = e^−t. */
function driven(): Problem {
  const b = new SystemBuilder();
  const g = b.graph;
  const y = b.state('y', 'voltage', 1);
  const z = b.node('z');
  b.join(z, b.reference);
  const decay = g.exp(g.negate(g.time));
  b.rate(y, g.divide(z.voltage, g.multiply(g.multiply(g.constant(2), y.value), decay)));
  const cube = g.multiply(z.voltage, g.square(z.voltage));
  const drive = g.add(decay, g.multiply(g.multiply(decay, g.square(decay)), g.sqrt(g.add(g.one, g.time))));
  b.inject(z, g.subtract(drive, g.add(z.voltage, g.multiply(cube, y.value))));
  return { name: 'index 1, driven by time', model: compile(b.finish(1)), exact: (t) => [Math.sqrt(1 + t), Math.exp(-t)], end_s: 2, steps: [12, 16, 24, 32] };
}

const problems = [logistic(), bell(), split(), swept()];

function startedStepper(problem: Problem, method: Tableau): Stepper {
  const stepper = new Stepper(problem.model, method, 1e-6);
  stepper.p.set(nominalParameters(problem.model));
  stepper.y.set(problem.exact(0));
  stepper.begin(0);
  return stepper;
}

/** Largest error of every unknown along the way with so many equal steps. */
function errorsAlong(problem: Problem, method: Tableau, steps: number): number[] {
  const stepper = startedStepper(problem, method);
  const h = problem.end_s / steps;
  const worst = problem.exact(0).map(() => 0);
  for (let k = 0; k < steps; k++) {
    stepper.attempt(k * h, h);
    stepper.accept();
    stepper.begin((k + 1) * h);
    problem.exact((k + 1) * h).forEach((value, i) => (worst[i] = Math.max(worst[i]!, Math.abs(stepper.y[i]! - value))));
  }
  return worst;
}

/** Largest error inside the first step, away from its ends. */
function denseErrors(problem: Problem, method: Tableau, h: number): number[] {
  const stepper = startedStepper(problem, method);
  stepper.attempt(0, h);
  const inside = new Float64Array(stepper.n);
  const worst = problem.exact(0).map(() => 0);
  for (let k = 1; k < 20; k++) {
    const theta = k / 20;
    stepper.interpolate(theta, inside);
    problem.exact(theta * h).forEach((value, i) => (worst[i] = Math.max(worst[i]!, Math.abs(inside[i]! - value))));
  }
  return worst;
}

/** Slope of log(error) over log(h), by least squares. */
function slope(steps: readonly number[], errors: readonly number[]): number {
  const x = steps.map((h) => Math.log(h));
  const y = errors.map((e) => Math.log(e));
  const mx = x.reduce((s, v) => s + v, 0) / x.length;
  const my = y.reduce((s, v) => s + v, 0) / y.length;
  return x.reduce((s, v, i) => s + (v - mx) * (y[i]! - my), 0) / x.reduce((s, v) => s + (v - mx) ** 2, 0);
}

describe.each(methods)('measured order of $name', (method) => {
  it.each(problems)('on $name', (problem) => {
    const h = problem.steps.map((steps) => problem.end_s / steps);
    const errors = problem.steps.map((steps) => errorsAlong(problem, method, steps));
    problem.exact(0).forEach((_, i) => {
      external({
        source: `nominal order: ${orderSource}`,
        what: `order of ${method.name} on ${problem.name}, unknown ${i + 1}`,
        expected: method.order,
        got: slope(h, errors.map((row) => row[i]!)),
        unit: '1',
        absolute: 0.2,
      });
    });
  });
});

/** Order of an interpolant from its local error, which is one order smaller than the global one. */
function denseOrder(problem: Problem, method: Tableau, unknown: number): number {
  const h = [0.1, 0.05, 0.025, 0.0125];
  return slope(h, h.map((step) => denseErrors(problem, method, step)[unknown]!)) - 1;
}

describe('dense output', () => {
  // Nominal for ordinary equations: RODAS of Hairer & Wanner and RODASP order 3, Rodas5P order 4 (Steinebach 2023).
  // Algebraic unknowns: one order less, measured here; events located on them need the real step that follows.
  it.each([
    [RODAS4, 3, 2],
    [RODAS4P, 3, 2],
    [RODAS5P, 4, 3],
  ] as const)('of $0.name has order %d, on algebraic unknowns %d', (method, order, algebraic) => {
    external({
      source: 'Hairer & Wanner 1996, VI.4; Steinebach 1995; Steinebach, BIT 63 (2023) 27',
      what: `order of the dense output of ${method.name}`,
      expected: order,
      got: denseOrder(logistic(), method, 0),
      unit: '1',
      absolute: 0.2,
    });
    expect(Math.abs(denseOrder(driven(), method, 1) - algebraic)).toBeLessThanOrEqual(0.2);
  });

  it.each(methods)('of $name meets both ends of the step', (method) => {
    const stepper = startedStepper(split(), method);
    stepper.attempt(0, 0.3);
    const out = new Float64Array(stepper.n);
    stepper.interpolate(0, out);
    expect([...out]).toEqual([...stepper.y]);
    stepper.interpolate(1, out);
    expect([...out]).toEqual([...stepper.yNew]);
  });
});

describe.each(methods)('damping by $name', (method) => {
  it('takes a stiff decay to its end in one step, and the algebraic unknown with it', () => {
    // y' = −1e10 (y − 1), 0 = y − z, from y = z = 5.
    const b = new SystemBuilder();
    const g = b.graph;
    const y = b.state('y', 'voltage', 5);
    const z = b.node('z');
    b.join(z, b.reference);
    b.rate(y, g.multiply(g.constant(-1e10), g.subtract(y.value, g.one)));
    b.inject(z, g.subtract(y.value, z.voltage));
    const model = compile(b.finish(1));
    const stepper = new Stepper(model, method, 1e-6);
    stepper.p.set(nominalParameters(model));
    stepper.y.set([5, 5]);
    stepper.begin(0);
    stepper.attempt(0, 1);
    expect(Math.abs(stepper.yNew[0]! - 1)).toBeLessThan(1e-7);
    expect(Math.abs(stepper.yNew[1]! - 1)).toBeLessThan(1e-7);
  });
});
