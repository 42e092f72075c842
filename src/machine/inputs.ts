import { quantile, ranged, type Quantity } from '../quantity/quantity.ts';
import { sampler } from '../quantity/random.ts';
import { wordsOf } from './field.ts';
import type { Machine, Step } from './machine.ts';

/** One number that a circuit or a procedure is made of. */
export interface Input {
  /** `T1.capacitance`, `drive#1.length`, `step 3.time`. */
  readonly key: string;
  /** In words: `capacitance of T1`. */
  readonly label: string;
  readonly part: string | undefined;
  readonly quantity: Quantity;
}

/** Every input of a machine, in a fixed order; a set of values is an array in the same order. */
export class Inputs {
  readonly list: readonly Input[];
  private readonly index: ReadonlyMap<string, number>;

  constructor(machine: Machine) {
    this.list = collect(machine);
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
      if (isQuantity(value)) inputs.push({ key: `${part.id}.${property}`, label: `${wordsOf(property)} of ${part.id}`, part: part.id, quantity: value });
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

/** A time that a person keeps has a person's spread, unless the file gives one. */
function human(time: Quantity): Quantity {
  if (time.low !== time.high) return time;
  return ranged('time', time.value, time.value * HUMAN_SPREAD[0], time.value * HUMAN_SPREAD[1], 'class default');
}

function isQuantity(value: unknown): value is Quantity {
  return typeof value === 'object' && value !== null && 'dimension' in value;
}
