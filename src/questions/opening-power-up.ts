import { CONTACT_METALS } from '../physics/contacts.ts';
import type { Evidence, Item } from './answer.ts';
import { releaseEarly } from './early-release.ts';
import { openAtPeak } from './open-at-peak.ts';
import { openingsVerdict } from './opening-drive.ts';
import { voltageLimit } from './overvoltage.ts';
import { inputPoints } from './points.ts';
import { contactData } from './runs.ts';
import type { Study } from './study.ts';
import { called, figure, RANK, say } from './words.ts';

/** An arc of less than this nobody hears. */
const SILENT_J = 1e-6;

/** Soft starts that are let go at their worst moment, and closings that open again at the peak of their inrush; simulated. */
export function powerUpItems(base: Study): { readonly items: readonly Item[]; readonly evidence: readonly Evidence[] } {
  const { circuit, values, nominal } = base;
  const early = base.softStarts.flatMap((soft): Item[] => {
    if (circuit.machine.parts.get(soft.entryPart)?.kind === 'solid-state switch') return [];
    const { broken_A, arc, measures } = releaseEarly(base, soft);
    const data = contactData(circuit, soft.entryPart, values);
    const rating_A = circuit.inputs.has(`${soft.entryPart}.rating`) ? data.rating_A : undefined;
    const worn = arc ? openingsVerdict(measures.arc_C, data.metal, data.rating_A) : 'good';
    const beyond = rating_A !== undefined && arc && broken_A > rating_A;
    return [
      {
        where: `${soft.name} let go at once, banks empty`,
        verdict: beyond && RANK[worn] < RANK.marginal ? 'marginal' : worn,
        measure: 'to break',
        figure: figure(broken_A, 'A', 'current', []),
        limit: rating_A,
        margin: rating_A === undefined ? undefined : rating_A - broken_A,
        passes: undefined,
        parts: [soft.entryPart, soft.resistor],
        says: arc
          ? `It breaks ${say(broken_A, 'current')} of direct current at ${say(base.supply_V, 'voltage', 3)}: an arc of ${say(measures.contact_J, 'energy')}${rating_A === undefined ? '' : `; it is labelled for ${say(rating_A, 'current')}`}.`
          : `It breaks ${say(broken_A, 'current')}: ${broken_A < CONTACT_METALS[data.metal].minimumArc_A ? 'too little for an arc' : 'no arc holds'}.`,
        slip: false,
      },
    ];
  });
  const points = inputPoints(circuit);
  const rows: string[][] = [];
  const opened = nominal.closings.flatMap(({ closing }): Item[] => {
    const released = base.softStarts.some(({ entry }) => entry === closing.way);
    const found = released ? undefined : openAtPeak(base, closing);
    if (found === undefined) return [];
    const { broken_A, arc_s, arc_J, arc_C, points_V, near_V } = found;
    const data = contactData(circuit, closing.part, values);
    const over = points.flatMap(({ part }, k) => {
      const limit = voltageLimit(circuit, part);
      return limit !== undefined && points_V[k]! > limit ? [`${called(circuit, part)} sees ${say(points_V[k]!, 'voltage')} and bears ${say(limit, 'voltage')}`] : [];
    });
    const worn = openingsVerdict(arc_C, data.metal, data.rating_A);
    const where = `${called(circuit, closing.part)}${closing.position === 'closed' ? '' : ` ${closing.position}`} opened at the peak of its inrush`;
    rows.push([where, say(broken_A, 'current'), say(arc_s, 'time'), say(arc_J, 'energy'), say(near_V, 'voltage', 3), say(Math.max(0, ...points_V), 'voltage', 3)]);
    return [
      {
        where,
        verdict: over.length > 0 ? 'bad' : worn,
        measure: 'to break',
        figure: figure(broken_A, 'A', 'current', []),
        limit: undefined,
        margin: undefined,
        passes: undefined,
        parts: [closing.part],
        says: `It breaks ${say(broken_A, 'current')}${arc_J < SILENT_J ? ' without an arc' : `: an arc of ${say(arc_s, 'time')} and ${say(arc_J, 'energy')}`}; before it the voltage goes to ${say(near_V, 'voltage', 3)}.${over.length === 0 ? '' : ` ${over.join('; ')}.`}`,
        slip: false,
      },
    ];
  });
  const evidence: Evidence[] = rows.length === 0 ? [] : [{ type: 'table', title: 'Opened at the peak of an inrush, simulated', head: ['Contact', 'Breaks', 'Arc', 'Energy in it', 'Highest voltage before it', 'Highest at an input'], rows }];
  return { items: [...early, ...opened], evidence };
}
