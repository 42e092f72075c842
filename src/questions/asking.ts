import { formatValue } from '../quantity/format.ts';
import { advise, TriedMachines } from './advice.ts';
import type { Advice, Answer, Asked } from './answer.ts';
import { boundaries } from './boundary.ts';
import { QUESTIONS, type QuestionId } from './catalogue.ts';
import { influences, matters, worstCorner } from './influence.ts';
import { Refused, trusting } from './runs.ts';
import { NO_SPREAD, sampleAt, type Spread } from './spread.ts';
import type { SampleRecord, Study } from './study.ts';

/** The questions of one machine: what several of them need is worked out once. */
export class Asking {
  private readonly tried = new TriedMachines();
  private readonly given = new Map<QuestionId, Answer>();
  /** Of questions that no spread changes. */
  private readonly done = new Map<QuestionId, Asked>();
  private readonly plain = new Map<Study, Map<QuestionId, Answer>>();

  constructor(readonly base: Study) {}

  /** At the machine's own values, before samples and advice: what can be shown first. */
  first(id: QuestionId): Answer {
    return answering(id, () => this.plainly(this.base, id));
  }

  /** With advice, and with the spread where there is one. */
  whole(id: QuestionId, { seed, samples, spread }: { readonly seed: number; readonly samples: number; readonly spread: Spread }): Answer {
    return answering(id, () => {
      const { base } = this;
      const asked = this.done.get(id) ?? QUESTIONS[id].ask(base, spread.records, (other) => this.given.get(other) ?? this.other(base, other), spread.fights);
      const answer = withSpread(base, asked, { id, seed, samples, spread, advice: this.advice(id, asked.answer) });
      this.given.set(id, answer);
      return answer;
    });
  }

  /** Works out what the whole answer needs and does not wait for the spread. */
  prepare(id: QuestionId): void {
    trusting(() => {
      const { base } = this;
      const asked = QUESTIONS[id].ask(base, NO_SPREAD.records, (other) => this.other(base, other), NO_SPREAD.fights);
      if (QUESTIONS[id].spread.length === 0 && QUESTIONS[id].others !== true) this.done.set(id, asked);
      this.advice(id, asked.answer);
    });
  }

  private advice(id: QuestionId, answer: Answer): Advice[] {
    return advise(this.base, answer, (changed) => this.plainly(changed, id), this.tried);
  }

  /** @throws Refused where it cannot be trusted */
  private plainly(base: Study, id: QuestionId): Answer {
    const { ask, again = ask } = QUESTIONS[id];
    const known = this.plain.get(base) ?? new Map<QuestionId, Answer>();
    this.plain.set(base, known);
    const found = known.get(id) ?? again(base, [], (other) => this.other(base, other), NO_SPREAD.fights).answer;
    known.set(id, found);
    return found;
  }

  /** An answer that another one looks at; undefined where it cannot be given. */
  private other(base: Study, id: QuestionId): Answer | undefined {
    return trusting(() => this.plainly(base, id));
  }
}

interface WithSpread {
  readonly id: QuestionId;
  readonly seed: number;
  readonly samples: number;
  readonly spread: Spread;
  readonly advice: readonly Advice[];
}

/** Adds advice, what the figure rests on, and the worst corner of its spread. */
function withSpread(base: Study, { answer, drawn, verdictAt, spread: told }: Asked, { id, seed, samples, spread, advice }: WithSpread): Answer {
  const found = influences(base, seed, spread.numbers, drawn);
  const moving = found.filter(matters);
  const corner = moving.length === 0 ? undefined : cornerFigure(base, answer, worstCorner(base, found));
  const figure = answer.figure === undefined || corner === undefined ? answer.figure : { ...answer.figure, high: Math.max(answer.figure.high, corner) };
  const boundary = verdictAt === undefined ? undefined : boundaries(base, answer, found, verdictAt);
  const basis = [
    ...answer.basis,
    ...(boundary === undefined ? [] : [...boundary.decides, ...boundary.decidesNothing]),
    ...moving.slice(0, 5).map((i) => `What moves it most: ${i.label}.`),
    ...(corner === undefined || answer.figure === undefined ? [] : [`Worst corner, all of these at their adverse end: ${formatValue(corner, answer.figure.dimension)}.`]),
    told ?? spreadWords(id, samples, seed, spread),
  ];
  return { ...answer, says: [answer.says, ...(boundary?.decides ?? [])].join(' '), figure, advice, basis };
}

function spreadWords(id: QuestionId, samples: number, seed: number, { records }: Spread): string {
  if (QUESTIONS[id].spread.length === 0) return "The machine's own values decide it, each as the file or the class default gives it; their spread was not run for this question.";
  if (samples === 0) return 'No spread samples were run: shares that pass are not known.';
  const lost = samples - records.length;
  return `${records.length} samples of every input's spread, seed ${seed}${lost === 0 ? '' : `; ${lost} refused by their own checks and left out`}.`;
}

/** The deciding figure at other values; undefined where there is none, or where it cannot be trusted. */
function cornerFigure(base: Study, answer: Answer, values: Float64Array): number | undefined {
  const record = sampleAt(base, values);
  if (record === undefined) return undefined;
  const at = answer.items.filter((item) => !item.slip).findIndex((item) => item.figure === answer.figure);
  const found = figuresOf(answer.id, record)[at];
  return found !== undefined && Number.isFinite(found) ? found : undefined;
}

/** What a record holds of an answer's items, in their order. */
function figuresOf(id: string, record: SampleRecord): readonly (number | undefined)[] {
  switch (id) {
    case 'spark':
      return record.closings.map((closing) => closing.missing_V);
    case 'hold':
      return record.softStarts.map((softStart) => softStart.needed_s);
    case 'overvoltage':
      return record.points_V;
    case 'discharge':
      return record.emptyings.map((emptying) => emptying.safe_s);
    default:
      return [];
  }
}

function answering(id: QuestionId, ask: () => Answer): Answer {
  try {
    return ask();
  } catch (error) {
    return refusal(id, error);
  }
}

/** An answer that cannot be given, with its cause; anything but a refusal is a fault of this program and goes on up. */
export function refusal(id: QuestionId, error: unknown): Answer {
  if (!(error instanceof Refused)) throw error;
  return {
    id,
    question: QUESTIONS[id].question,
    verdict: 'cannot tell',
    says: `The numbers cannot be trusted: ${error.message}.`,
    figure: undefined,
    limit: undefined,
    margin: undefined,
    passes: undefined,
    items: [],
    needs: [],
    refused: error.message,
    parts: [],
    evidence: [],
    advice: [],
    basis: [],
    cautions: [],
    notAProblem: [],
  };
}
