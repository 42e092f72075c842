import type { Circuit } from '../machine/circuit/circuit.ts';
import type { Dimension } from '../quantity/quantity.ts';
import { formatValue } from '../quantity/format.ts';
import type { Figure, Item, Verdict } from './answer.ts';

/** A voltage, current, energy... as people read it, to two or three figures. */
export function say(value: number, dimension: Dimension, digits = 2): string {
  return formatValue(value, dimension, digits);
}

/** A part as a person calls it: the first words of its `about` with its id, `drive isolator Q1`. */
export function called(circuit: Pick<Circuit, 'machine'>, part: string): string {
  const found = circuit.machine.parts.get(part);
  if (found === undefined) return part;
  const words = found.about?.split(/[,;:(]/)[0]?.trim() ?? '';
  return words === '' || words.length > 40 ? part : `${words} ${part}`;
}

/** How bad a verdict is, for the worst of several. */
export const RANK: Record<Verdict, number> = { good: 0, 'cannot tell': 1, marginal: 2, bad: 3 };

export function worst(verdicts: readonly Verdict[]): Verdict {
  return verdicts.reduce<Verdict>((a, b) => (RANK[b] > RANK[a] ? b : a), 'good');
}

/** The item that decides: the worst verdict, then the smallest share of its limit left. */
export function deciding(items: readonly Item[]): Item | undefined {
  const counted = items.filter((item) => !item.slip);
  const verdict = worst(counted.map((item) => item.verdict));
  const candidates = counted.filter((item) => item.verdict === verdict);
  return [...candidates].sort((a, b) => room(a) - room(b))[0];
}

/** Share of its limit that an item has left; an item without limit has all the room there is, one without figure none. */
function room(item: Item): number {
  if (item.figure === undefined) return -Infinity;
  if (item.margin === undefined || item.limit === undefined) return Infinity;
  return item.margin / Math.max(Math.abs(item.limit), Number.MIN_VALUE);
}

export function figure(value: number, unit: string, dimension: Dimension, spread: readonly number[]): Figure {
  const finite = spread.filter(Number.isFinite);
  return { value, unit, dimension, low: Math.min(value, ...finite), high: Math.max(value, ...finite) };
}

/** Lower and upper end of the middle 90 %. */
export function middleNinety(values: readonly number[]): readonly number[] {
  if (values.length === 0) return [];
  const sorted = [...values].sort((a, b) => a - b);
  const at = (share: number): number => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!;
  return [at(0.05), at(0.95)];
}

export function shareOf<T>(list: readonly T[], test: (entry: T) => boolean): number | undefined {
  return list.length === 0 ? undefined : list.filter(test).length / list.length;
}
