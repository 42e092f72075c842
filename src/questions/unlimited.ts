import type { MatchRecord } from '../machine/match/record.ts';
import type { Controller } from '../machine/parts/loads.ts';
import type { Item, Verdict } from './answer.ts';
import type { Candidate } from './candidate.ts';
import { moment } from './match-study.ts';
import type { Study } from './study.ts';
import { called, figure, middleNinety, say, shareOf } from './words.ts';

/** For seconds a controller bears this many times its rating; its transistors heat too fast for their case to show it. Common practice, no source. */
const BURST = 1.3;
/** Beyond this many times its rating transistors burn within one spin-up. Common practice, no source. */
const BURNS = 2;
const ENOUGH = 0.95;

/** What motors ask of controllers that do not hold their current to any limit: one item for each of them. */
export function unlimitedItems(base: Study, record: MatchRecord, fights: readonly MatchRecord[]): Item[] {
  return record.controllers.flatMap(({ part: id, motorPeak }, k): Item[] => {
    const part = base.machine.parts.get(id);
    if (part?.kind !== 'controller' || part.values.limitsCurrent !== false) return [];
    const rating_A = part.values.motorCurrent.value;
    const peaks = fights.map((fight) => fight.controllers[k]!.motorPeak.value);
    const passes = shareOf(peaks, (peak_A) => peak_A <= BURST * rating_A);
    const own: Verdict = motorPeak.value <= BURST * rating_A ? 'good' : motorPeak.value <= BURNS * rating_A ? 'marginal' : 'bad';
    return [
      {
        where: `motor current of ${called(base.circuit, id)}`,
        verdict: own === 'good' && passes !== undefined && passes < ENOUGH ? 'marginal' : own,
        measure: 'motor current, at the most',
        figure: figure(motorPeak.value, 'A', 'current', middleNinety(peaks)),
        limit: BURST * rating_A,
        margin: BURST * rating_A - motorPeak.value,
        passes,
        parts: [id],
        says: `${say(motorPeak.value, 'current')} at the most, ${moment(motorPeak)}; it is made for ${say(rating_A, 'current')} and ${say(BURST * rating_A, 'current')} for seconds, and nothing in it holds the motor to that.`,
        slip: false,
      },
    ];
  });
}

/** A current limit in every controller that has none and is asked for too much. */
export function limitingCandidates({ machine, circuit }: Study, items: readonly Item[]): Candidate[] {
  const asked = items.filter(({ slip, verdict }) => !slip && verdict !== 'good').flatMap(({ parts }) => parts);
  const unlimited = [...machine.parts.values()].filter((part): part is Controller => part.kind === 'controller' && part.values.limitsCurrent === false && asked.includes(part.id));
  if (unlimited.length === 0) return [];
  return [
    {
      what: unlimited.map(({ id, values }) => `a controller that holds the motor to ${say(values.motorCurrent.value, 'current')} for ${called(circuit, id)}`).join(', '),
      free: false,
      changes: unlimited.map(({ id }) => ({ change: 'field', part: id, property: 'limitsCurrent', text: 'yes' })),
      caution: 'Some can be set to do so. It spins up more slowly; a slower throttle by hand helps only as long as the hand does.',
    },
  ];
}
