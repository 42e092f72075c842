import { isBinary, type Expr, type Operation } from '../expression.ts';
import { omega } from '../omega.ts';
import type { Kernel } from './kernel.ts';
import type { KernelPlan } from './plan.ts';
import { loopedStep } from './step-loops.ts';

/**
 * Carries a plan out by loops over operation codes, for places that forbid generating code.
 * Same operations in the same order as the generated kernel, several times slower.
 */
export function interpretKernel(plan: KernelPlan): Kernel {
  const registers = new Float64Array(plan.graph.size);
  const derivedTape = tapeOf(plan, plan.derived, true);
  const rateTape = tapeOf(plan, plan.rates, false);
  const fullTape = tapeOf(plan, [...plan.rates, ...plan.jacobian.map((e) => e.value)], false);
  const slopeTape = tapeOf(plan, plan.timeSlopes, false);
  const watchTape = tapeOf(plan, plan.watches, false);
  const storedTape = tapeOf(plan, [plan.stored], false);
  const jacobianValues = plan.jacobian.map((e) => e.value);
  const factors = indexFactors(plan);

  const run = (tape: Tape, t: number, y: Float64Array, p: Float64Array): void => {
    load(tape, registers, t, y, p);
    evaluate(tape, registers);
  };
  const copy = (from: readonly Expr[], to: Float64Array): void => {
    for (let k = 0; k < from.length; k++) to[k] = registers[from[k]!]!;
  };
  const none = new Float64Array(0);

  const substitute = (LU: Float64Array, b: Float64Array): void => {
    for (const pivot of factors.pivots) for (const row of pivot.rows) b[row.row]! -= LU[row.at]! * b[pivot.unknown]!;
    for (let q = factors.pivots.length - 1; q >= 0; q--) {
      const pivot = factors.pivots[q]!;
      let value = b[pivot.unknown]!;
      for (let k = 0; k < pivot.columns.length; k++) value -= LU[pivot.sources[k]!]! * b[pivot.columns[k]!]!;
      b[pivot.unknown] = value * LU[pivot.at]!;
    }
  };

  const functions: Omit<Kernel, 'bind'> = {
    prepare(p) {
      run(derivedTape, 0, none, p);
      for (let k = 0; k < plan.derived.length; k++) p[plan.parameters + k] = registers[plan.derived[k]!]!;
    },
    rates(t, y, p, f) {
      run(rateTape, t, y, p);
      copy(plan.rates, f);
    },
    ratesAndJacobian(t, y, p, f, J) {
      run(fullTape, t, y, p);
      copy(plan.rates, f);
      copy(jacobianValues, J);
    },
    timeSlopes(t, y, p, f) {
      run(slopeTape, t, y, p);
      copy(plan.timeSlopes, f);
    },
    watch(t, y, p, w) {
      run(watchTape, t, y, p);
      copy(plan.watches, w);
    },
    stored(t, y, p, out) {
      run(storedTape, t, y, p);
      out[0] = registers[plan.stored]!;
    },
    factor(J, d, LU) {
      LU.fill(0);
      for (let r = 0; r < factors.diagonal.length; r++) LU[factors.diagonal[r]!] = d[r]!;
      for (const entry of factors.jacobian) LU[entry.position]! -= J[entry.k]!;
      for (const pivot of factors.pivots) {
        const inverse = 1 / LU[pivot.at]!;
        LU[pivot.at] = inverse;
        for (const row of pivot.rows) {
          const multiplier = LU[row.at]! * inverse;
          LU[row.at] = multiplier;
          for (let k = 0; k < row.targets.length; k++) LU[row.targets[k]!]! -= multiplier * LU[pivot.sources[k]!]!;
        }
      }
    },
    solve: substitute,
  };
  return { ...functions, bind: (tableau, arrays) => loopedStep(plan, functions, tableau, arrays) };
}

