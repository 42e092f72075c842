import type { Study } from './study.ts';
import { formatValue } from '../quantity/format.ts';
import type { Quantity } from '../quantity/quantity.ts';

/** How strongly an input moves a figure across the samples. */
export interface Influence {
  readonly input: number;
  readonly label: string;
  /** Rank correlation, −1 to 1. */
  readonly correlation: number;
  /** Number of samples behind it. */
  readonly samples: number;
}

/** Rank correlations of every uncertain input with a figure, strongest first; samples without a figure are left out. */
export function influences(base: Study, seed: number, samples: readonly number[], drawn: readonly number[]): Influence[] {
  const kept = drawn.flatMap((value, k) => (Number.isFinite(value) ? [k] : []));
  if (kept.length < 10) return [];
  const figureRanks = ranks(kept.map((k) => drawn[k]!));
  const values = kept.map((k) => base.circuit.inputs.sample(seed, samples[k]!));
  return base.circuit.inputs.list
    .flatMap((input, at): Influence[] => {
      if (input.quantity.low === input.quantity.high) return [];
      const correlation = correlate(ranks(values.map((v) => v[at]!)), figureRanks);
      return [{ input: at, label: `${input.label}, ${shortly(input.quantity)}`, correlation, samples: kept.length }];
    })
    .sort((a, b) => Math.abs(b.correlation) - Math.abs(a.correlation));
}

/** Correlations weaker than this are chance: three standard deviations of what independent ranks show, at least 0.2. */
export function matters({ correlation, samples }: Influence): boolean {
  return Math.abs(correlation) >= Math.max(0.2, 3 / Math.sqrt(samples));
}

/**
 * The worst corner for a figure that is bad when large: every input that moves it at its adverse end, the others as they are.
 */
export function worstCorner(base: Study, found: readonly Influence[]): Float64Array {
  const values = Float64Array.from(base.values);
  for (const influence of found) {
    if (!matters(influence)) continue;
    const { input, correlation } = influence;
    const { quantity } = base.circuit.inputs.list[input]!;
    values[input] = correlation > 0 ? quantity.high : quantity.low;
  }
  return values;
}

/** A quantity to three figures, with its spread and whether it is a class default. */
function shortly({ value, low, high, dimension, origin }: Quantity): string {
  const spread = low === high ? '' : ` (${formatValue(low, dimension)} to ${formatValue(high, dimension)})`;
  return `${formatValue(value, dimension)}${spread}${origin === 'class default' ? ', class default' : ''}`;
}

function ranks(values: readonly number[]): number[] {
  const order = values.map((value, k) => ({ value, k })).sort((a, b) => a.value - b.value);
  const result = new Array<number>(values.length).fill(0);
  order.forEach(({ k }, rank) => (result[k] = rank));
  return result;
}

function correlate(x: readonly number[], y: readonly number[]): number {
  const mean = (x.length - 1) / 2;
  let both = 0;
  let own = 0;
  for (let k = 0; k < x.length; k++) {
    both += (x[k]! - mean) * (y[k]! - mean);
    own += (x[k]! - mean) ** 2;
  }
  return own === 0 ? 0 : both / own;
}
