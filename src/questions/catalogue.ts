import type { MatchRecord } from '../machine/match/record.ts';
import type { Answer, Asked } from './answer.ts';
import { discharge } from './discharge.ts';
import { faults } from './faults.ts';
import { fuses, fusesBriefly } from './fuses.ts';
import { heat } from './heat.ts';
import { hold } from './hold.ts';
import { inspectionByGenericRules } from './inspection.ts';
import { isolation } from './isolation.ts';
import { mass } from './mass.ts';
import { opening } from './opening.ts';
import { overvoltage } from './overvoltage.ts';
import { pack, packAsItIs } from './pack.ts';
import { parallel } from './parallel.ts';
import { programming } from './programming.ts';
import { radio } from './radio.ts';
import { softStart } from './soft-start.ts';
import { spark, sparkAsWritten } from './spark.ts';
import { stall } from './stall.ts';
import type { SampleRecord, Study } from './study.ts';
import { trip } from './trip.ts';
import { turnaround } from './turnaround.ts';
import { wear } from './wear.ts';

export type QuestionId = 'spark' | 'hold' | 'stall' | 'soft-start' | 'trip' | 'parallel' | 'isolation' | 'faults' | 'opening' | 'programming' | 'radio' | 'pack' | 'heat' | 'fuses' | 'overvoltage' | 'turnaround' | 'discharge' | 'wear' | 'inspection' | 'mass';
export const QUESTION_IDS: readonly QuestionId[] = ['spark', 'hold', 'stall', 'soft-start', 'trip', 'parallel', 'isolation', 'faults', 'opening', 'programming', 'radio', 'pack', 'heat', 'fuses', 'overvoltage', 'turnaround', 'discharge', 'wear', 'inspection', 'mass'];

/**
 * @param others  the answers to other questions about the same machine, where they can be given
 * @param fights  matches of the spread
 */
type Ask = (base: Study, records: readonly SampleRecord[], others: (id: QuestionId) => Answer | undefined, fights: readonly MatchRecord[]) => Asked;

export interface Question {
  readonly question: string;
  readonly ask: Ask;
  /** The cheaper form for a machine that is only tried, where there is one. */
  readonly again?: Ask;
  /** Looks at the answers to other questions. */
  readonly others?: true;
  /** What of the spread it looks at: power-ups, matches, both, or nothing. */
  readonly spread: readonly ('power-ups' | 'matches')[];
}

export const QUESTIONS: Record<QuestionId, Question> = {
  spark: { question: 'Will closing a switch spark?', ask: spark, again: sparkAsWritten, spread: ['power-ups'] },
  hold: { question: 'How long must the soft start be held?', ask: hold, spread: ['power-ups'] },
  stall: { question: 'Does the soft start ever finish?', ask: stall, spread: ['power-ups'] },
  'soft-start': { question: 'Will the soft-start parts survive?', ask: softStart, spread: ['power-ups'] },
  trip: { question: 'Will a battery protection or fuse trip on connecting?', ask: trip, spread: ['power-ups'] },
  parallel: { question: 'Are these packs safe to join, and how do they share?', ask: parallel, spread: ['power-ups'] },
  isolation: { question: 'Can a branch wake while its isolator is open?', ask: isolation, spread: ['power-ups'] },
  programming: { question: 'Can the controllers be programmed on the soft start, a limited bench supply or a series lamp?', ask: programming, spread: [] },
  faults: { question: 'What can one failed part or one loose joint do?', ask: faults, spread: [] },
  opening: { question: 'What if this opens at the worst moment?', ask: (base, records) => opening(base, records, base.loads()), spread: [] },
  radio: { question: 'Will the radio stay up?', ask: (base, records, _others, fights) => radio(base, records, fights), spread: ['matches'] },
  pack: { question: 'Will the pack last the match?', ask: (base, records, _others, fights) => pack(base, records, fights), again: (base, records, _others, fights) => packAsItIs(base, records, fights), spread: ['matches'] },
  heat: { question: 'Will anything overheat?', ask: (base, records, _others, fights) => heat(base, records, fights), spread: ['matches'] },
  fuses: { question: 'Will the fuse hold, protect, interrupt and be selective?', ask: (base, records) => fuses(base, records, base.loads()), again: (base, records) => fusesBriefly(base, records, base.loads()), spread: ['power-ups'] },
  overvoltage: { question: 'Will any part see too much voltage?', ask: (base, records, _others, fights) => overvoltage(base, records, fights), spread: ['power-ups', 'matches'] },
  turnaround: { question: 'When is it ready for the next match, and what does a day need?', ask: (base, records, _others, fights) => turnaround(base, records, fights), spread: ['matches'] },
  discharge: { question: 'How long until it is safe to touch?', ask: discharge, spread: ['power-ups'] },
  wear: { question: 'When are contacts worn out?', ask: wear, spread: ['power-ups'] },
  mass: { question: 'What does the power system weigh?', ask: mass, spread: [] },
  inspection: { question: 'Would it pass inspection?', ask: inspectionByGenericRules, others: true, spread: [] },
};

