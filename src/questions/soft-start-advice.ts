import { formatValue } from '../quantity/format.ts';
import { allowedEnergy_J, resistorLimits } from '../physics/resistor-limits.ts';
import { pulseEnergy, type ResistorConstruction } from '../physics/resistors.ts';
import type { Answer } from './answer.ts';
import type { Candidate } from './candidate.ts';
import { heldTime, type Study } from './study.ts';

/** Sizes that shops keep. Common practice, no source. */
const SIZES: readonly (readonly [rated_W: number, construction: ResistorConstruction])[] = [
  [5, 'cement wirewound'],
  [10, 'cement wirewound'],
  [20, 'cement wirewound'],
  [25, 'aluminium-clad wirewound'],
  [50, 'aluminium-clad wirewound'],
  [100, 'aluminium-clad wirewound'],
];

/** A bigger resistor of the same ohms in every soft start whose resistor is too small. */
export function softStartCandidates(base: Study, answer: Answer): Candidate[] {
  const bigger = base.softStarts.flatMap((softStart) => {
    const { resistor } = softStart;
    const part = base.machine.parts.get(resistor);
    const items = answer.items.filter((item) => !item.slip && item.parts.includes(resistor));
    if (part?.kind !== 'resistor' || part.values.power === undefined || items.every((item) => item.verdict === 'good')) return [];
    const most = (unit: string): number => Math.max(0, ...items.map((item) => (item.figure?.unit === unit ? item.figure.high : 0)));
    const held_s = heldTime(softStart, base.nominal.closings.map((c) => c.closing)) ?? 5;
    const size = SIZES.find(([rated_W, construction]) => {
      const limits = resistorLimits(construction, rated_W, part.values.pulse?.value ?? pulseEnergy(construction, rated_W).low_J);
      return rated_W > part.values.power!.value && rated_W >= most('W') && allowedEnergy_J(limits, held_s) >= 2 * most('J');
    });
    return size === undefined ? [] : [{ resistor, rated_W: size[0], construction: size[1] }];
  });
  if (bigger.length === 0) return [];
  return [
    {
      what: bigger.map(({ resistor, rated_W, construction }) => `${construction} of ${formatValue(rated_W, 'power')} for ${resistor}`).join(', '),
      free: false,
      changes: bigger.flatMap(({ resistor, rated_W, construction }) => [
        { change: 'field' as const, part: resistor, property: 'power', text: formatValue(rated_W, 'power') },
        { change: 'field' as const, part: resistor, property: 'construction', text: construction },
      ]),
      caution: 'It bears what it gets; it does not make the soft start finish. Let go after the count all the same.',
    },
  ];
}
