import type { Tableau } from './tableau.ts';

/**
 * Weights of a quadrature's stages. Its row of the stage equations has nothing of its own on the right but its memory,
 * U/γ − C U = h F, so U = h Γ F with Γ = (I/γ − C)⁻¹ and F the stages' integrands: the step adds h Σ bᵢ Fᵢ with
 * b = mᵀ Γ, m the weights with which the stages make the solution, and the error estimate is the last row of h Γ F.
 */
export function quadratureWeights(tableau: Tableau): { readonly solution: Float64Array; readonly estimate: Float64Array } {
  const known = made.get(tableau);
  if (known !== undefined) return known;
  const { stages: s, gamma, C, a } = tableau;
  // Γ is lower triangular: row i of (I/γ − C) Γ = I by substitution.
  const inverse = Array.from({ length: s }, () => new Float64Array(s));
  for (let column = 0; column < s; column++)
    for (let i = column; i < s; i++) {
      let sum = i === column ? 1 : 0;
      for (let j = column; j < i; j++) sum += (C[i - 1]![j] ?? 0) * inverse[j]![column]!;
      inverse[i]![column] = gamma * sum;
    }
  const lastRow = a[a.length - 1]!;
  const combined = Array.from({ length: s }, (_, j) => lastRow[j] ?? 1);
  const solution = Float64Array.from({ length: s }, (_, column) => combined.reduce((sum, weight, j) => sum + weight * inverse[j]![column]!, 0));
  const weights = { solution, estimate: inverse[s - 1]!.slice() };
  made.set(tableau, weights);
  return weights;
}

const made = new Map<Tableau, { readonly solution: Float64Array; readonly estimate: Float64Array }>();
