import { isBinary, type Expr } from '../expression.ts';
import { PIECES_PER_UNIT, TABLE_END, TABLE_START, TERMS } from '../omega.ts';
import { STATEMENTS_PER_FUNCTION, type Pieces } from './function-text.ts';
import type { KernelPlan } from './plan.ts';

export interface Target {
  readonly value: Expr;
  readonly target: string;
}

const INLINE_DEPTH = 6;

export function arrayTargets(values: readonly Expr[], name: string): Target[] {
  return values.map((value, k) => ({ value, target: `${name}[${k}]` }));
}

export function derivedTargets(plan: KernelPlan): Target[] {
  return plan.derived.map((value, k) => ({ value, target: `p[${plan.parameters + k}]` }));
}

export function jacobianTargets(plan: KernelPlan): Target[] {
  const targets: Target[] = [];
  let next = 0;
  plan.rates.forEach((value, row) => {
    targets.push({ value, target: `f[${row}]` });
    for (; next < plan.jacobian.length && plan.jacobian[next]!.row === row; next++)
      targets.push({ value: plan.jacobian[next]!.value, target: `J[${next}]` });
  });
  return targets;
}

/** Statements that assign every target; they read `t`, `y` and `p`, and hand values from piece to piece in `S`. */
export function evaluation(
  plan: KernelPlan,
  targets: readonly Target[],
  options: { readonly insideDerived: boolean } = { insideDerived: false },
): Pieces {
  const g = plan.graph;
  const derivedAt = new Map(plan.derived.map((e, k) => [e, `p[${plan.parameters + k}]`]));
  const uses = countUses(plan, targets, options.insideDerived);
  const pieces: { readonly lines: string[]; readonly read: Set<Expr> }[] = [{ lines: [], read: new Set() }];
  const definedIn = new Map<Expr, number>();
  const crossing = new Set<Expr>();
  const depthOf = new Map<Expr, number>();

  const place = (e: Expr): string | undefined => {
    const n = g.node(e);
    if (n.operation === 'unknown') return `y[${n.a}]`;
    if (n.operation === 'parameter') return `p[${n.a}]`;
    if (n.fixed && !options.insideDerived) return derivedAt.get(e);
    return undefined;
  };

  const leaf = (e: Expr): string | undefined => {
    const n = g.node(e);
    if (n.operation === 'constant') return n.value < 0 ? `(${numberText(n.value)})` : numberText(n.value);
    if (n.operation === 'time') return 't';
    const from = place(e);
    if (from === undefined || (uses.get(e) ?? 0) < 2) return from;
    // Read once into a local: the engine cannot know that a store to the results leaves y and p alone.
    const piece = pieces[pieces.length - 1]!;
    if (!piece.read.has(e)) {
      piece.read.add(e);
      piece.lines.push(`const r${e} = ${from};`);
    }
    return `r${e}`;
  };

  const reference = (e: Expr): string => {
    const at = leaf(e);
    if (at !== undefined) return at;
    const piece = pieces.length - 1;
    const home = definedIn.get(e);
    if (home !== undefined) {
      if (home === piece) return `v${e}`;
      crossing.add(e);
      return `S[${e}]`;
    }
    if (g.node(e).operation === 'omega') {
      const argument = reference(g.node(e).a as Expr);
      const here = pieces.length - 1;
      pieces[here]!.lines.push(omegaLine(e, argument));
      definedIn.set(e, here);
      return `v${e}`;
    }
    if ((uses.get(e) ?? 0) > 1 || (depthOf.get(e) ?? depth(e)) > INLINE_DEPTH) {
      const body = operationText(e);
      const here = pieces.length - 1;
      pieces[here]!.lines.push(`const v${e} = ${body};`);
      definedIn.set(e, here);
      return `v${e}`;
    }
    return `(${operationText(e)})`;
  };

  const depth = (e: Expr): number => {
    const { operation } = g.node(e);
    if (operation === 'constant' || operation === 'time' || place(e) !== undefined) return 0;
    if (operation === 'omega' || definedIn.has(e) || (uses.get(e) ?? 0) > 1) return 0;
    const known = depthOf.get(e);
    if (known !== undefined) return known;
    const n = g.node(e);
    const found = 1 + Math.max(depth(n.a as Expr), isBinary(n.operation) ? depth(n.b as Expr) : 0);
    depthOf.set(e, found);
    return found;
  };

  const operationText = (e: Expr): string => {
    const n = g.node(e);
    const a = reference(n.a as Expr);
    switch (n.operation) {
      case 'add':
        return `${a} + ${reference(n.b as Expr)}`;
      case 'subtract':
        return `${a} - ${reference(n.b as Expr)}`;
      case 'multiply':
        return `${a} * ${reference(n.b as Expr)}`;
      case 'divide':
        return `${a} / ${reference(n.b as Expr)}`;
      case 'negate':
        return `-${a}`;
      case 'sqrt':
      case 'exp':
      case 'tanh':
        return `Math.${n.operation}(${a})`;
      default:
        throw new Error(`operation ${n.operation} has no text`);
    }
  };

  for (const { value, target } of targets) {
    if (pieces[pieces.length - 1]!.lines.length >= STATEMENTS_PER_FUNCTION) pieces.push({ lines: [], read: new Set() });
    const text = reference(value);
    pieces[pieces.length - 1]!.lines.push(`${target} = ${text};`);
  }

  return pieces.map((piece, k) =>
    piece.lines.map((line) => {
      const found = /^(?:const|let) v(\d+)\b/.exec(line);
      const e = found === null ? undefined : (Number(found[1]) as Expr);
      return e !== undefined && crossing.has(e) && definedIn.get(e) === k ? `${line} S[${e}] = v${e};` : line;
    }),
  );
}

/** ω from its table, as omega() does it; outside the table the function itself. */
function omegaLine(e: Expr, argument: string): string {
  const start = TABLE_START;
  const polynomial = `T[a] + d * (T[a + 1] + d * (T[a + 2] + d * (T[a + 3] + d * (T[a + 4] + d * T[a + 5]))))`;
  return [
    `let v${e}; { const x = ${argument};`,
    `if (x >= ${start} && x < ${TABLE_END}) { const i = ((x - (${start})) * ${PIECES_PER_UNIT} + 0.5) | 0; const d = x - (${start} + i / ${PIECES_PER_UNIT}); const a = i * ${TERMS}; v${e} = ${polynomial}; }`,
    `else v${e} = x < ${start} ? Math.exp(x) : omega(x); }`,
  ].join(' ');
}

function countUses(plan: KernelPlan, targets: readonly Target[], insideDerived: boolean): Map<Expr, number> {
  const g = plan.graph;
  const uses = new Map<Expr, number>();
  const visit = (e: Expr): void => {
    const before = uses.get(e) ?? 0;
    uses.set(e, before + 1);
    if (before > 0) return;
    const n = g.node(e);
    if (n.operation === 'constant' || n.operation === 'unknown' || n.operation === 'parameter' || n.operation === 'time') return;
    if (n.fixed && !insideDerived) return;
    visit(n.a as Expr);
    if (isBinary(n.operation)) visit(n.b as Expr);
  };
  for (const { value } of targets) visit(value);
  return uses;
}

function numberText(value: number): string {
  return Object.is(value, -0) ? '0' : String(value);
}
