import { ExpressionGraph, type Expr } from './expression.ts';

/** A node of the circuit; the reference node is 0 V. */
export interface CircuitNode {
  readonly name: string;
  readonly voltage: Expr;
  /** Index of the node's unknown, or −1 for the reference. */
  readonly unknown: number;
}

/** What an unknown measures; sets how exactly it is integrated. */
export type UnknownKind = 'voltage' | 'current' | 'temperature' | 'charge state' | 'speed' | 'energy' | 'quadrature';

export interface Unknown {
  readonly name: string;
  readonly kind: UnknownKind;
  /** Follows a differential equation; otherwise an algebraic one. */
  readonly differential: boolean;
  readonly initial: number;
  /** Typical size of what a quadrature gathers in a run, in its own unit; sets its absolute tolerance. */
  readonly scale: number;
}

export interface Parameter {
  readonly name: string;
  readonly value: number;
}

export interface Layout {
  readonly differential: number;
  readonly states: number;
}

/** Where a power goes in the balance of energy. */
export type Account = 'source' | 'loss' | 'load';

/** Equations of one circuit, complete and ready to be compiled. */
export interface System {
  readonly graph: ExpressionGraph;
  readonly unknowns: readonly Unknown[];
  readonly parameters: readonly Parameter[];
  /**
   * How many unknowns come first that follow a differential equation, and how many in all are states; quadratures, which
   * nothing depends on, come last. A system that was not laid out has every unknown in both.
   */
  readonly layout: Layout;
  /** Right-hand sides: derivative of a differential unknown, residual of an algebraic one. */
  readonly equations: readonly Expr[];
  /** Scalars that events and records look at. */
  readonly watches: readonly { readonly name: string; readonly expression: Expr }[];
  /** Σ of stored energies, J. */
  readonly stored: Expr;
  /** Indices of the quadratures that hold the three sums of the energy balance, J. */
  readonly balance: { readonly source: number; readonly loss: readonly number[]; readonly load: number };
}

/**
 * Gathers the equations of a circuit: devices ask for nodes, states and parameters, and inject currents.
 * Nodes that would float when diodes block or contacts open get a stray capacitance with loss, so that every circuit
 * has one well-conditioned solution.
 */
export class SystemBuilder {
  readonly graph = new ExpressionGraph();
  readonly reference: CircuitNode = { name: 'reference', voltage: this.graph.zero, unknown: -1 };
  private readonly unknowns: Unknown[] = [];
  private readonly parameters: Parameter[] = [];
  private readonly rates = new Map<number, Expr>();
  private readonly nodes: CircuitNode[] = [];
  private readonly injected = new Map<number, Expr[]>();
  private readonly capacities = new Map<number, Expr>();
  private readonly watches: { name: string; expression: Expr }[] = [];
  private readonly accounts: Record<Account, Expr[]> = { source: [], loss: [], load: [] };
  private readonly ownLosses: number[] = [];
  private readonly storedTerms: Expr[] = [];
  /** Union–find over nodes that a resistance always joins; −1 stands for the reference. */
  private readonly joined = new Map<number, number>();
  private next = { differential: 0, algebraic: 0, quadrature: 0 };

  /** @param layout  where each kind of unknown begins; without it they are numbered as they come */
  constructor(private readonly layout?: Layout) {
    if (layout !== undefined) this.next = { differential: 0, algebraic: layout.differential, quadrature: layout.states };
  }

  /** How many unknowns of each kind there are, once the system is finished. */
  counted(): Layout {
    const quadratures = this.unknowns.filter((u) => u.kind === 'quadrature').length;
    const algebraic = this.unknowns.filter((u) => !u.differential).length;
    return { differential: this.unknowns.length - quadratures - algebraic, states: this.unknowns.length - quadratures };
  }

  node(name: string): CircuitNode {
    const unknown = this.newUnknown({ name, kind: 'voltage', differential: false, initial: 0, scale: 1 });
    const node: CircuitNode = { name, voltage: this.graph.unknown(unknown), unknown };
    this.nodes.push(node);
    this.injected.set(unknown, []);
    this.joined.set(unknown, unknown);
    return node;
  }

  /** A differential unknown; give its rate with {@link rate}. Returns its expression. */
  state(name: string, kind: UnknownKind, initial: number, scale = 1): { readonly index: number; readonly value: Expr } {
    const index = this.newUnknown({ name, kind, differential: true, initial, scale });
    return { index, value: this.graph.unknown(index) };
  }

  /**
   * A store that fills with what is injected: rate = Σ flows / capacity. A bank straight at its node (V, A, F), a lump of
   * heat (°C, W, J/K), a moving mass (m/s, N, kg). Give its flows with {@link inject} and {@link flow}.
   */
  store(name: string, kind: UnknownKind, initial: number, capacity: Expr): CircuitNode {
    const state = this.state(name, kind, initial);
    this.injected.set(state.index, []);
    this.capacities.set(state.index, capacity);
    this.joined.set(state.index, -1);
    return { name, voltage: state.value, unknown: state.index };
  }

  rate(state: { readonly index: number }, rate: Expr): void {
    if (this.rates.has(state.index)) throw new Error(`unknown ${state.index} has two rates`);
    this.rates.set(state.index, rate);
  }

  parameter(name: string, value: number): { readonly index: number; readonly value: Expr } {
    if (!Number.isFinite(value)) throw new RangeError(`parameter ${name}: expected a finite number, got ${value}`);
    const index = this.parameters.length;
    this.parameters.push({ name, value });
    return { index, value: this.graph.parameter(index) };
  }

