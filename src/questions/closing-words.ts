import type { Closing } from '../machine/circuit/power-up.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import { formatValue } from '../quantity/format.ts';
import type { ClosingMeasures, ContactJudgement } from './contact-judgement.ts';
import { called, say } from './words.ts';

/** A closing as a person calls it: `drive isolator Q1 to ON`, `main link LK1 closes`. */
export function closingName(circuit: Circuit, { part, position }: Pick<Closing, 'part' | 'position'>): string {
  return `${called(circuit, part)} ${position === 'closed' ? 'closes' : `to ${position}`}`;
}

/** `34.5 V across the contact (bus 7.5 V, pack 42 V)`. */
function across({ missing_V }: ClosingMeasures, supply_V: number): string {
  const across_V = Math.max(0, missing_V);
  const bus_V = supply_V - across_V;
  const bus = bus_V > EMPTY * supply_V ? `bus ${say(bus_V, 'voltage', 3)}` : 'bus empty';
  return `${say(across_V, 'voltage', 3)} across the contact (${bus}, pack ${say(supply_V, 'voltage', 3)})`;
}

/** Below this share of the pack a bus counts as empty in words. */
const EMPTY = 0.005;

/** What a closing finds, for one that is no trouble. */
export function closingShortly(m: ClosingMeasures, supply_V: number): string {
  return `${across(m, supply_V)}, ${say(m.peak_A, 'current')} for an instant`;
}

/** What a closing does to its contact, with the mechanism that decides. */
export function closingSentence(m: ClosingMeasures, j: ContactJudgement, supply_V: number): string {
  const parts = [`${across(m, supply_V)}, peak ${say(m.peak_A, 'current')}, ${say(m.contact_J, 'energy')} in the contact`];
  if (j.decides === 'nothing') parts.push(j.meltedSpot_m > 0 ? `a spot of ${micrometres(2 * j.meltedSpot_m)} melts, harmless` : 'nothing melts');
  else if (j.decides === 'its make rating') parts.push(`${formatValue(j.makeShare, 'ratio', 3)} of its make rating`);
  else parts.push(`${j.decides} decide${j.decides === 'melting at the touching spots' ? 's' : ''}: worn after about ${say(j.closings, 'count', 1)} closings (order of magnitude)`);
  return `${parts.join('; ')}.`;
}

function micrometres(length_m: number): string {
  return `${Number((length_m * 1e6).toPrecision(1))} µm`;
}
