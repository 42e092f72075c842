import type { Step } from '../machine/machine.ts';
import type { Answer } from './answer.ts';
import type { Candidate } from './candidate.ts';
import { judged, runVariant } from './judged-steps.ts';
import { Refused } from './runs.ts';
import { usedSoftStarts } from './slip-steps.ts';
import type { Study } from './study.ts';
import { RANK, worst } from './words.ts';

interface Move {
  /** For each place, which step comes to stand there. */
  readonly order: readonly number[];
  readonly words: string;
}

/** Free: another closing order, where one is better than the procedure as written. The best that was found. */
export function orderCandidates(base: Study, answer: Answer): Candidate[] {
  let best = RANK[answer.verdict];
  let found: Move | undefined;
  for (const move of moves(base)) {
    const rank = rankOf(base, move);
    if (rank >= best) continue;
    best = rank;
    found = move;
    if (rank === RANK.good) break;
  }
  return found === undefined ? [] : [{ what: `Another order: ${found.words}`, free: true, changes: [{ change: 'order', order: found.order }], caution: undefined }];
}

/** Every closing that is not good, done earlier or later. */
function moves(base: Study): Move[] {
  const steps = base.machine.powerUp;
  const operations = steps.flatMap((step, k) => ('part' in step ? [k] : []));
  const wrong = judged(base, base.nominal).filter(({ judgement }) => judgement.verdict !== 'good').map(({ closing }) => closing.step);
  const mains = usedSoftStarts(base).map(({ main }) => main.step);
  return [...new Set(wrong)].flatMap((k): Move[] => {
    const at = operations.indexOf(k);
    // A main contact that its soft start precedes is no question of order, but for the step beside it.
    const near = (other: number): boolean => !mains.includes(k) || Math.abs(operations.indexOf(other) - at) === 1;
    return operations.filter((other) => other !== k && near(other) && partOf(steps[other]) !== partOf(steps[k])).map((other) => move(base, k, other));
  });
}

/** Step `k` done just before an earlier step, or just after a later one and its count. */
function move({ machine: { powerUp } }: Study, k: number, other: number): Move {
  const rest = powerUp.flatMap((_, index) => (index === k ? [] : [index]));
  const own = `“${powerUp[k]!.text}”`;
  const beside = `“${powerUp[other]!.text}”`;
  if (other < k) {
    const place = rest.indexOf(other);
    return { order: [...rest.slice(0, place), k, ...rest.slice(place)], words: `${own} before ${beside}` };
  }
  let place = rest.indexOf(other) + 1;
  while (powerUp[rest[place] ?? -1]?.act === 'wait') place++;
  return { order: [...rest.slice(0, place), k, ...rest.slice(place)], words: `${own} after ${beside}` };
}

function rankOf(base: Study, { order }: Move): number {
  try {
    const run = runVariant(base, order.map((k) => base.machine.powerUp[k]!));
    return RANK[worst(judged(base, run).map(({ judgement }) => judgement.verdict))];
  } catch (error) {
    if (error instanceof Refused) return RANK.bad;
    throw error;
  }
}

function partOf(step: Step | undefined): string | undefined {
  return step !== undefined && 'part' in step ? step.part : undefined;
}
