import type { Machine } from '../machine/machine.ts';
import type { MatchRecord } from '../machine/match/record.ts';
import type { NumberedMatch } from '../machine/match/spread.ts';
import { formatValue } from '../quantity/format.ts';
import { advise, TriedMachines, type AskNominal } from './advice.ts';
import type { Answer, Asked } from './answer.ts';
import { boundaries } from './boundary.ts';
import { discharge } from './discharge.ts';
import { faults } from './faults.ts';
import { fuses } from './fuses.ts';
import { heat } from './heat.ts';
import { hold } from './hold.ts';
import { influences, matters, worstCorner } from './influence.ts';
import { inspectionByGenericRules } from './inspection.ts';
import { mass } from './mass.ts';
import { fightHere, matchLoads, MOST_MATCHES } from './match-study.ts';
import { opening } from './opening.ts';
import { overvoltage } from './overvoltage.ts';
import { pack } from './pack.ts';
import { parallel } from './parallel.ts';
import { isolation } from './isolation.ts';
import { radio } from './radio.ts';
import { Refused } from './runs.ts';
import { softStart } from './soft-start.ts';
import { spark, sparkAsWritten } from './spark.ts';
import { stall } from './stall.ts';
import { programming } from './programming.ts';
import { recordSample, study, type SampleRecord, type Study } from './study.ts';
import { trip } from './trip.ts';
import { turnaround } from './turnaround.ts';
import { wear } from './wear.ts';

export type QuestionId = 'spark' | 'hold' | 'stall' | 'soft-start' | 'trip' | 'parallel' | 'isolation' | 'faults' | 'opening' | 'programming' | 'radio' | 'pack' | 'heat' | 'fuses' | 'overvoltage' | 'turnaround' | 'discharge' | 'wear' | 'inspection' | 'mass';
export const QUESTION_IDS: readonly QuestionId[] = ['spark', 'hold', 'stall', 'soft-start', 'trip', 'parallel', 'isolation', 'faults', 'opening', 'programming', 'radio', 'pack', 'heat', 'fuses', 'overvoltage', 'turnaround', 'discharge', 'wear', 'inspection', 'mass'];

/** Runs samples elsewhere (worker threads); the same numbers as running them here. */
export interface SamplePool {
  records(text: string, seed: number, samples: readonly number[]): Promise<readonly NumberedRecord[]>;
  /** Matches of the spread; run here where it has none. */
  matches?(text: string, seed: number, samples: readonly number[]): Promise<readonly NumberedMatch[]>;
}

export interface AskRequest {
  readonly machine: Machine;
  /** Text of the machine's file: what a pool's threads read. */
  readonly text: string;
  readonly only?: readonly QuestionId[];
  readonly samples: number;
  readonly seed: number;
  readonly progress?: (done: number, of: number, what: string) => void;
  readonly pool?: SamplePool;
  /** The machine's study, where it has been made before. */
  readonly base?: Study;
}

/** Asks a machine's questions. Samples are shared by all of them. */
export async function askQuestions(request: AskRequest): Promise<Answer[]> {
  const ids = request.only ?? QUESTION_IDS;
  let base: Study;
  try {
    base = request.base ?? study(request.machine);
  } catch (error) {
    return ids.map((id) => refusal(id, error));
  }
  const records = await sampleRecords(request, base);
  const fights = ids.some((id) => QUESTIONS[id].fights === true) ? await matchRecords(request, base) : [];
  const tried = new TriedMachines();
  const given = new Map<QuestionId, Answer>();
  return ids.map((id) => {
    const { ask, again = ask } = QUESTIONS[id];
    try {
      const asked = ask(base, records.good, (other) => given.get(other) ?? asIs(base, other), fights);
      const nominal: AskNominal = (other) => again(other, [], (id) => asIs(other, id), []).answer;
      const answer = withSpread(base, asked, request, records, advise(base, asked.answer, nominal, tried));
      given.set(id, answer);
      return answer;
    } catch (error) {
      return refusal(id, error);
    }
  });
}

interface Records {
  readonly good: readonly SampleRecord[];
  /** Number of the sample behind each record. */
  readonly numbers: readonly number[];
}