  /** Lets a current (A) flow into a node. */
  inject(node: CircuitNode, current: Expr): void {
    if (node.unknown >= 0) this.injected.get(node.unknown)?.push(current);
  }

  /** Lets a current (A) flow from one node to another. */
  flow(from: CircuitNode, to: CircuitNode, current: Expr): void {
    this.inject(from, this.graph.negate(current));
    this.inject(to, current);
  }

  /**
   * Does something that lets currents flow into a node, and says how much together, A.
   * @returns undefined at the reference node, whose currents nobody gathers
   */
  injectedBy(node: CircuitNode, add: () => void): Expr | undefined {
    const flows = this.injected.get(node.unknown);
    const before = flows?.length;
    add();
    return flows === undefined ? undefined : this.graph.sum(flows.slice(before));
  }

  /** Says that a resistance joins two nodes in every situation. */
  join(x: CircuitNode, y: CircuitNode): void {
    const rx = this.rootOf(x.unknown);
    const ry = this.rootOf(y.unknown);
    if (rx === ry) return;
    if (rx === -1) this.joined.set(ry, -1);
    else this.joined.set(rx, ry);
  }


  /** Books a power (W) in the energy balance; every term is integrated, none is found as the remainder. */
  account(account: Account, power: Expr): void {
    this.accounts[account].push(power);
  }

  stored(energy: Expr): void {
    this.storedTerms.push(energy);
  }

  /** Integrates a scalar from 0; returns the index of its unknown. */
  quadrature(name: string, integrand: Expr, scale: number): number {
    const state = this.state(name, 'quadrature', 0, scale);
    this.rate(state, integrand);
    return state.index;
  }

  /** A loss that is integrated on its own and counts in the balance. */
  lossQuadrature(name: string, power: Expr, scale: number): number {
    const index = this.quadrature(name, power, scale);
    this.ownLosses.push(index);
    return index;
  }

  watch(name: string, expression: Expr): number {
    this.watches.push({ name, expression });
    return this.watches.length - 1;
  }

  /** Completes the equations. `energyScale_J` is the size of energy that the balance is about. */
  finish(energyScale_J: number): System {
    this.tieFloatingNodes();
    const g = this.graph;
    const source = this.quadrature('energy delivered', g.sum(this.accounts.source), energyScale_J);
    const loss = this.quadrature('energy lost', g.sum(this.accounts.loss), energyScale_J);
    const load = this.quadrature('energy to loads', g.sum(this.accounts.load), energyScale_J);
    const equations = this.unknowns.map((unknown, index) => {
      const flows = g.sum(this.injected.get(index) ?? []);
      if (!unknown.differential) return flows;
      const capacity = this.capacities.get(index);
      if (capacity !== undefined) return g.divide(flows, capacity);
      const rate = this.rates.get(index);
      if (rate === undefined) throw new Error(`unknown ${unknown.name} has no rate`);
      return rate;
    });
    return {
      graph: g,
      layout: this.layout ?? { differential: this.unknowns.length, states: this.unknowns.length },
      unknowns: this.unknowns,
      parameters: this.parameters,
      equations,
      watches: this.watches,
      stored: g.sum(this.storedTerms),
      balance: { source, loss: [loss, ...this.ownLosses], load },
    };
  }

  /**
   * A node reached only through inductances, contacts or diodes has no voltage of its own: give it what every bar and
   * lead has, a stray capacitance with loss. 10 nF through 5 Ω settles in 50 ns and holds 1e-5 of the charge of the
   * smallest capacitor bank here.
   */
  private tieFloatingNodes(): void {
    const held = new Set<number>([-1]);
    for (const node of this.nodes) {
      const root = this.rootOf(node.unknown);
      if (held.has(root)) continue;
      held.add(root);
      this.strayCapacitance(node);
    }
  }

  private strayCapacitance(node: CircuitNode): void {
    const g = this.graph;
    const charge = this.state(`stray voltage of ${node.name}`, 'voltage', 0);
    const current = g.divide(g.subtract(node.voltage, charge.value), g.constant(STRAY_RESISTANCE_OHM));
    this.inject(node, g.negate(current));
    this.rate(charge, g.divide(current, g.constant(STRAY_CAPACITANCE_F)));
    this.account('loss', g.multiply(g.square(current), g.constant(STRAY_RESISTANCE_OHM)));
    this.stored(g.multiply(g.constant(STRAY_CAPACITANCE_F / 2), g.square(charge.value)));
  }

  private rootOf(unknown: number): number {
    let root = unknown;
    while (root !== -1) {
      const parent = this.joined.get(root);
      if (parent === undefined || parent === root) break;
      root = parent;
    }
    return root;
  }

  private newUnknown(unknown: Unknown): number {
    if (this.layout === undefined) {
      this.unknowns.push(unknown);
      return this.unknowns.length - 1;
    }
    const kind = unknown.kind === 'quadrature' ? 'quadrature' : unknown.differential ? 'differential' : 'algebraic';
    const index = this.next[kind]++;
    this.unknowns[index] = unknown;
    return index;
  }
}

/**
 * Builds a system twice: the first time to count its unknowns, the second with each kind of them together, which is what
 * the solver is fastest with.
 */
export function laidOut<Built>(build: (builder: SystemBuilder) => Built): Built {
  const counting = new SystemBuilder();
  build(counting);
  return build(new SystemBuilder(counting.counted()));
}

const STRAY_CAPACITANCE_F = 10e-9;
const STRAY_RESISTANCE_OHM = 5;
