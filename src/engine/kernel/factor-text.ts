import { inPieces, type Pieces } from './function-text.ts';
import type { KernelPlan } from './plan.ts';

/** Up to this many factors live in local variables; beyond it a function with that many is no longer optimised well. */
const LOCALS_AT_MOST = 400;

/** Right-looking elimination on the fixed pattern, from `J` and `d` into `L`; the diagonal keeps reciprocals. */
export function factorStatements(plan: KernelPlan): Pieces {
  const n = plan.states;
  const at = (r: number, c: number): number => plan.factors.position.get(r * n + c)!;
  const inLocals = fitsLocals(plan);
  const entry = (position: number): string => (inLocals ? `l${position}` : `L[${position}]`);
  const filled = new Map(plan.jacobian.flatMap((e, k) => (e.position < 0 ? [] : [[e.position, k] as const])));
  const diagonal = new Map(Array.from({ length: n }, (_, r) => [at(r, r), r]));
  const lines: string[] = [];
  for (let position = 0; position < plan.factors.size; position++) {
    const k = filled.get(position);
    const r = diagonal.get(position);
    const value = `${r === undefined ? '0' : `d[${r}]`}${k === undefined ? '' : ` - J[${k}]`}`;
    lines.push(`${inLocals ? 'let ' : ''}${entry(position)} = ${value};`);
  }
  for (const { pivot, rows, columns } of plan.factors.pivots) {
    const own = entry(at(pivot, pivot));
    lines.push(`${own} = 1 / ${own};`);
    for (const r of rows) {
      const multiplier = entry(at(r, pivot));
      lines.push(`${multiplier} = ${multiplier} * ${own};`);
      for (const c of columns) lines.push(`${entry(at(r, c))} -= ${multiplier} * ${entry(at(pivot, c))};`);
    }
  }
  if (!inLocals) return inPieces(lines);
  for (let position = 0; position < plan.factors.size; position++) lines.push(`L[${position}] = l${position};`);
  return [lines];
}

/** Solves in place in `b`. */
export function solveStatements(plan: KernelPlan): Pieces {
  if (!fitsLocals(plan)) return inPieces(substitutions(plan, (k) => `b[${k}]`));
  const unknowns = Array.from({ length: plan.states }, (_, k) => k);
  return [[...unknowns.map((k) => `let x${k} = b[${k}];`), ...substitutions(plan, (k) => `x${k}`), ...unknowns.map((k) => `b[${k}] = x${k};`)]];
}

/**
 * A whole stage in one go: its right-hand side from `f`, the memory `R` and, in a system that depends on time, the slopes
 * `ft`; its solution into `U`; and each quadrature's integrand f + (∂f/∂y) U, added to its sums with the weights `b` and `e`.
 */
export function stageStatements(plan: KernelPlan, timed: boolean): Pieces {
  const inLocals = fitsLocals(plan);
  const x = (k: number): string => (inLocals ? `x${k}` : `U[${k}]`);
  const slope = (k: number): string => (timed ? ` + slope * ft[${k}]` : '');
  const lines: string[] = [];
  for (let k = 0; k < plan.states; k++) lines.push(`${inLocals ? 'let ' : ''}${x(k)} = f[${k}]${k < plan.differential ? ` + R[${k}]` : ''}${slope(k)};`);
  lines.push(...substitutions(plan, x));
  if (inLocals) for (let k = 0; k < plan.states; k++) lines.push(`U[${k}] = x${k};`);
  const carried = new Map<number, string[]>();
  plan.jacobian.forEach((e, k) => {
    if (e.row >= plan.states) carried.set(e.row, [...(carried.get(e.row) ?? []), ` + J[${k}] * ${x(e.column)}`]);
  });
  for (let row = plan.states; row < plan.unknowns; row++)
    lines.push(`{ const g = f[${row}]${slope(row)}${(carried.get(row) ?? []).join('')}; gathered[${row}] += b * g; missed[${row}] += e * g; }`);
  return inLocals ? [lines] : inPieces(lines);
}

function fitsLocals(plan: KernelPlan): boolean {
  return plan.factors.size <= LOCALS_AT_MOST;
}

/** Forward and backward substitution with the factors in L. */
function substitutions(plan: KernelPlan, x: (k: number) => string): string[] {
  const at = (r: number, c: number): number => plan.factors.position.get(r * plan.states + c)!;
  const lines: string[] = [];
  for (const { pivot, rows } of plan.factors.pivots) for (const r of rows) lines.push(`${x(r)} -= L[${at(r, pivot)}] * ${x(pivot)};`);
  for (const { pivot, columns } of [...plan.factors.pivots].reverse()) {
    const terms = columns.map((c) => ` - L[${at(pivot, c)}] * ${x(c)}`).join('');
    lines.push(`${x(pivot)} = (${x(pivot)}${terms}) * L[${at(pivot, pivot)}];`);
  }
  return lines;
}
