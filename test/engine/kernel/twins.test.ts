import { describe, expect, it } from 'vitest';
import { compile, nominalParameters, type Model } from '../../../src/engine/model.ts';
import type { System } from '../../../src/engine/system.ts';
import { sampler } from '../../../src/quantity/random.ts';
import { randomCircuit } from '../random-circuits.ts';
import { k1, k2, referenceData, type K1Data, type K2Data } from '../reference-circuits.ts';
import { attemptRun } from '../running.ts';

const k1Model = (): Model => k1(referenceData<K1Data>('k1')).model;
const k2Model = (): Model => k2(referenceData<K2Data>('k2'), 47).model;

/** Everything that a kernel computes at one random point, as one list. */
function outputs(model: Model, next: () => number): number[] {
  const { plan, kernel } = model;
  const p = nominalParameters(model);
  const y = Float64Array.from({ length: plan.unknowns }, () => 60 * next() - 10);
  const d = Float64Array.from({ length: plan.unknowns }, () => 1e4 * next());
  const vector = (): Float64Array => new Float64Array(plan.unknowns);
  const [rates, again, slopes, right] = [vector(), vector(), vector(), Float64Array.from(y)];
  const J = new Float64Array(plan.jacobian.length);
  const w = new Float64Array(plan.watches.length);
  const stored = new Float64Array(1);
  const LU = new Float64Array(plan.factors.size);
  const t = next();
  kernel.rates(t, y, p, rates);
  kernel.ratesAndJacobian(t, y, p, again, J);
  kernel.timeSlopes(t, y, p, slopes);
  kernel.watch(t, y, p, w);
  kernel.stored(t, y, p, stored);
  kernel.factor(J, d, LU);
  kernel.solve(LU, right);
  return [p, rates, again, J, slopes, w, stored, LU, right].flatMap((part) => [...part]);
}

describe('generated and interpreted kernels', () => {
  it.each([
    ['K1', k1Model],
    ['K2', k2Model],
    ...[1, 2, 3, 4, 5, 6, 7, 8].map((seed): [string, () => Model] => [`random circuit, seed 20261125/${seed}`, () => randomCircuit(seed).model]),
  ])('have identical bits: %s', (_, build) => {
    const { system } = build();
    const generated = compile(system, 'generated');
    const interpreted = compile(system, 'interpreted');
    for (let sample = 0; sample < 20; sample++)
      expect(outputs(interpreted, sampler(99, sample))).toEqual(outputs(generated, sampler(99, sample)));
  });

  it.each([1, 2, 3, 4, 5, 6])('carry a whole run to identical bits: random circuit, seed 20261125/%d', (seed) => {
    const ends = (['generated', 'interpreted'] as const).map((kernel) => {
      const { model, automata, script, end_s } = randomCircuit(seed, kernel);
      const outcome = attemptRun({ model, automata, script, end_s, tolerance: 1e-5 });
      return outcome.status === 'done' ? [...outcome.result.unknowns] : expect.fail(outcome.refusal.cause);
    });
    expect(ends[1]).toEqual(ends[0]);
  });
});

const HOSTILE = ["');process.exit(1);//", '`${process.exit(1)}`', '*/ process.exit(1) /*', '\u2028process.exit(1)', '__proto__', 'constructor', 'omega', ''];

/** The same equations under other names. */
function renamed(system: System, name: (k: number) => string): System {
  return {
    ...system,
    unknowns: system.unknowns.map((unknown, k) => ({ ...unknown, name: name(k) })),
    parameters: system.parameters.map((parameter, k) => ({ ...parameter, name: name(k + 1) })),
    watches: system.watches.map((watch, k) => ({ ...watch, name: name(k + 2) })),
  };
}

const FUNCTIONS = ['prepare', 'rates', 'ratesAndJacobian', 'timeSlopes', 'watch', 'stored', 'factor', 'solve'] as const;

describe('the text of a generated kernel', () => {
  it.each([
    ['K1', k1Model],
    ['K2', k2Model],
  ])('holds no name from the system: %s', (_, build) => {
    const { system } = build();
    const plain = compile(renamed(system, (k) => `name ${k}`), 'generated');
    const hostile = compile(renamed(system, (k) => HOSTILE[k % HOSTILE.length]!), 'generated');
    for (const name of FUNCTIONS) {
      const text = hostile.kernel[name].toString();
      expect(text.length).toBeGreaterThan(20);
      expect(text).toBe(plain.kernel[name].toString());
      expect(text).not.toMatch(/process|__proto__|constructor|name/);
      // Numbers, brackets, arithmetic, and the words that the generator itself writes.
      const words = new Set(text.match(/[A-Za-z_$][\w$]*/g)?.filter((word) => !/^[a-z]\d+$/.test(word)));
      const own = ['function', name, 'let', 't', 'y', 'p', 'f', 'J', 'w', 'out', 'L', 'b', 'd', 'm', 'S', 'const', 'Math', 'sqrt', 'exp', 'tanh', 'omega', 'e', 'x', 'if', 'else', 'i', 'a', 'T', 'U', 'g', 'slope', 'ft', 'R', 'gathered', 'missed', 'gather'];
      expect([...words].filter((word) => !own.includes(word))).toEqual([]);
    }
  });

  it('gives a circuit with hostile names the same numbers', () => {
    const { system } = k2Model();
    const hostile = compile(renamed(system, (k) => HOSTILE[k % HOSTILE.length]!), 'generated');
    expect(outputs(hostile, sampler(99, 0))).toEqual(outputs(compile(system, 'generated'), sampler(99, 0)));
  });
});
