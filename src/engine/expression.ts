/**
 * Expressions of a circuit's equations: a graph in which every distinct sub-expression exists once
 * (hash-consing), so that an equation and its derivatives share what they have in common.
 *
 * Nodes are numbers (indices into the graph). Operands always have smaller indices than the nodes that use them,
 * so that ascending index order is an evaluation order.
 */

/** A node of an {@link ExpressionGraph}. */
export type Expr = number & { readonly __expr: unique symbol };

export type Operation =
  | 'constant'
  | 'unknown'
  | 'parameter'
  | 'time'
  | 'add'
  | 'subtract'
  | 'multiply'
  | 'divide'
  | 'negate'
  | 'sqrt'
  | 'exp'
  | 'tanh'
  | 'omega';

interface NodeOf {
  readonly operation: Operation;
  /** First operand, or the index of an unknown or a parameter. */
  readonly a: number;
  readonly b: number;
  readonly value: number;
  /** Depends on nothing but parameters and constants. */
  readonly fixed: boolean;
}

export class ExpressionGraph {
  private readonly nodes: NodeOf[] = [];
  private readonly known = new Map<string, Expr>();
  private readonly dependence: (ReadonlySet<number>)[] = [];
  private readonly derivatives = new Map<string, Expr>();
  readonly zero: Expr;
  readonly one: Expr;
  readonly time: Expr;

  constructor() {
    this.zero = this.constant(0);
    this.one = this.constant(1);
    this.time = this.intern('time', 0, 0, 0, false);
  }

  get size(): number {
    return this.nodes.length;
  }

  node(e: Expr): NodeOf {
    const found = this.nodes[e];
    if (found === undefined) throw new RangeError(`expression ${e} is not of this graph`);
    return found;
  }

  constant(value: number): Expr {
    if (!Number.isFinite(value)) throw new RangeError(`constant in an equation: expected a finite number, got ${value}`);
    return this.intern('constant', 0, 0, value === 0 ? 0 : value, true);
  }

  unknown(index: number): Expr {
    return this.intern('unknown', index, 0, 0, false);
  }

  parameter(index: number): Expr {
    return this.intern('parameter', index, 0, 0, true);
  }

  add(x: Expr, y: Expr): Expr {
    if (x === this.zero) return y;
    if (y === this.zero) return x;
    const folded = this.fold(x, y, (p, q) => p + q);
    if (folded !== undefined) return folded;
    const right = this.node(y);
    if (right.operation === 'negate') return this.subtract(x, right.a as Expr);
    const left = this.node(x);
    if (left.operation === 'negate') return this.subtract(y, left.a as Expr);
    return x < y ? this.binary('add', x, y) : this.binary('add', y, x);
  }

  subtract(x: Expr, y: Expr): Expr {
    if (y === this.zero) return x;
    if (x === y) return this.zero;
    if (x === this.zero) return this.negate(y);
    const folded = this.fold(x, y, (p, q) => p - q);
    if (folded !== undefined) return folded;
    const right = this.node(y);
    if (right.operation === 'negate') return this.add(x, right.a as Expr);
    return this.binary('subtract', x, y);
  }

  multiply(x: Expr, y: Expr): Expr {
    if (x === this.zero || y === this.zero) return this.zero;
    if (x === this.one) return y;
    if (y === this.one) return x;
    const folded = this.fold(x, y, (p, q) => p * q);
    if (folded !== undefined) return folded;
    const left = this.node(x);
    const right = this.node(y);
    if (left.operation === 'negate') return this.negate(this.multiply(left.a as Expr, y));
    if (right.operation === 'negate') return this.negate(this.multiply(x, right.a as Expr));
    return x < y ? this.binary('multiply', x, y) : this.binary('multiply', y, x);
  }

  divide(x: Expr, y: Expr): Expr {
    if (x === this.zero) return this.zero;
    if (y === this.one) return x;
    const folded = this.fold(x, y, (p, q) => p / q);
    if (folded !== undefined) return folded;
    const left = this.node(x);
    if (left.operation === 'negate') return this.negate(this.divide(left.a as Expr, y));
    // A division costs as much as five products; the reciprocal of a parameter is made once, when it is set.
    if (this.node(y).fixed && !left.fixed) return this.multiply(x, this.binary('divide', this.one, y));
    return this.binary('divide', x, y);
  }

  negate(x: Expr): Expr {
    const n = this.node(x);
    if (n.operation === 'constant') return this.constant(-n.value);
    if (n.operation === 'negate') return n.a as Expr;
    if (n.operation === 'subtract') return this.subtract(n.b as Expr, n.a as Expr);
    return this.intern('negate', x, 0, 0, n.fixed);
  }

  sqrt(x: Expr): Expr {
    return this.unary('sqrt', x, Math.sqrt);
  }

  exp(x: Expr): Expr {
    return this.unary('exp', x, Math.exp);
  }

