import type { Input } from '../machine/inputs.ts';
import { formatValue } from '../quantity/format.ts';
import type { Answer, Verdict } from './answer.ts';
import { matters, type Influence } from './influence.ts';
import { trusting } from './runs.ts';
import type { Study } from './study.ts';
import { RANK } from './words.ts';

export type VerdictAt = (values: Float64Array) => Verdict;

/** What one unknown input does to a verdict over its spread, everything else nominal. */
export type Boundary =
  | { readonly turns: false; readonly verdict: Verdict }
  | {
      readonly turns: true;
      /** Where the verdict turns, SI. */
      readonly at: number;
      /** On which side of it the better verdict lies. */
      readonly better: 'below' | 'above';
      readonly best: Verdict;
    };

/** Halving goes on until the boundary is known to this share of itself: the input is known to two figures at best. */
const PRECISION = 2e-3;

/**
 * Finds where a verdict turns as one input runs over its spread, by halving (on a log scale where the spread allows it).
 * @returns undefined where it turns more than once
 */
export function boundaryOf(base: Study, input: number, verdictAt: VerdictAt): Boundary | undefined {
  const { low, value, high } = quantityOf(base, input);
  const at = (x: number): Verdict => {
    const values = Float64Array.from(base.values);
    values[input] = x;
    return verdictAt(values);
  };
  const ends = [at(low), at(value), at(high)] as const;
  const best = ends.reduce((a, b) => (RANK[b] < RANK[a] ? b : a));
  const [lowGood, middleGood, highGood] = ends.map((verdict) => verdict === best) as [boolean, boolean, boolean];
  if (lowGood && middleGood && highGood) return { turns: false, verdict: best };
  if (lowGood === highGood) return undefined;
  let good = lowGood ? (middleGood ? value : low) : middleGood ? value : high;
  let bad = lowGood ? (middleGood ? high : value) : middleGood ? low : value;
  const middle = (): number => (good > 0 && bad > 0 ? Math.sqrt(good * bad) : (good + bad) / 2);
  while (Math.abs(good - bad) > PRECISION * Math.max(Math.abs(good), Math.abs(bad))) {
    const x = middle();
    if (at(x) === best) good = x;
    else bad = x;
  }
  return { turns: true, at: middle(), better: lowGood ? 'below' : 'above', best };
}

export interface BoundaryWords {
  /** Where an unknown decides: `Good while the capacitance of T1 is under 4.1 mF; the class default spans 2 mF to 7 mF.` */
  readonly decides: readonly string[];
  /** What need not be measured. */
  readonly decidesNothing: readonly string[];
}

/** Unknowns that people think of measuring, by the field that holds them. */
const MEASURED_FIELDS: ReadonlyMap<string, string> = new Map([['capacitance', 'capacitance'], ['standby', 'standby current'], ['forceRise', 'contact force']]);
/** Boundaries are looked for in the strongest unknowns only. */
const STRONGEST = 2;

/** Boundaries of the strongest unknowns of an answer's verdict, and the usual suspects that do not matter to it. */
export function boundaries(base: Study, answer: Answer, found: readonly Influence[], verdictOf: VerdictAt): BoundaryWords {
  const verdictAt = remembering(base, verdictOf);
  const unknown = found.filter(({ input }) => quantityOf(base, input).origin === 'class default');
  const decides = unknown.filter(matters).slice(0, STRONGEST).flatMap(({ input }): string[] => {
    const boundary = trusting(() => boundaryOf(base, input, verdictAt));
    return boundary?.turns === true ? [turnWords(base, input, boundary)] : [];
  });
  const parts = concerned(base, answer);
  const decidesNothing = [...MEASURED_FIELDS].flatMap(([field, words]): string[] => {
    const inputs = unknown.map(({ input }) => input).filter((input) => inputOf(base, input).key.endsWith(`.${field}`) && parts.has(inputOf(base, input).part ?? ''));
    if (inputs.length === 0 || trusting(() => sameOverAll(base, inputs, verdictAt)) !== true) return [];
    const names = inputs.map((input) => inputOf(base, input).part ?? '').sort();
    return [`No need to measure the ${words} of ${listed(names)} for this: the verdict is the same over all that the class default spans, everything else as it is.`];
  });
  return { decides, decidesNothing };
}

/** The contact that decides whether it sparks, and what stands behind the soft starts that the answer is about. */
function concerned({ softStarts, circuit }: Study, { id, parts }: Answer): ReadonlySet<string> {
  const about = softStarts.filter(({ resistor, entryPart, mains }) => [resistor, entryPart, ...mains.map(({ part }) => part)].some((part) => parts.includes(part)));
  const behind = (softStarts.length === 0 ? [circuit.loads] : about).flatMap(({ banks, standby }) => [...banks, ...standby].map(({ part }) => part));
  return new Set([...behind, ...(id === 'spark' ? parts : [])]);
}

/** The verdict at the machine's own values is asked for again and again. */
function remembering(base: Study, verdictAt: VerdictAt): VerdictAt {
  let own: Verdict | undefined;
  return (values) => (values.every((value, k) => value === base.values[k]) ? (own ??= verdictAt(values)) : verdictAt(values));
}

/** Whether a verdict stays as it is with some inputs all low and all high. */
function sameOverAll(base: Study, inputs: readonly number[], verdictAt: VerdictAt): boolean {
  const at = (end: 'low' | 'value' | 'high'): Verdict => {
    const values = Float64Array.from(base.values);
    for (const input of inputs) values[input] = quantityOf(base, input)[end];
    return verdictAt(values);
  };
  const verdict = at('value');
  return at('low') === verdict && at('high') === verdict;
}

function turnWords(base: Study, input: number, { at, better, best }: Extract<Boundary, { turns: true }>): string {
  const { label, part, quantity } = inputOf(base, input);
  const { dimension, low, high } = quantity;
  const span = `${formatValue(low, dimension)} to ${formatValue(high, dimension)}`;
  const name = part === undefined && label.startsWith('“') ? label : `the ${label}`;
  const whose = dimension === 'time' && part === undefined ? `people take ${span}` : `the class default spans ${span}`;
  return `${best === 'good' ? 'Good' : 'No worse than marginal'} while ${name} is ${better === 'below' ? 'under' : 'over'} ${formatValue(at, dimension, 2)}; ${whose}.`;
}

function inputOf(base: Study, input: number): Input {
  return base.circuit.inputs.list[input]!;
}

function quantityOf(base: Study, input: number): Input['quantity'] {
  return inputOf(base, input).quantity;
}

function listed(names: readonly string[]): string {
  return names.length < 2 ? (names[0] ?? '') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)!}`;
}
