import type { MatchRecord } from '../machine/match/record.ts';
import type { NumberedMatch } from '../machine/match/spread.ts';
import { fightHere } from './match-study.ts';
import { trusting } from './runs.ts';
import { recordSample, type SampleRecord, type Study } from './study.ts';

/** The record of one numbered sample. */
export interface NumberedRecord {
  readonly sample: number;
  readonly record: SampleRecord;
}

/** Runs samples elsewhere (worker threads), beside this one; the same numbers as running them here. */
export interface SamplePool {
  /** How many pieces of work it does at a time. */
  readonly hands: number;
  records(text: string, seed: number, samples: readonly number[]): Promise<readonly NumberedRecord[]>;
  /** Matches of the spread; run here where it has none. */
  matches?(text: string, seed: number, samples: readonly number[]): Promise<readonly NumberedMatch[]>;
  /** Lets what the threads have to say be heard; this one asks for it between two pieces of its own work. */
  breath(): Promise<void>;
}

/** What is known of a machine's spread. */
export interface Spread {
  readonly records: readonly SampleRecord[];
  /** Number of the sample behind each record. */
  readonly numbers: readonly number[];
  readonly fights: readonly MatchRecord[];
}

export const NO_SPREAD: Spread = { records: [], numbers: [], fights: [] };

/** In the order of their numbers, whoever ran them; a match that was refused is left out. */
export function spreadOf(records: readonly NumberedRecord[], fights: readonly NumberedMatch[]): Spread {
  const some = [...records].sort((a, b) => a.sample - b.sample);
  return {
    records: some.map(({ record }) => record),
    numbers: some.map(({ sample }) => sample),
    fights: [...fights].sort((a, b) => a.sample - b.sample).flatMap(({ outcome }) => (outcome.status === 'done' ? [outcome.record] : [])),
  };
}

export interface SpreadRequest {
  readonly base: Study;
  /** Text of the machine's file: what a pool's threads read. */
  readonly text: string;
  readonly seed: number;
  /** Power-ups of the spread. */
  readonly samples: number;
  /** Matches of the spread. */
  readonly matches: number;
  readonly progress?: ((done: number, of: number, what: string) => void) | undefined;
  readonly pool?: SamplePool | undefined;
  /** What this thread has to do anyway, in small steps: done while the pool's threads run samples. */
  readonly meanwhile?: Iterable<unknown>;
  /** Power-ups or matches in one piece of work. */
  readonly each?: number;
  /** Asked between two pieces of work that are done here: false ends it. */
  readonly goOn?: () => Promise<boolean>;
}

/** Samples in pieces, so that progress shows and every thread stays busy. */
const SAMPLES_PER_PIECE = 10;
/** Fewer matches, for the same reason. */
const MATCHES_PER_PIECE = 2;
/** Pieces that wait at each thread while this one is busy for long: none of them may run dry. */
const AHEAD = 8;

interface Piece {
  readonly of: 'samples' | 'matches';
  readonly numbers: readonly number[];
}

/**
 * Runs the samples of a machine's spread: on the pool's threads, and here once `meanwhile` is done.
 * @returns undefined when `goOn` has ended it
 */
export async function gatherSpread(request: SpreadRequest): Promise<Spread | undefined> {
  const { base, text, seed, samples, matches, each, pool, goOn = () => Promise.resolve(true) } = request;
  const records: NumberedRecord[] = [];
  const fights: NumberedMatch[] = [];
  const done = { samples: 0, matches: 0 };
  const run = async ({ of, numbers }: Piece, where: SamplePool | undefined): Promise<void> => {
    if (of === 'samples') records.push(...(where === undefined ? sampleHere(base, seed, numbers) : await where.records(text, seed, numbers)));
    else fights.push(...(where?.matches === undefined ? fightHere(base, seed, numbers) : await where.matches(text, seed, numbers)));
    done[of] += numbers.length;
    request.progress?.(done[of], of === 'samples' ? samples : matches, `${of} of the spread`);
  };
  // Matches first: what takes longest must not be what is left at the end.
  const waiting: Piece[] = [...pieces('matches', matches, each ?? MATCHES_PER_PIECE), ...pieces('samples', samples, each ?? SAMPLES_PER_PIECE)];
  let hired = (pool?.hands ?? 0) * AHEAD;
  let busy = hired;
  const hand = async (): Promise<void> => {
    for (let piece = waiting.shift(); piece !== undefined; piece = busy > hired ? undefined : waiting.shift()) await run(piece, pool);
    busy--;
  };
  const others = Promise.all(Array.from({ length: hired }, hand));
  // A thread that fails is heard below, where it is waited for.
  others.catch(() => undefined);
  if (pool !== undefined) for (const _step of request.meanwhile ?? []) await pool.breath();
  // From here on this thread listens often: little work that waits at the others ends sooner together with its own.
  hired = (pool?.hands ?? 0) * 2;
  // From the other end, so that those of the pool and this one meet.
  for (let piece = take(waiting, pool); piece !== undefined; piece = take(waiting, pool)) {
    await run(piece, undefined);
    await pool?.breath();
    if (!(await goOn())) return undefined;
  }
  await others;
  return spreadOf(records, fights);
}

function take(waiting: Piece[], pool: SamplePool | undefined): Piece | undefined {
  return pool === undefined ? waiting.shift() : waiting.pop();
}

function pieces(of: Piece['of'], count: number, each: number): Piece[] {
  return Array.from({ length: Math.ceil(count / each) }, (_, p) => ({ of, numbers: Array.from({ length: Math.min(each, count - p * each) }, (_none, k) => p * each + k) }));
}

/** Records of some samples; one that is refused is left out and counted by its absence. */
export function sampleHere(base: Study, seed: number, samples: readonly number[]): NumberedRecord[] {
  return samples.flatMap((sample) => {
    const record = sampleAt(base, base.circuit.inputs.sample(seed, sample));
    return record === undefined ? [] : [{ sample, record }];
  });
}

/** What one set of values makes of the machine; undefined where it cannot be trusted. */
export function sampleAt(base: Study, values: Float64Array): SampleRecord | undefined {
  return trusting(() => recordSample(base, values));
}
