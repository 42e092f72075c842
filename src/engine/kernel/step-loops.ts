import { quadratureWeights } from '../quadrature-weights.ts';
import type { Tableau } from '../tableau.ts';
import type { Kernel } from './kernel.ts';
import type { KernelPlan } from './plan.ts';
import { argumentWeights, type BoundStep, type StepArrays } from './step.ts';

/** The step of `step-text.ts` in loops, for places that forbid generating code: the same operations in the same order. */
export function loopedStep(plan: KernelPlan, kernel: Omit<Kernel, 'bind'>, tableau: Tableau, arrays: StepArrays): BoundStep {
  const { y, yNew, p, f0, ft, J, d, LU, X, R, F, U, gathered, missed, mass, absolute, relative } = arrays;
  const { unknowns, states, differential } = plan;
  const weights = quadratureWeights(tableau);
  const timed = plan.timeSlopes.some((slope) => slope !== plan.graph.zero);
  const carried = plan.jacobian.flatMap((e, k) => (e.row < states ? [] : [{ row: e.row, column: e.column, k }]));
  const integrand = new Float64Array(unknowns);

  const solveStage = (f: Float64Array, slope: number, stage: Float64Array): void => {
    for (let k = 0; k < states; k++) {
      const right = k < differential ? f[k]! + R[k]! : f[k]!;
      stage[k] = timed ? right + slope * ft[k]! : right;
    }
    kernel.solve(LU, stage);
  };

  const gather = (f: Float64Array, slope: number, stage: Float64Array, i: number): void => {
    for (let row = states; row < unknowns; row++) integrand[row] = timed ? f[row]! + slope * ft[row]! : f[row]!;
    for (const { row, column, k } of carried) integrand[row]! += J[k]! * stage[column]!;
    for (let row = states; row < unknowns; row++) {
      gathered[row]! += weights.solution[i]! * integrand[row]!;
      missed[row]! += weights.estimate[i]! * integrand[row]!;
    }
  };

  const combine = (i: number, perStep: number): void => {
    const a = argumentWeights(tableau, i);
    const c = tableau.C[i - 1]!;
    for (let k = 0; k < states; k++) {
      let argument = a === undefined ? X[k]! + U[i - 1]![k]! : y[k]!;
      if (a !== undefined) for (let j = 0; j < a.length; j++) argument += a[j]! * U[j]![k]!;
      X[k] = argument;
      if (k >= differential) continue;
      let memory = c[0]! * U[0]![k]!;
      for (let j = 1; j < c.length; j++) memory += c[j]! * U[j]![k]!;
      R[k] = mass[k]! * perStep * memory;
    }
  };

  /** Adds an unknown's share of the error to a sum of squares. */
  const share = (error: number, k: number): number => {
    const part = error / (absolute[k]! + relative[0]! * Math.max(Math.abs(y[k]!), Math.abs(yNew[k]!)));
    return part * part;
  };

  return {
    begin(t) {
      kernel.ratesAndJacobian(t, y, p, f0, J);
      if (timed) kernel.timeSlopes(t, y, p, ft);
    },
    attempt(t, h) {
      const inverse = 1 / (h * tableau.gamma);
      d.fill(0);
      for (let k = 0; k < differential; k++) d[k] = mass[k]! * inverse;
      R.fill(0);
      gathered.fill(0);
      missed.fill(0);
      kernel.factor(J, d, LU);
      for (let i = 0; i < tableau.stages; i++) {
        const f = i === 0 ? f0 : F;
        if (i > 0) {
          combine(i, 1 / h);
          kernel.rates(t + tableau.c[i]! * h, X, p, F);
        }
        solveStage(f, tableau.d[i]! * h, U[i]!);
        gather(f, tableau.d[i]! * h, U[i]!, i);
      }
      const last = U[tableau.stages - 1]!;
      let sum = 0;
      for (let k = 0; k < states; k++) {
        yNew[k] = X[k]! + last[k]!;
        sum += share(last[k]!, k);
      }
      for (let k = states; k < unknowns; k++) {
        yNew[k] = y[k]! + h * gathered[k]!;
        sum += share(h * missed[k]!, k);
      }
      return Math.sqrt(sum / unknowns);
    },
    factor() {
      kernel.factor(J, d, LU);
    },
    solve(b) {
      kernel.solve(LU, b);
    },
  };
}
