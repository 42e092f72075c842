import { formatValue } from '../quantity/format.ts';
import type { Answer } from './answer.ts';
import type { Candidate } from './candidate.ts';
import { loopResistance_ohm, stringVoltage } from './joined-packs.ts';
import { chargeLimit_A, stringName } from './parallel.ts';
import { largestDemand } from './pack-sharing.ts';
import type { Study } from './study.ts';
import { say } from './words.ts';

/** What could help packs side by side: charging the lower one, and controllers that ask for no more than one pack alone bears. */
export function parallelCandidates(base: Study, answer: Answer): Candidate[] {
  return [...chargeAlike(base), ...askForLess(base, answer)];
}

/** Free: the packs are charged to the same level before they are joined. */
function chargeAlike(base: Study): Candidate[] {
  const { circuit, values } = base;
  return base.pairs.flatMap((pair): Candidate[] => {
    const [low, high] = stringVoltage(circuit, pair.first, values) < stringVoltage(circuit, pair.second, values) ? [pair.first, pair.second] : [pair.second, pair.first];
    const levels = high.packs.map((id) => values[circuit.inputs.at(`${id}.charge`)]!);
    const level = formatValue(Math.max(...levels), 'ratio', 4);
    const lower = low.packs.filter((id) => values[circuit.inputs.at(`${id}.charge`)]! < Math.max(...levels));
    if (lower.length === 0) return [];
    return [
      {
        what: `Charge ${stringName(low)} to ${level}, as ${stringName(high)}, before joining them`,
        free: true,
        changes: lower.map((part) => ({ change: 'field' as const, part, property: 'charge', text: level })),
        caution: `Meter both: they may be joined when they are less than ${say(chargeLimit_A(base, pair) * loopResistance_ohm(circuit, pair, values), 'voltage')} apart.`,
      },
    ];
  });
}

/** Battery current limits with which one pack alone could carry the machine. */
function askForLess(base: Study, answer: Answer): Candidate[] {
  const shared = answer.items.find(({ measure, verdict }) => measure.startsWith('carried') && verdict !== 'good');
  const demand_A = largestDemand(base);
  if (shared?.limit === undefined || shared.figure === undefined || demand_A === undefined) return [];
  // A tenth to spare: no comparator holds its threshold better.
  const factor = (0.9 * shared.limit) / shared.figure.value;
  const changes = [...base.machine.parts.values()].flatMap((part) => {
    if (part.kind !== 'controller') return [];
    const own = (part.values.batteryCurrent ?? part.values.motorCurrent).value;
    return [{ change: 'field' as const, part: part.id, property: 'batteryCurrent', text: formatValue(Math.floor(factor * own), 'current') }];
  });
  return [
    {
      what: `Battery current limits of ${changes.map(({ part, text }) => `${text} for ${part}`).join(', ')}`,
      free: true,
      changes,
      caution: 'The machine loses that much of its power; it then goes on when a pack drops out.',
    },
  ];
}
