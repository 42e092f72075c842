import { isBinary, type Expr } from '../expression.ts';
import { omega, OMEGA_TABLE, PIECES_PER_UNIT, TABLE_END, TABLE_START, TERMS } from '../omega.ts';
import type { Kernel } from './kernel.ts';
import type { KernelPlan } from './plan.ts';

/**
 * Turns a plan into straight-line functions. The text holds numbers and names of this file's making only: nothing that
 * a user wrote can reach it. Functions are cut into pieces, because an engine never optimises one that is too long.
 */
export function generateKernel(plan: KernelPlan): Kernel {
  const text = [
    '"use strict";',
    ...evaluator(plan, 'prepare', 'p', derivedTargets(plan), { insideDerived: true }),
    ...evaluator(plan, 'rates', 't, y, p, f', arrayTargets(plan.rates, 'f')),
    ...evaluator(plan, 'ratesAndJacobian', 't, y, p, f, J', jacobianTargets(plan)),
    ...evaluator(plan, 'timeSlopes', 't, y, p, f', arrayTargets(plan.timeSlopes, 'f')),
    ...evaluator(plan, 'watch', 't, y, p, w', arrayTargets(plan.watches, 'w')),
    ...evaluator(plan, 'stored', 't, y, p, out', [{ value: plan.stored, target: 'out[0]' }]),
    ...gatherText(plan),
    ...factorText(plan),
    ...solveText(plan),
    ...solveStageText(plan),
    'return { prepare, rates, ratesAndJacobian, timeSlopes, watch, stored, gather, factor, solve, solveStage };',
  ].join('\n');
  const known = warm.get(text);
  if (known !== undefined) return known;
  const make = new Function('omega', 'T', 'S', text) as (omegaFunction: typeof omega, table: Float64Array, scratch: Float64Array) => Kernel;
  const kernel = make(omega, OMEGA_TABLE, new Float64Array(plan.graph.size));
  if (warm.size >= WARM_AT_MOST) warm.delete(warm.keys().next().value!);
  warm.set(text, kernel);
  return kernel;
}

/**
 * Kernels by their text: machines that differ in values alone share one, which the engine has then already optimised
 * (the first runs of a kernel cost a hundred times the later ones). A kernel keeps nothing between calls.
 */
const warm = new Map<string, Kernel>();
const WARM_AT_MOST = 24;

interface Target {
  readonly value: Expr;
  readonly target: string;
}

const STATEMENTS_PER_FUNCTION = 600;
const INLINE_DEPTH = 6;
/** Up to this many factors live in local variables; beyond it a function with that many is no longer optimised well. */
const LOCALS_AT_MOST = 400;

function arrayTargets(values: readonly Expr[], name: string): Target[] {
  return values.map((value, k) => ({ value, target: `${name}[${k}]` }));
}

function derivedTargets(plan: KernelPlan): Target[] {
  return plan.derived.map((value, k) => ({ value, target: `p[${plan.parameters + k}]` }));
}

function jacobianTargets(plan: KernelPlan): Target[] {
  const targets: Target[] = [];
  let next = 0;
  plan.rates.forEach((value, row) => {
    targets.push({ value, target: `f[${row}]` });
    for (; next < plan.jacobian.length && plan.jacobian[next]!.row === row; next++)
      targets.push({ value: plan.jacobian[next]!.value, target: `J[${next}]` });
  });
  return targets;
}

/** Emits one function (and, when long, the pieces it is cut into) that assigns every target. */
function evaluator(
  plan: KernelPlan,
  name: string,
  args: string,
  targets: readonly Target[],
  options: { readonly insideDerived: boolean } = { insideDerived: false },
): string[] {
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

  const bodies = pieces.map((piece, k) =>
    piece.lines.map((line) => {
      const found = /^(?:const|let) v(\d+)\b/.exec(line);
      const e = found === null ? undefined : (Number(found[1]) as Expr);
      return e !== undefined && crossing.has(e) && definedIn.get(e) === k ? `${line} S[${e}] = v${e};` : line;
    }),
  );
  if (bodies.length === 1) return [`function ${name}(${args}) {`, ...bodies[0]!, '}'];
  return [
    ...bodies.flatMap((lines, k) => [`function ${name}${k}(${args}) {`, ...lines, '}']),
    `function ${name}(${args}) {`,
    ...bodies.map((_, k) => `${name}${k}(${args});`),
    '}',
  ];
}

