import type { CircuitNode, SystemBuilder } from '../../engine/system.ts';
import { nominalParameters, type Model } from '../../engine/model.ts';
import type { Inputs } from '../inputs.ts';

/** A number worked out from a machine's values. */
export type FromValues = (values: Float64Array) => number;

/**
 * Builds a circuit's equations once, and remembers how each parameter follows from the machine's inputs, so that a
 * sample of other values needs no new analysis.
 */
export class Binder {
  private readonly bindings: ((p: Float64Array, values: Float64Array) => void)[] = [];
  private readonly nominal: Float64Array;
  private readonly nodes = new Map<string, CircuitNode>();
  private readonly aliases = new Map<string, string>();

  constructor(
    private readonly inputs: Inputs,
    readonly system: SystemBuilder,
  ) {
    this.nominal = inputs.nominal();
  }

  /** The input `key` as a function of values. */
  value(key: string): FromValues {
    const at = this.inputs.at(key);
    return (values) => values[at]!;
  }

  has(key: string): boolean {
    return this.inputs.has(key);
  }

  nominally(from: FromValues): number {
    return from(this.nominal);
  }

  bind(parameter: number, from: FromValues): void {
    this.bindings.push((p, values) => (p[parameter] = from(values)));
  }

  /** Binds several parameters at once. */
  bindAll(set: (p: Float64Array, values: Float64Array) => void): void {
    this.bindings.push(set);
  }

  /** Binds a parameter to the packs' voltage, which is known once they are all there. */
  bindSupply(parameter: number): void {
    this.bindings.push((p, values) => (p[parameter] = this.supply(values)));
  }

  /** Open-circuit voltage of the packs in series, V. */
  supply: FromValues = () => 1;

  nominalValues(): Float64Array {
    return this.nominal;
  }

  /** Says that two points are one. */
  merge(point: string, into: string): void {
    this.aliases.set(this.rootOf(point), this.rootOf(into));
  }

  node(point: string): CircuitNode {
    const root = this.rootOf(point);
    let node = this.nodes.get(root);
    if (node === undefined) {
      node = this.system.node(root);
      this.nodes.set(root, node);
    }
    return node;
  }

  /** Makes a point the reference of all voltages. */
  ground(point: string): void {
    this.nodes.set(this.rootOf(point), this.system.reference);
  }

  exists(point: string): boolean {
    return this.nodes.has(this.rootOf(point));
  }

  same(x: string, y: string): boolean {
    return this.rootOf(x) === this.rootOf(y);
  }

  /** Parameters of a model for a set of values. */
  parametersFor(model: Model, values: Float64Array): Float64Array {
    const p = nominalParameters(model);
    for (const set of this.bindings) set(p, values);
    model.kernel.prepare(p);
    return p;
  }

  private rootOf(point: string): string {
    let root = point;
    for (let next = this.aliases.get(root); next !== undefined && next !== root; next = this.aliases.get(root)) root = next;
    return root;
  }
}