/** Adds advice, what the figure rests on, and the worst corner of its spread. */
function withSpread(base: Study, { answer, drawn, verdictAt, spread }: Asked, request: AskRequest, records: Records, advice: Answer['advice']): Answer {
  const found = influences(base, request.seed, records.numbers, drawn);
  const moving = found.filter(matters);
  const corner = moving.length === 0 ? undefined : cornerFigure(base, answer, worstCorner(base, found));
  const figure = answer.figure === undefined || corner === undefined ? answer.figure : { ...answer.figure, high: Math.max(answer.figure.high, corner) };
  const lost = request.samples - records.good.length;
  const boundary = verdictAt === undefined ? undefined : boundaries(base, answer, found, verdictAt);
  const basis = [
    ...answer.basis,
    ...(boundary === undefined ? [] : [...boundary.decides, ...boundary.decidesNothing]),
    ...moving.slice(0, 5).map((i) => `What moves it most: ${i.label}.`),
    ...(corner === undefined || answer.figure === undefined ? [] : [`Worst corner, all of these at their adverse end: ${formatValue(corner, answer.figure.dimension)}.`]),
    spread ?? (request.samples === 0
      ? 'No spread samples were run: shares that pass are not known.'
      : `${records.good.length} samples of every input's spread, seed ${request.seed}${lost === 0 ? '' : `; ${lost} refused by their own checks and left out`}.`),
  ];
  return { ...answer, says: [answer.says, ...(boundary?.decides ?? [])].join(' '), figure, advice, basis };
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

/** Samples in pieces, so that progress shows and both threads stay busy. */
const SAMPLES_PER_PIECE = 10;

async function sampleRecords(request: AskRequest, base: Study): Promise<Records> {
  const numbers = Array.from({ length: request.samples }, (_, k) => k);
  const pieces: number[][] = [];
  for (let k = 0; k < numbers.length; k += SAMPLES_PER_PIECE) pieces.push(numbers.slice(k, k + SAMPLES_PER_PIECE));
  let done = 0;
  const tick = (count: number): void => {
    done += count;
    request.progress?.(done, request.samples, 'samples of the spread');
  };
  const { pool } = request;
  const results: (readonly NumberedRecord[])[] =
    pool === undefined
      ? pieces.map((piece) => {
          const found = sampleHere(base, request.seed, piece);
          tick(piece.length);
          return found;
        })
      : await Promise.all(
          pieces.map(async (piece) => {
            const found = await pool.records(request.text, request.seed, piece);
            tick(piece.length);
            return found;
          }),
        );
  const good = results.flat();
  return { good: good.map((g) => g.record), numbers: good.map((g) => g.sample) };
}

/** Matches in pieces, for the same reason: one takes as long as several samples. */
const MATCHES_PER_PIECE = 4;

/** Records of the matches of the spread, fewer than the samples: one takes longer. */
async function matchRecords(request: AskRequest, base: Study): Promise<readonly MatchRecord[]> {
  const { pool, seed, text } = request;
  const count = Math.min(request.samples, MOST_MATCHES);
  if (count === 0 || base.fought().status !== 'fought') return [];
  const pieces = Array.from({ length: Math.ceil(count / MATCHES_PER_PIECE) }, (_, p) => Array.from({ length: Math.min(MATCHES_PER_PIECE, count - p * MATCHES_PER_PIECE) }, (_none, k) => p * MATCHES_PER_PIECE + k));
  let done = 0;
  const told = (found: readonly NumberedMatch[]): readonly NumberedMatch[] => {
    done += found.length;
    request.progress?.(done, count, 'matches of the spread');
    return found;
  };
  const results = pool?.matches === undefined
    ? pieces.map((piece) => told(fightHere(base, seed, piece)))
    : await Promise.all(pieces.map(async (piece) => told(await pool.matches!(text, seed, piece))));
  return results.flat().flatMap(({ outcome }) => (outcome.status === 'done' ? [outcome.record] : []));
}

/** The record of one numbered sample. */
export interface NumberedRecord {
  readonly sample: number;
  readonly record: SampleRecord;
}

/** Records of some samples; one that is refused is left out and counted by its absence. */
export function sampleHere(base: Study, seed: number, samples: readonly number[]): NumberedRecord[] {
  return samples.flatMap((sample) => {
    const record = sampleAt(base, base.circuit.inputs.sample(seed, sample));
    return record === undefined ? [] : [{ sample, record }];
  });
}

function sampleAt(base: Study, values: Float64Array): SampleRecord | undefined {
  try {
    return recordSample(base, values);
  } catch (error) {
    if (error instanceof Refused) return undefined;
    throw error;
  }
}

/**
 * @param others  the answers to other questions about the same machine, where they can be given
 * @param fights  matches of the spread
 */
type Ask = (base: Study, records: readonly SampleRecord[], others: (id: QuestionId) => Answer | undefined, fights: readonly MatchRecord[]) => Asked;

interface Question {
  readonly question: string;
  readonly ask: Ask;
  /** The cheaper form for a machine that is only tried, where there is one. */
  readonly again?: Ask;
  /** Looks at matches of the spread. */
  readonly fights?: true;
}

const QUESTIONS: Record<QuestionId, Question> = {
  spark: { question: 'Will closing a switch spark?', ask: spark, again: sparkAsWritten },
  hold: { question: 'How long must the soft start be held?', ask: hold },
  stall: { question: 'Does the soft start ever finish?', ask: stall },
  'soft-start': { question: 'Will the soft-start parts survive?', ask: softStart },
  trip: { question: 'Will a battery protection or fuse trip on connecting?', ask: trip },
  parallel: { question: 'Are these packs safe to join, and how do they share?', ask: parallel },
  isolation: { question: 'Can a branch wake while its isolator is open?', ask: isolation },
  programming: { question: 'Can the controllers be programmed on the soft start, a limited bench supply or a series lamp?', ask: programming },
  faults: { question: 'What can one failed part or one loose joint do?', ask: faults },
  opening: { question: 'What if this opens at the worst moment?', ask: (base, records) => opening(base, records, matchLoads(base)) },
  radio: { question: 'Will the radio stay up?', ask: (base, records, _others, fights) => radio(base, records, fights), fights: true },
  pack: { question: 'Will the pack last the match?', ask: (base, records, _others, fights) => pack(base, records, fights), fights: true },
  heat: { question: 'Will anything overheat?', ask: (base, records, _others, fights) => heat(base, records, fights), fights: true },
  fuses: { question: 'Will the fuse hold, protect, interrupt and be selective?', ask: (base, records) => fuses(base, records, matchLoads(base)) },
  overvoltage: { question: 'Will any part see too much voltage?', ask: (base, records, _others, fights) => overvoltage(base, records, fights), fights: true },
  turnaround: { question: 'When is it ready for the next match, and what does a day need?', ask: (base, records, _others, fights) => turnaround(base, records, fights), fights: true },
  discharge: { question: 'How long until it is safe to touch?', ask: discharge },
  wear: { question: 'When are contacts worn out?', ask: wear },
  mass: { question: 'What does the power system weigh?', ask: mass },
  inspection: { question: 'Would it pass inspection?', ask: inspectionByGenericRules },
};

/** One answer at the machine's own values, before samples and advice: what can be shown first. */
export function firstAnswer(base: Study, id: QuestionId): Answer {
  const { ask, again = ask } = QUESTIONS[id];
  try {
    return again(base, [], (other) => asIs(base, other), []).answer;
  } catch (error) {
    return refusal(id, error);
  }
}

/** The answer to one question at the machine's own values, without samples and advice. */
function asIs(base: Study, id: QuestionId): Answer | undefined {
  const { ask, again = ask } = QUESTIONS[id];
  try {
    return again(base, [], (other) => asIs(base, other), []).answer;
  } catch (error) {
    if (error instanceof Refused) return undefined;
    throw error;
  }
}

/** An answer that cannot be given, with its cause; anything but a refusal is a fault of this program and goes on up. */
function refusal(id: QuestionId, error: unknown): Answer {
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
