import { generateKernel } from './kernel/generate.ts';
import { interpretKernel } from './kernel/interpret.ts';
import type { Kernel } from './kernel/kernel.ts';
import { planKernel, type KernelPlan } from './kernel/plan.ts';
import type { System } from './system.ts';

/** A circuit ready to run: analysed once, run any number of times with other parameters. */
export interface Model {
  readonly system: System;
  readonly plan: KernelPlan;
  readonly kernel: Kernel;
  readonly dependsOnTime: boolean;
}

/**
 * Compiles a system. Code is generated where the surroundings allow it; elsewhere the plan is interpreted
 * (same answers, several times slower).
 */
export function compile(system: System, kernel: 'generated' | 'interpreted' | 'best' = 'best'): Model {
  const plan = planKernel(system);
  return {
    system,
    plan,
    kernel: kernel === 'interpreted' ? interpretKernel(plan) : kernel === 'generated' ? generateKernel(plan) : bestKernel(plan),
    dependsOnTime: plan.timeSlopes.some((slope) => slope !== system.graph.zero),
  };
}

/** Parameters at their nominal values, with room for what is derived from them. */
export function nominalParameters(model: Model): Float64Array {
  const p = new Float64Array(model.plan.parameters + model.plan.derived.length);
  model.system.parameters.forEach((parameter, k) => (p[k] = parameter.value));
  model.kernel.prepare(p);
  return p;
}

function bestKernel(plan: KernelPlan): Kernel {
  try {
    return generateKernel(plan);
  } catch (error) {
    // A content policy that forbids generated code answers with an EvalError.
    if (error instanceof EvalError) return interpretKernel(plan);
    throw error;
  }
}
