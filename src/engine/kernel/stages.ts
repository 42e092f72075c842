import type { Tableau } from '../tableau.ts';

/**
 * Forms what a stage needs from the stages before it, in one pass over the unknowns:
 * its argument X = y + Σ aⱼ Uⱼ for all states and its memory R = M (Σ Cⱼ Uⱼ)/h for the differential ones, which come first.
 */
export type StageCombination = (
  U: readonly Float64Array[], y: Float64Array, X: Float64Array, R: Float64Array, mass: Float64Array, perStep: number, differential: number, states: number,
) => void;

/** One combination per stage after the first. Generated where the surroundings allow it, looped elsewhere. */
export function stageCombinations(tableau: Tableau): readonly StageCombination[] {
  const known = made.get(tableau);
  if (known !== undefined) return known;
  let built: StageCombination[];
  try {
    built = stagesOf(tableau).map(({ a, c }) => generated(a, c));
  } catch (error) {
    if (!(error instanceof EvalError)) throw error;
    built = stagesOf(tableau).map(({ a, c }) => looped(a, c));
  }
  made.set(tableau, built);
  return built;
}

const made = new Map<Tableau, readonly StageCombination[]>();

/** Weights of each stage after the first; `a` is missing where the argument is the one before plus its U. */
function stagesOf(tableau: Tableau): { a: readonly number[] | undefined; c: readonly number[] }[] {
  return tableau.C.map((c, k) => ({ a: tableau.a[k], c }));
}

function generated(a: readonly number[] | undefined, c: readonly number[]): StageCombination {
  const names = c.map((_, j) => `u${j}`);
  const argument = a === undefined ? `X[k] + ${names[names.length - 1]}` : `y[k]${a.map((weight, j) => ` + (${weight}) * u${j}`).join('')}`;
  const memory = c.map((weight, j) => `(${weight}) * u${j}`).join(' + ');
  const text = [
    '"use strict";',
    ...names.map((_, j) => `const U${j} = U[${j}];`),
    'for (let k = 0; k < differential; k++) {',
    ...names.map((name, j) => `const ${name} = U${j}[k];`),
    `X[k] = ${argument};`,
    `R[k] = mass[k] * perStep * (${memory});`,
    '}',
    'for (let k = differential; k < states; k++) {',
    ...(a === undefined ? [names[names.length - 1]!] : names.slice(0, a.length)).map((name) => `const ${name} = U${name.slice(1)}[k];`),
    `X[k] = ${argument};`,
    '}',
  ].join('\n');
  return new Function('U', 'y', 'X', 'R', 'mass', 'perStep', 'differential', 'states', text) as StageCombination;
}

function looped(a: readonly number[] | undefined, c: readonly number[]): StageCombination {
  return (U, y, X, R, mass, perStep, differential, states) => {
    for (let k = 0; k < states; k++) {
      let memory = 0;
      if (k < differential) for (let j = 0; j < c.length; j++) memory += c[j]! * U[j]![k]!;
      let argument = a === undefined ? X[k]! + U[c.length - 1]![k]! : y[k]!;
      if (a !== undefined) for (let j = 0; j < a.length; j++) argument += a[j]! * U[j]![k]!;
      X[k] = argument;
      if (k < differential) R[k] = mass[k]! * perStep * memory;
    }
  };
}
