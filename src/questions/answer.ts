import type { FileEdit } from '../machine/edit.ts';
import type { Dimension } from '../quantity/quantity.ts';

export type Verdict = 'good' | 'marginal' | 'bad' | 'cannot tell';

/** The deciding figure of an answer: SI value with the ends of its spread. */
export interface Figure {
  readonly value: number;
  /** SI unit as printed in machine-readable output. */
  readonly unit: string;
  readonly dimension: Dimension;
  readonly low: number;
  readonly high: number;
}

/** One contact, branch, part or state of a question. */
export interface Item {
  /** Where and in which situation, in plain words: `drive isolator Q1 to ON`. */
  readonly where: string;
  readonly verdict: Verdict;
  /** What the figure is: `across the contact as it closes`. */
  readonly measure: string;
  readonly figure: Figure | undefined;
  /** SI, in the figure's unit. */
  readonly limit: number | undefined;
  /** Distance from the figure to the limit in the figure's unit; negative when beyond it. */
  readonly margin: number | undefined;
  /** Share of the seeded spread samples that pass, 0 to 1. */
  readonly passes: number | undefined;
  readonly parts: readonly string[];
  /** One or two sentences with the numbers that matter. */
  readonly says: string;
  /** True for what only a slip of the crew reaches; does not decide the answer's verdict. */
  readonly slip: boolean;
}

export interface Curve {
  readonly name: string;
  readonly x: readonly number[];
  readonly y: readonly number[];
  readonly dashed?: boolean;
}

/** A horizontal line that means something: a limit, a start voltage. */
export interface Threshold {
  readonly name: string;
  readonly at: number;
  readonly axis: 'x' | 'y';
}

/** What an axis shows; logarithmic where it says so. */
export interface PlotAxis {
  readonly name: string;
  readonly unit: string;
  readonly log?: true;
}

export type Evidence =
  | {
      readonly type: 'plot';
      readonly title: string;
      readonly x: PlotAxis;
      readonly y: PlotAxis;
      readonly curves: readonly Curve[];
      readonly thresholds: readonly Threshold[];
      /** Points to mark, with their word. */
      readonly marks: readonly { readonly x: number; readonly y: number; readonly name: string }[];
    }
  | { readonly type: 'table'; readonly title: string; readonly head: readonly string[]; readonly rows: readonly (readonly string[])[] };

/** Something to change, already re-run. */
export interface Advice {
  readonly what: string;
  readonly free: boolean;
  readonly edits: readonly FileEdit[];
  /** Verdict and deciding figure of the same question with the change made. */
  readonly verdict: Verdict;
  readonly says: string;
  readonly caution: string | undefined;
}

export interface Answer {
  /** Stable id of the question. */
  readonly id: string;
  readonly question: string;
  readonly verdict: Verdict;
  /** The answer in a sentence or two of plain words, number first after the word. */
  readonly says: string;
  /** The deciding item, repeated on top. */
  readonly figure: Figure | undefined;
  readonly limit: number | undefined;
  readonly margin: number | undefined;
  readonly passes: number | undefined;
  readonly items: readonly Item[];
  /** Inputs that are missing. */
  readonly needs: readonly string[];
  /** Cause of a refusal, when numbers could not be trusted. */
  readonly refused: string | undefined;
  readonly parts: readonly string[];
  readonly evidence: readonly Evidence[];
  readonly advice: readonly Advice[];
  /** What it rests on: class defaults used, assumptions, sources. */
  readonly basis: readonly string[];
  readonly cautions: readonly string[];
  /** Things people fear that are not a problem on this machine. */
  readonly notAProblem: readonly string[];
}

/** An answer with, for each spread sample, the number that its deciding item turned out to be (NaN where there was none). */
export interface Asked {
  readonly answer: Answer;
  readonly drawn: readonly number[];
  /** Verdict of its deciding item at other values of the inputs, samples aside. */
  readonly verdictAt?: (values: Float64Array) => Verdict;
  /** What its shares and ranges come from, where that is not the samples that the questions share. */
  readonly spread?: string;
}
