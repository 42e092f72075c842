import { quantile, ranged, type Quantity } from '../quantity/quantity.ts';
import { sampler } from '../quantity/random.ts';
import { wordsOf } from './field.ts';
import type { Machine, Step } from './machine.ts';
import { kindOf, type Part } from './parts.ts';

/** One number that a circuit or a procedure is made of. */
export interface Input {
  /** `T1.capacitance`, `drive#1.length`, `step 3.time`. */
  readonly key: string;
  /** In words: `capacitance of T1`. */
  readonly label: string;
  readonly part: string | undefined;
  readonly quantity: Quantity;
}

/**
 * Every input of a machine, in a fixed order; a set of values is an array in the same order. What counts in a match only
 * comes last, and a power-up leaves it out, so that one sample of a machine is the same machine in both.
 */
export class Inputs {
  readonly list: readonly Input[];
  private readonly index: ReadonlyMap<string, number>;

  constructor(machine: Machine, use: 'power-up' | 'match' = 'power-up') {
    this.list = use === 'match' ? [...collect(machine), ...collectForMatch(machine)] : collect(machine);
    const index = new Map(this.list.map((input, k) => [input.key, k]));
    // A connector's first-stage resistor is its resistance, as that of a resistor part is.
    for (const [key, k] of [...index]) if (key.endsWith('.builtInResistor')) index.set(key.replace('.builtInResistor', '.resistance'), k);
    this.index = index;
  }

  /** @throws Error when there is no such input (a fault of this program) */
  at(key: string): number {
    const found = this.index.get(key);
    if (found === undefined) throw new Error(`no input ${key}`);
    return found;
  }

  has(key: string): boolean {
    return this.index.has(key);
  }

  nominal(): Float64Array {
    return Float64Array.from(this.list, (input) => input.quantity.value);
  }

  /** The values of one seeded sample; the same for any number of threads. */
  sample(seed: number, sample: number): Float64Array {
    const uniform = sampler(seed, sample);
    return Float64Array.from(this.list, (input) => quantile(input.quantity, uniform()));
  }
}

/** How far people are from the time that they mean to wait: 0.6 to 1.6 times (common practice, no source). */
const HUMAN_SPREAD = [0.6, 1.6] as const;

/** Pause between two operations when the procedure names none. Common practice, no source. */
export const PAUSE: Quantity = ranged('time', 1, 0.5, 3, 'class default');

export function stepKey(list: 'power up' | 'power down', k: number): string {
  return `${list} step ${k + 1}.time`;
}

function collect(machine: Machine): Input[] {
  const inputs: Input[] = [];
  for (const part of machine.parts.values())
    for (const [property, value] of Object.entries(part.values))
      if (isQuantity(value) && !isForMatch(part, property)) inputs.push(fieldInput(part, property, value));
  for (const chain of machine.wiring.chains)
    chain.items.forEach((item, k) => {
      if (!('conductor' in item)) return;
      const { section, length } = item.conductor;
      inputs.push({ key: `${chain.name}#${k}.section`, label: `section of the ${chain.name} lead`, part: undefined, quantity: section });
      inputs.push({ key: `${chain.name}#${k}.length`, label: `length of the ${chain.name} lead`, part: undefined, quantity: length });
    });
  if (machine.wiring.bar !== undefined)
    inputs.push({ key: 'returns.joint', label: 'resistance of a negative joint', part: undefined, quantity: machine.wiring.bar.joint });
  inputs.push({ key: 'surroundings.inside', label: 'temperature inside the machine', part: undefined, quantity: machine.surroundings.inside });
  inputs.push({ key: 'crew.pause', label: 'pause between two operations', part: undefined, quantity: PAUSE });
  const steps: [('power up' | 'power down'), readonly Step[]][] = [['power up', machine.powerUp], ['power down', machine.powerDown]];
  for (const [list, some] of steps)
    some.forEach((step, k) => {
      if (step.act === 'wait' || step.act === 'hold')
        inputs.push({ key: stepKey(list, k), label: `“${step.text}”`, part: undefined, quantity: human(step.time) });
    });
  return inputs;
}

/** How well cables cool, over still air around each alone: tied, taped or crammed into a corner less. Common practice, no source. */
const CABLE_COOLING: Quantity = ranged('ratio', 0.8, 0.5, 1.3, 'class default');

function collectForMatch(machine: Machine): Input[] {
  const inputs: Input[] = [];
  for (const part of machine.parts.values())
    for (const [property, value] of Object.entries(part.values))
      if (isQuantity(value) && isForMatch(part, property)) inputs.push(fieldInput(part, property, value));
  inputs.push({ key: 'cables.cooling', label: 'how well cables cool', part: undefined, quantity: CABLE_COOLING });
  if (machine.mass !== undefined) inputs.push({ key: 'machine.mass', label: 'mass of the machine', part: undefined, quantity: machine.mass });
  return inputs;
}

function fieldInput(part: Part, property: string, quantity: Quantity): Input {
  return { key: `${part.id}.${property}`, label: `${wordsOf(property)} of ${part.id}`, part: part.id, quantity };
}

function isForMatch(part: Part, property: string): boolean {
  const field = kindOf(part.kind)?.fields[property];
  return field?.type === 'quantity' && field.match === true;
}

/** A time that a person keeps has a person's spread, unless the file gives one. */
function human(time: Quantity): Quantity {
  if (time.low !== time.high) return time;
  return ranged('time', time.value, time.value * HUMAN_SPREAD[0], time.value * HUMAN_SPREAD[1], 'class default');
}

function isQuantity(value: unknown): value is Quantity {
  return typeof value === 'object' && value !== null && 'dimension' in value;
}