/** Operations to carry out, operands and result as register numbers; `inputs` are loaded before. */
interface Tape {
  readonly operations: readonly Operation[];
  readonly result: Int32Array;
  readonly a: Int32Array;
  readonly b: Int32Array;
  readonly inputs: readonly { readonly register: number; readonly from: 'constant' | 'y' | 'p' | 'time'; readonly index: number; readonly value: number }[];
}

function tapeOf(plan: KernelPlan, outputs: readonly Expr[], insideDerived: boolean): Tape {
  const g = plan.graph;
  const derivedAt = new Map(plan.derived.map((e, k) => [e, plan.parameters + k]));
  const seen = new Set<Expr>();
  const work: Expr[] = [];
  const inputs: Tape['inputs'][number][] = [];
  const visit = (e: Expr): void => {
    if (seen.has(e)) return;
    seen.add(e);
    const n = g.node(e);
    if (n.operation === 'constant') inputs.push({ register: e, from: 'constant', index: 0, value: n.value });
    else if (n.operation === 'unknown') inputs.push({ register: e, from: 'y', index: n.a, value: 0 });
    else if (n.operation === 'parameter') inputs.push({ register: e, from: 'p', index: n.a, value: 0 });
    else if (n.operation === 'time') inputs.push({ register: e, from: 'time', index: 0, value: 0 });
    else if (n.fixed && !insideDerived) inputs.push({ register: e, from: 'p', index: derivedAt.get(e)!, value: 0 });
    else {
      visit(n.a as Expr);
      if (isBinary(n.operation)) visit(n.b as Expr);
      work.push(e);
    }
  };
  outputs.forEach(visit);
  work.sort((x, y) => x - y);
  const nodes = work.map((e) => g.node(e));
  return {
    operations: nodes.map((n) => n.operation),
    result: Int32Array.from(work),
    a: Int32Array.from(nodes, (n) => n.a),
    b: Int32Array.from(nodes, (n) => n.b),
    inputs,
  };
}

function load(tape: Tape, registers: Float64Array, t: number, y: Float64Array, p: Float64Array): void {
  for (const input of tape.inputs)
    registers[input.register] =
      input.from === 'constant' ? input.value : input.from === 'y' ? y[input.index]! : input.from === 'p' ? p[input.index]! : t;
}

function evaluate(tape: Tape, r: Float64Array): void {
  const { operations, result, a, b } = tape;
  for (let k = 0; k < operations.length; k++) {
    const x = r[a[k]!]!;
    switch (operations[k]) {
      case 'add':
        r[result[k]!] = x + r[b[k]!]!;
        break;
      case 'subtract':
        r[result[k]!] = x - r[b[k]!]!;
        break;
      case 'multiply':
        r[result[k]!] = x * r[b[k]!]!;
        break;
      case 'divide':
        r[result[k]!] = x / r[b[k]!]!;
        break;
      case 'negate':
        r[result[k]!] = -x;
        break;
      case 'sqrt':
        r[result[k]!] = Math.sqrt(x);
        break;
      case 'exp':
        r[result[k]!] = Math.exp(x);
        break;
      case 'tanh':
        r[result[k]!] = Math.tanh(x);
        break;
      case 'omega':
        r[result[k]!] = omega(x);
        break;
      default:
        throw new Error(`operation ${operations[k]} cannot be carried out`);
    }
  }
}

function indexFactors(plan: KernelPlan) {
  const n = plan.states;
  const at = (r: number, c: number): number => plan.factors.position.get(r * n + c)!;
  return {
    jacobian: plan.jacobian.flatMap((e, k) => (e.position < 0 ? [] : [{ position: e.position, k }])),
    diagonal: Array.from({ length: n }, (_, r) => at(r, r)),
    pivots: plan.factors.pivots.map(({ pivot, rows, columns }) => ({
      unknown: pivot,
      at: at(pivot, pivot),
      columns,
      sources: columns.map((c) => at(pivot, c)),
      rows: rows.map((r) => ({ row: r, at: at(r, pivot), targets: columns.map((c) => at(r, c)) })),
    })),
  };
}
