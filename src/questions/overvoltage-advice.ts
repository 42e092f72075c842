import { formatValue } from '../quantity/format.ts';
import type { Answer } from './answer.ts';
import type { Candidate } from './candidate.ts';
import { dampingFor } from './overvoltage.ts';
import type { Study } from './study.ts';
import { called, say } from './words.ts';

/** A damping capacitor has at least four times what rings, so that its own reactance does not count. Common practice, no source. */
const TIMES = 4;
/** Electrolytic capacitors that shops keep, F. */
const SIZES_F = [22e-6, 47e-6, 100e-6, 220e-6, 470e-6, 1000e-6] as const;

/** An electrolytic capacitor whose own resistance damps what rings, across every converter input that rings too high. */
export function overvoltageCandidates(base: Study, answer: Answer): Candidate[] {
  const ringing = answer.items.filter((item) => !item.slip && item.verdict !== 'good').flatMap((item) => item.parts.slice(0, 1));
  return [...new Set(ringing)].flatMap((part): Candidate[] => {
    if (base.machine.parts.get(part)?.kind !== 'converter') return [];
    const damping = dampingFor(base, part);
    const size_F = damping === undefined ? undefined : SIZES_F.find((size) => size >= TIMES * damping.ringing_F);
    if (damping === undefined || size_F === undefined) return [];
    const resistance = formatValue(damping.resistance_ohm, 'resistance', 2);
    return [
      {
        what: `electrolytic capacitor of ${formatValue(size_F, 'capacitance')} with about ${resistance} of its own across the input of ${called(base.circuit, part)}`,
        free: false,
        changes: [
          { change: 'field', part, property: 'electrolytic', text: formatValue(size_F, 'capacitance') },
          { change: 'field', part, property: 'electrolyticResistance', text: resistance },
        ],
        caution: `Its resistance does the work (√(L/C) of ${say(damping.inductance_H, 'inductance')} and ${say(damping.ringing_F, 'capacitance')}): a low-loss one would ring with the rest.`,
      },
    ];
  });
}
