import type { DiodeLaw } from '../devices/diode.ts';
import { planElimination, type Elimination } from './elimination.ts';

/** What an element does between its two nodes. All its numbers are parameters, so that a state or a fault only changes numbers. */
export type ElementKind =
  /** i = g·v. */
  | 'conductance'
  /** i = g·(v + E): a source whose plus is its first node has E below zero. */
  | 'source'
  /** Shockley diode behind its series resistance, from its first node to its second. */
  | 'diode'
  /** Constant current that comes up around a threshold. */
  | 'standby'
  /** Light-emitting diode with its resistor. */
  | 'lamp'
  /** Constant power. */
  | 'power'
  /** Bench supply with a current limit, out of its first node. */
  | 'limited'
  /** Linear regulator, from its input to its output, over a third node, its negative. */
  | 'regulator';

/** Numbers of an element, by kind. */
export const SLOTS = {
  conductance: ['g_S'],
  source: ['g_S', 'emf_V'],
  diode: ['on', 'saturation_A', 'slope_V', 'series_ohm', 'logarithm'],
  standby: ['on', 'current_A', 'threshold_V'],
  lamp: ['on', 'resistance_ohm', 'forward_V'],
  power: ['on', 'power_W'],
  limited: ['on', 'voltage_V', 'limit_A'],
  regulator: ['on', 'set_V', 'dropOut_V', 'output_ohm'],
} as const satisfies Record<ElementKind, readonly string[]>;

/** Width of the table of numbers: the most that an element has. */
export const WIDTH = 5;

export interface Element {
  readonly kind: ElementKind;
  readonly name: string;
  /** Nodes; 0 is the reference. */
  readonly a: number;
  readonly b: number;
  /** Negative of a regulator; otherwise the reference. */
  readonly c: number;
}

/** A circuit at rest: nodes and elements, with the order in which its equations are solved. */
export interface Network {
  readonly nodes: readonly string[];
  readonly elements: readonly Element[];
  /** Numbers of all elements as they were given, `WIDTH` for each. */
  readonly numbers: Float64Array;
  readonly elimination: Elimination;
}

export class NetworkBuilder {
  private readonly nodes: string[] = ['reference'];
  private readonly elements: Element[] = [];
  private readonly numbers: number[] = [];

  node(name: string): number {
    return this.nodes.push(name) - 1;
  }

  conductance(name: string, a: number, b: number, g_S: number): number {
    return this.add({ kind: 'conductance', name, a, b, c: 0 }, [g_S]);
  }

  /** A voltage behind a resistance. */
  source(name: string, plus: number, minus: number, emf_V: number, resistance_ohm: number): number {
    return this.add({ kind: 'source', name, a: plus, b: minus, c: 0 }, [1 / resistance_ohm, -emf_V]);
  }

  diode(name: string, anode: number, cathode: number, law: DiodeLaw): number {
    return this.add({ kind: 'diode', name, a: anode, b: cathode, c: 0 }, diodeNumbers(law));
  }

  standby(name: string, plus: number, minus: number, current_A: number, threshold_V: number): number {
    return this.add({ kind: 'standby', name, a: plus, b: minus, c: 0 }, [1, current_A, threshold_V]);
  }

  lamp(name: string, plus: number, minus: number, resistance_ohm: number, forward_V: number): number {
    return this.add({ kind: 'lamp', name, a: plus, b: minus, c: 0 }, [1, resistance_ohm, forward_V]);
  }

  /** A load of constant power, off until it is started. */
  power(name: string, plus: number, minus: number, power_W: number): number {
    return this.add({ kind: 'power', name, a: plus, b: minus, c: 0 }, [0, power_W]);
  }

  limited(name: string, plus: number, minus: number, voltage_V: number, limit_A: number): number {
    return this.add({ kind: 'limited', name, a: plus, b: minus, c: 0 }, [1, voltage_V, limit_A]);
  }

  regulator(name: string, input: number, output: number, minus: number, set_V: number, dropOut_V: number, output_ohm: number): number {
    return this.add({ kind: 'regulator', name, a: input, b: output, c: minus }, [1, set_V, dropOut_V, output_ohm]);
  }

  finish(): Network {
    const pairs = this.elements.flatMap(({ a, b, c }): [number, number][] => [[a, b], [a, c], [b, c]]);
    const inner = pairs.filter(([x, y]) => x > 0 && y > 0).map(([x, y]): [number, number] => [x - 1, y - 1]);
    return { nodes: this.nodes, elements: this.elements, numbers: Float64Array.from(this.numbers), elimination: planElimination(this.nodes.length - 1, inner) };
  }

  private add(element: Element, numbers: readonly number[]): number {
    for (let k = 0; k < WIDTH; k++) {
      const number = numbers[k] ?? 0;
      if (!Number.isFinite(number)) throw new RangeError(`${element.name}: expected finite numbers, got ${number}`);
      this.numbers.push(number);
    }
    return this.elements.push(element) - 1;
  }
}

/** Numbers of a diode. */
export function diodeNumbers(law: DiodeLaw): number[] {
  return [1, law.saturation_A, law.slope_V, law.series_ohm, Math.log((law.saturation_A * law.series_ohm) / law.slope_V)];
}