  tanh(x: Expr): Expr {
    return this.unary('tanh', x, Math.tanh);
  }

  /** Wright's omega function ω: ω + ln ω = x. */
  omega(x: Expr): Expr {
    return this.intern('omega', x, 0, 0, this.node(x).fixed);
  }

  sum(terms: readonly Expr[]): Expr {
    return terms.reduce((total, term) => this.add(total, term), this.zero);
  }

  square(x: Expr): Expr {
    return this.multiply(x, x);
  }

  /** Smooth maximum: ½ (x + y + √((x − y)² + width²)). */
  smoothMaximum(x: Expr, y: Expr, width: Expr): Expr {
    const root = this.sqrt(this.add(this.square(this.subtract(x, y)), this.square(width)));
    return this.multiply(this.constant(0.5), this.add(this.add(x, y), root));
  }

  /** Indices of the unknowns on which a node depends. */
  unknownsOf(e: Expr): ReadonlySet<number> {
    for (let k = this.dependence.length; k <= e; k++) {
      const n = this.node(k as Expr);
      if (n.operation === 'unknown') this.dependence.push(new Set([n.a]));
      else if (n.fixed || n.operation === 'time') this.dependence.push(NOTHING);
      else this.dependence.push(union(this.dependence[n.a] ?? NOTHING, isBinary(n.operation) ? (this.dependence[n.b] ?? NOTHING) : NOTHING));
    }
    return this.dependence[e] ?? NOTHING;
  }

  dependsOnTime(e: Expr): boolean {
    return this.derivative(e, 'time') !== this.zero;
  }

  /** ∂e/∂(unknown), or ∂e/∂t with the unknowns held. */
  derivative(e: Expr, by: number | 'time'): Expr {
    const n = this.node(e);
    if (n.fixed) return this.zero;
    if (by !== 'time' && !this.unknownsOf(e).has(by)) return this.zero;
    const key = `${e}/${by}`;
    const found = this.derivatives.get(key);
    if (found !== undefined) return found;
    const result = this.differentiate(n, e, by);
    this.derivatives.set(key, result);
    return result;
  }

  private differentiate(n: NodeOf, e: Expr, by: number | 'time'): Expr {
    const a = n.a as Expr;
    const b = n.b as Expr;
    switch (n.operation) {
      case 'constant':
      case 'parameter':
        return this.zero;
      case 'unknown':
        return n.a === by ? this.one : this.zero;
      case 'time':
        return by === 'time' ? this.one : this.zero;
      case 'add':
        return this.add(this.derivative(a, by), this.derivative(b, by));
      case 'subtract':
        return this.subtract(this.derivative(a, by), this.derivative(b, by));
      case 'multiply':
        return this.add(this.multiply(this.derivative(a, by), b), this.multiply(a, this.derivative(b, by)));
      case 'divide':
        return this.divide(this.subtract(this.derivative(a, by), this.multiply(e, this.derivative(b, by))), b);
      case 'negate':
        return this.negate(this.derivative(a, by));
      case 'sqrt':
        return this.divide(this.derivative(a, by), this.multiply(this.constant(2), e));
      case 'exp':
        return this.multiply(e, this.derivative(a, by));
      case 'tanh':
        return this.multiply(this.subtract(this.one, this.square(e)), this.derivative(a, by));
      case 'omega':
        return this.multiply(this.divide(e, this.add(this.one, e)), this.derivative(a, by));
    }
  }

  private fold(x: Expr, y: Expr, compute: (p: number, q: number) => number): Expr | undefined {
    const p = this.node(x);
    const q = this.node(y);
    if (p.operation !== 'constant' || q.operation !== 'constant') return undefined;
    return this.constant(compute(p.value, q.value));
  }

  private unary(operation: Operation, x: Expr, compute: (p: number) => number): Expr {
    const n = this.node(x);
    if (n.operation === 'constant') return this.constant(compute(n.value));
    return this.intern(operation, x, 0, 0, n.fixed);
  }

  private binary(operation: Operation, x: Expr, y: Expr): Expr {
    return this.intern(operation, x, y, 0, this.node(x).fixed && this.node(y).fixed);
  }

  private intern(operation: Operation, a: number, b: number, value: number, fixed: boolean): Expr {
    const key = `${operation} ${a} ${b} ${value}`;
    const found = this.known.get(key);
    if (found !== undefined) return found;
    const created = this.nodes.length as Expr;
    this.nodes.push({ operation, a, b, value, fixed });
    this.known.set(key, created);
    return created;
  }
}

const NOTHING: ReadonlySet<number> = new Set<number>();

export function isBinary(operation: Operation): boolean {
  return operation === 'add' || operation === 'subtract' || operation === 'multiply' || operation === 'divide';
}

function union(x: ReadonlySet<number>, y: ReadonlySet<number>): ReadonlySet<number> {
  if (x.size === 0) return y;
  if (y.size === 0) return x;
  return new Set([...x, ...y]);
}
