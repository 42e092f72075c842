import { omega, OMEGA_TABLE } from '../omega.ts';
import type { Tableau } from '../tableau.ts';
import { arrayTargets, derivedTargets, evaluation, jacobianTargets } from './evaluation-text.ts';
import { factorStatements, solveStatements } from './factor-text.ts';
import { functionText } from './function-text.ts';
import type { Kernel } from './kernel.ts';
import type { KernelPlan } from './plan.ts';
import { stepText } from './step-text.ts';
import type { BoundStep, StepArrays } from './step.ts';

/**
 * Turns a plan into straight-line functions. The text holds numbers and names of this folder's making only: nothing that
 * a user wrote can reach it. Functions are cut into pieces, because an engine never optimises one that is too long.
 *
 * Machines that differ in values alone share a plan and so a kernel, which the engine has then already optimised (the
 * first runs of a kernel cost a hundred times the later ones). A kernel keeps nothing between calls.
 */
export function generateKernel(plan: KernelPlan): Kernel {
  const made = known.get(plan) ?? newKernel(plan);
  known.set(plan, made);
  return made;
}

const known = new WeakMap<KernelPlan, Kernel>();

function newKernel(plan: KernelPlan): Kernel {
  const rates = evaluation(plan, arrayTargets(plan.rates, 'f'));
  const full = evaluation(plan, jacobianTargets(plan));
  const slopes = evaluation(plan, arrayTargets(plan.timeSlopes, 'f'));
  const factor = factorStatements(plan);
  const solve = solveStatements(plan);
  const text = [
    '"use strict";',
    ...functionText('prepare', 'p', evaluation(plan, derivedTargets(plan), { insideDerived: true })),
    ...functionText('rates', 't, y, p, f', rates),
    ...functionText('ratesAndJacobian', 't, y, p, f, J', full),
    ...functionText('timeSlopes', 't, y, p, f', slopes),
    ...functionText('watch', 't, y, p, w', evaluation(plan, arrayTargets(plan.watches, 'w'))),
    ...functionText('stored', 't, y, p, out', evaluation(plan, [{ value: plan.stored, target: 'out[0]' }])),
    ...functionText('factor', 'J, d, L', factor),
    ...functionText('solve', 'L, b', solve),
    'return { prepare, rates, ratesAndJacobian, timeSlopes, watch, stored, factor, solve };',
  ].join('\n');
  const scratch = (): Float64Array => new Float64Array(plan.graph.size);
  const make = new Function('omega', 'T', 'S', text) as (omegaFunction: typeof omega, table: Float64Array, scratch: Float64Array) => Omit<Kernel, 'bind'>;
  return {
    ...make(omega, OMEGA_TABLE, scratch()),
    bind(tableau: Tableau, arrays: StepArrays): BoundStep {
      const bound = new Function('omega', 'T', 'S', 'arrays', stepText({ plan, tableau, rates, full, slopes, factor, solve }));
      return (bound as (omegaFunction: typeof omega, table: Float64Array, scratch: Float64Array, arrays: StepArrays) => BoundStep)(omega, OMEGA_TABLE, scratch(), arrays);
    },
  };
}