/** ω from its table, as omega() does it; outside the table the function itself. */
function omegaLine(e: Expr, argument: string): string {
  const start = TABLE_START;
  const polynomial = `T[a] + d * (T[a + 1] + d * (T[a + 2] + d * (T[a + 3] + d * (T[a + 4] + d * T[a + 5]))))`;
  return [
    `let v${e}; { const x = ${argument};`,
    `if (x >= ${start} && x < ${TABLE_END}) { const i = ((x - (${start})) * ${PIECES_PER_UNIT} + 0.5) | 0; const d = x - (${start} + i / ${PIECES_PER_UNIT}); const a = i * ${TERMS}; v${e} = ${polynomial}; }`,
    `else v${e} = omega(x); }`,
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

function gatherText(plan: KernelPlan): string[] {
  const rows = new Map<number, string[]>();
  plan.jacobian.forEach((e, k) => {
    if (e.row >= plan.states) rows.set(e.row, [...(rows.get(e.row) ?? []), ` + J[${k}] * U[${e.column}]`]);
  });
  const lines: string[] = [];
  for (let row = plan.states; row < plan.unknowns; row++)
    lines.push(`{ const g = f[${row}] + slope * ft[${row}]${(rows.get(row) ?? []).join('')}; gathered[${row}] += b * g; missed[${row}] += e * g; }`);
  return inPieces('gather', 'J, f, slope, ft, U, b, e, gathered, missed', lines);
}

/** Right-looking elimination on the fixed pattern; the diagonal keeps reciprocals. */
function factorText(plan: KernelPlan): string[] {
  const n = plan.states;
  const at = (r: number, c: number): number => plan.factors.position.get(r * n + c)!;
  const inLocals = plan.factors.size <= LOCALS_AT_MOST;
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
  if (!inLocals) return inPieces('factor', 'J, d, L', lines);
  for (let position = 0; position < plan.factors.size; position++) lines.push(`L[${position}] = l${position};`);
  return ['function factor(J, d, L) {', ...lines, '}'];
}

function solveText(plan: KernelPlan): string[] {
  const n = plan.states;
  if (plan.factors.size > LOCALS_AT_MOST) return inPieces('solve', 'L, b', substitutions(plan, (k) => `b[${k}]`));
  const lines = Array.from({ length: n }, (_, k) => `let x${k} = b[${k}];`);
  lines.push(...substitutions(plan, (k) => `x${k}`));
  for (let k = 0; k < n; k++) lines.push(`b[${k}] = x${k};`);
  return ['function solve(L, b) {', ...lines, '}'];
}

function solveStageText(plan: KernelPlan): string[] {
  const right = (k: number): string => `f[${k}]${k < plan.differential ? ` + R[${k}]` : ''} + slope * ft[${k}]`;
  const args = 'L, f, R, slope, ft, U';
  if (plan.factors.size > LOCALS_AT_MOST) {
    const set = Array.from({ length: plan.states }, (_, k) => `U[${k}] = ${right(k)};`);
    return [...inPieces('stageRight', args, set), `function solveStage(${args}) { stageRight(${args}); solve(L, U); }`];
  }
  const lines = Array.from({ length: plan.states }, (_, k) => `let x${k} = ${right(k)};`);
  lines.push(...substitutions(plan, (k) => `x${k}`));
  for (let k = 0; k < plan.states; k++) lines.push(`U[${k}] = x${k};`);
  return [`function solveStage(${args}) {`, ...lines, '}'];
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

function inPieces(name: string, args: string, lines: readonly string[]): string[] {
  const pieces: string[][] = [];
  for (let k = 0; k < lines.length; k += STATEMENTS_PER_FUNCTION) pieces.push(lines.slice(k, k + STATEMENTS_PER_FUNCTION));
  if (pieces.length <= 1) return [`function ${name}(${args}) {`, ...lines, '}'];
  return [
    ...pieces.flatMap((piece, k) => [`function ${name}${k}(${args}) {`, ...piece, '}']),
    `function ${name}(${args}) {`,
    ...pieces.map((_, k) => `${name}${k}(${args});`),
    '}',
  ];
}
