import { isBinary, type Expr, type ExpressionGraph } from '../expression.ts';
import type { System } from '../system.ts';
import { planFactors, type FactorPlan } from './ordering.ts';

/** What a kernel has to compute, as data. */
export interface KernelPlan {
  readonly graph: ExpressionGraph;
  readonly unknowns: number;
  /** Unknowns that are solved for; the quadratures behind them are only added up. */
  readonly states: number;
  /** Of them those that follow a differential equation come first. */
  readonly differential: number;
  readonly parameters: number;
  /** Sub-expressions of parameters alone; the k-th lives at p[parameters + k]. */
  readonly derived: readonly Expr[];
  readonly rates: readonly Expr[];
  readonly jacobian: readonly { readonly row: number; readonly column: number; readonly value: Expr; /** Place among the factors; −1 in a quadrature's row. */ readonly position: number }[];
  readonly timeSlopes: readonly Expr[];
  readonly watches: readonly Expr[];
  readonly stored: Expr;
  readonly factors: FactorPlan;
}

/**
 * Differentiates a system's equations, finds their pattern and the order of elimination. Systems of the same structure
 * share one plan: a change of a value, which is what a machine is mostly asked about, changes parameters alone.
 */
export function planKernel(system: System): KernelPlan {
  const key = structureOf(system);
  const known = plans.get(key);
  if (known !== undefined) return known;
  const plan = newPlan(system);
  if (plans.size >= PLANS_AT_MOST) plans.delete(plans.keys().next().value!);
  plans.set(key, plan);
  return plan;
}

const plans = new Map<string, KernelPlan>();
const PLANS_AT_MOST = 24;

/** Everything that a plan follows from: the graph as far as it was built, and which of its nodes mean what. */
function structureOf({ graph, equations, watches, stored, layout, unknowns, parameters }: System): string {
  const parts: (string | number)[] = [layout.differential, layout.states, parameters.length, stored];
  for (let e = 0; e < graph.size; e++) {
    const { operation, a, b, value } = graph.node(e as Expr);
    parts.push(operation, a, b, value);
  }
  parts.push('equations', ...equations, 'watches', ...watches.map((w) => w.expression), 'differential', ...unknowns.map((u) => Number(u.differential)));
  return parts.join(' ');
}

function newPlan(system: System): KernelPlan {
  const g = system.graph;
  const n = system.unknowns.length;
  const { states, differential } = system.layout;
  const entries: { row: number; column: number; value: Expr }[] = [];
  const pattern = system.equations.map((equation, row) => {
    const columns = new Set<number>();
    for (const column of [...g.unknownsOf(equation)].sort((x, y) => x - y)) {
      const value = g.derivative(equation, column);
      if (value === g.zero) continue;
      columns.add(column);
      entries.push({ row, column, value });
    }
    return columns;
  });
  const factors = planFactors(
    pattern.slice(0, states),
    system.unknowns.slice(0, states).map((u) => u.differential),
  );
  const timeSlopes = system.equations.map((equation) => g.derivative(equation, 'time'));
  const watches = system.watches.map((w) => w.expression);
  const outputs = [...system.equations, ...entries.map((e) => e.value), ...timeSlopes, ...watches, system.stored];
  return {
    graph: g,
    unknowns: n,
    states,
    differential,
    parameters: system.parameters.length,
    derived: derivedOf(g, outputs),
    rates: system.equations,
    jacobian: entries.map((e) => ({ ...e, position: e.row < states ? factors.position.get(e.row * states + e.column)! : -1 })),
    timeSlopes,
    watches,
    stored: system.stored,
    factors,
  };
}

/** The largest sub-expressions that depend on parameters alone, and what they are made of is theirs to compute. */
function derivedOf(g: ExpressionGraph, outputs: readonly Expr[]): Expr[] {
  const found = new Set<Expr>();
  const seen = new Set<Expr>();
  const visit = (e: Expr): void => {
    if (seen.has(e)) return;
    seen.add(e);
    const n = g.node(e);
    if (n.operation === 'constant' || n.operation === 'parameter' || n.operation === 'unknown' || n.operation === 'time') return;
    if (n.fixed) {
      found.add(e);
      return;
    }
    visit(n.a as Expr);
    if (isBinary(n.operation)) visit(n.b as Expr);
  };
  outputs.forEach(visit);
  return [...found].sort((x, y) => x - y);
}
