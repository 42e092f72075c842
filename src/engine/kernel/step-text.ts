import { quadratureWeights } from '../quadrature-weights.ts';
import type { Tableau } from '../tableau.ts';
import { stageStatements } from './factor-text.ts';
import { functionText, type Pieces } from './function-text.ts';
import type { KernelPlan } from './plan.ts';
import { argumentWeights } from './step.ts';

interface StepParts {
  readonly plan: KernelPlan;
  readonly tableau: Tableau;
  readonly rates: Pieces;
  readonly full: Pieces;
  readonly slopes: Pieces;
  readonly factor: Pieces;
  readonly solve: Pieces;
}

/**
 * Text of a step bound to its arrays. They are constants of the surrounding function, so that the engine knows their
 * lengths and leaves out the checks of every access; numbers cross a call in an array, because an argument would be boxed.
 * Tried without gain: a stage's combinations written out for every unknown instead of looped (within 2 % when hot, three
 * times the text to compile).
 */
export function stepText({ plan, tableau, rates, full, slopes, factor, solve }: StepParts): string {
  const timed = plan.timeSlopes.some((slope) => slope !== plan.graph.zero);
  const weights = quadratureWeights(tableau);
  return [
    '"use strict";',
    'const { y, yNew, p, f0, ft, J, d, X, R, F, gathered, missed, mass, absolute, relative } = arrays;',
    'const L = arrays.LU;',
    ...Array.from({ length: tableau.stages }, (_, i) => `const U${i} = arrays.U[${i}];`),
    'const passed = new Float64Array(4);',
    'const jacobian = (() => { const f = f0;',
    ...functionText('full', 't', full),
    'return full; })();',
    'const slopes = (() => { const f = ft;',
    ...functionText('slopes', 't', slopes),
    'return slopes; })();',
    'const rates = (() => { const y = X; const f = F;',
    ...functionText('rates', '', rates.map((lines) => (timed ? ['const t = passed[0];', ...lines] : lines))),
    'return rates; })();',
    ...functionText('factor', '', factor),
    ...functionText('solve', 'b', solve),
    ...functionText('stage', 'f, U', stageStatements(plan, timed).map((lines) => [`const b = passed[1]; const e = passed[2];${timed ? ' const slope = passed[3];' : ''}`, ...lines])),
    `function begin(t) { jacobian(t);${timed ? ' slopes(t);' : ''} }`,
    'function attempt(t, h) {',
    `const inverse = 1 / (h * ${tableau.gamma});`,
    'const perStep = 1 / h;',
    `for (let k = 0; k < ${plan.differential}; k++) { d[k] = mass[k] * inverse; R[k] = 0; }`,
    `for (let k = ${plan.differential}; k < ${plan.states}; k++) d[k] = 0;`,
    `for (let k = ${plan.states}; k < ${plan.unknowns}; k++) { gathered[k] = 0; missed[k] = 0; }`,
    'factor();',
    ...Array.from({ length: tableau.stages }, (_, i) => [
      ...(i === 0 ? [] : combination(plan, tableau, i)),
      ...(timed ? [`passed[0] = t + ${tableau.c[i]} * h; passed[3] = ${tableau.d[i]} * h;`] : []),
      `passed[1] = ${weights.solution[i]}; passed[2] = ${weights.estimate[i]};`,
      ...(i === 0 ? ['stage(f0, U0);'] : ['rates();', `stage(F, U${i});`]),
    ]).flat(),
    ...errorNorm(plan, tableau),
    '}',
    'return { begin, attempt, factor, solve };',
  ].join('\n');
}

/** A stage's argument X = y + Σ aⱼ Uⱼ and its memory R = M (Σ Cⱼ Uⱼ)/h from the stages before it, in one pass. */
function combination(plan: KernelPlan, tableau: Tableau, stage: number): string[] {
  const a = argumentWeights(tableau, stage);
  const c = tableau.C[stage - 1]!;
  const last = stage - 1;
  const used = a === undefined ? [last] : a.map((_, j) => j);
  const read = (j: number): string => `const u${j} = U${j}[k];`;
  const argument = `X[k] = ${a === undefined ? `X[k] + u${last}` : `y[k]${a.map((weight, j) => ` + (${weight}) * u${j}`).join('')}`};`;
  return [
    `for (let k = 0; k < ${plan.differential}; k++) {`,
    ...c.map((_, j) => read(j)),
    argument,
    `R[k] = mass[k] * perStep * (${c.map((weight, j) => `(${weight}) * u${j}`).join(' + ')});`,
    '}',
    `for (let k = ${plan.differential}; k < ${plan.states}; k++) {`,
    ...used.map(read),
    argument,
    '}',
  ];
}

function errorNorm(plan: KernelPlan, tableau: Tableau): string[] {
  const share = 'const share = error / (absolute[k] + tolerance * Math.max(Math.abs(y[k]), Math.abs(reached))); sum += share * share; }';
  return [
    'const tolerance = relative[0];',
    'let sum = 0;',
    `for (let k = 0; k < ${plan.states}; k++) { const error = U${tableau.stages - 1}[k]; const reached = X[k] + error; yNew[k] = reached; ${share}`,
    `for (let k = ${plan.states}; k < ${plan.unknowns}; k++) { const error = h * missed[k]; const reached = y[k] + h * gathered[k]; yNew[k] = reached; ${share}`,
    `return Math.sqrt(sum / ${plan.unknowns});`,
  ];
}
