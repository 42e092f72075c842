import { avalancheEnergy_J, cutOffPeak_V } from '../physics/contact-opening.ts';
import type { ContactMetalName } from '../physics/contacts.ts';
import type { Machine } from '../machine/machine.ts';
import type { Part } from '../machine/parts.ts';
import type { Item, Verdict } from './answer.ts';
import { metalLost } from './contact-judgement.ts';
import { peak_A, type MatchLoads } from './match-loads.ts';
import { contactData } from './runs.ts';
import { partingArc, strandInductances, type Broken, type PartingArc } from './states/broken-current.ts';
import type { FaultCurrents } from './states/fault-currents.ts';
import type { Study } from './study.ts';
import { called, figure, say } from './words.ts';

/** A part that opens with every controller at its limit. */
export interface DriveOpening {
  readonly part: Part;
  readonly broken: Broken;
}

const CONTACTS: ReadonlySet<string> = new Set(['isolator', 'link', 'connector', 'button', 'contactor']);
const TRANSISTORS: ReadonlySet<string> = new Set(['solid-state switch', 'protection', 'ideal diode']);
const OTHERS: ReadonlySet<string> = new Set(['fuse', 'diode', 'joint']);

/** Parts in a lead that can open, in the order of the file. */
export function openable(machine: Machine): Part[] {
  return [...machine.parts.values()].filter(({ kind }) => CONTACTS.has(kind) || TRANSISTORS.has(kind) || OTHERS.has(kind));
}

/** Gap that the contacts of such switches open to, m. Common practice, no source. */
const SWITCH_GAP_M = 3e-3;
/** A contact meets the worst moment a hundred times in its life, if that: it has to stand so many, and never fewer than ten. Common practice, no source. */
export const GOOD_OPENINGS = 100;
export const BAD_OPENINGS = 10;
/** Capacitance of a lead that ends at an open transistor, as the simulation has it, F. */
const STRAY_F = 10e-9;
/** Part of what a die may turn to heat in a ramp that it may take as an avalanche, in which it is not spread over the die. Common practice, no source. */
const AVALANCHE_SHARE = 0.1;
/** What the transistors of a protection stand of that where nothing is stated, J. Common practice, no source. */
const USUAL_AVALANCHE_J = 0.1;

/** A part opened at full drive; a match's own peak counts where one has been played. */
export function driveItem(base: Study, faults: FaultCurrents, { part, broken: atLimits }: DriveOpening, match: MatchLoads | undefined): Item {
  const curve = match?.currentThrough(part.id);
  const broken = curve === undefined ? atLimits : scaled(atLimits, peak_A(curve));
  const shared = { where: `${called(base.circuit, part.id)} at full drive`, passes: undefined, parts: [part.id], slip: false };
  const dark = darkWords(base, faults, broken);
  if (TRANSISTORS.has(part.kind)) return { ...shared, ...transistor(base, faults, part, broken, dark) };
  if (part.kind === 'fuse')
    return { ...shared, verdict: 'good', ...broke(broken, undefined), says: `It breaks ${say(broken.current_A, 'current')} with its own arc, which is what its voltage rating is about. ${dark}` };
  return { ...shared, ...contact(base, part, broken, dark) };
}

/** The same leads with another current: energy with its square, what the leads lose in proportion. */
function scaled(broken: Broken, current_A: number): Broken {
  const share = current_A / broken.current_A;
  return { ...broken, current_A, stored_J: broken.stored_J * share ** 2, ends_V: broken.ends_V * share };
}

type Judged = Partial<Pick<Item, 'where'>> & Pick<Item, 'verdict' | 'measure' | 'figure' | 'limit' | 'margin' | 'says'>;

function broke({ current_A }: Broken, limit: number | undefined): Pick<Item, 'measure' | 'figure' | 'limit' | 'margin'> {
  return { measure: 'to break', figure: figure(current_A, 'A', 'current', []), limit, margin: limit === undefined ? undefined : limit - current_A };
}

function contact({ circuit, values }: Study, part: Part, broken: Broken, dark: string): Judged {
  const metal: ContactMetalName = CONTACTS.has(part.kind) && 'metal' in part.values && part.values.metal !== undefined ? part.values.metal : 'copper';
  const arc = partingArc(broken, metal);
  const rating_A = circuit.inputs.has(`${part.id}.rating`) ? values[circuit.inputs.at(`${part.id}.rating`)]! : undefined;
  const face_A = CONTACTS.has(part.kind) ? contactData(circuit, part.id, values).rating_A : broken.current_A;
  return { verdict: contactVerdict(part, arc, broken, metal, rating_A, face_A), ...broke(broken, arc.kind === 'fed' ? rating_A : undefined), says: `${arcWords(broken, arc, rating_A)} ${dark}` };
}

function contactVerdict(part: Part, arc: PartingArc, { current_A }: Broken, metal: ContactMetalName, rating_A: number | undefined, face_A: number): Verdict {
  if (arc.kind === 'none') return 'good';
  if (arc.kind === 'short') return openingsVerdict(arc.charge_C, metal, face_A);
  // A plug that is pulled opens as far as one likes; a switch does not.
  const opensFar = part.kind === 'link' || part.kind === 'connector';
  return (arc.gap_m > SWITCH_GAP_M && !opensFar) || (rating_A !== undefined && current_A > rating_A) ? 'bad' : 'marginal';
}

/** Whether a contact stands such an opening as often as it may come. */
export function openingsVerdict(arc_C: number, metal: ContactMetalName, face_A: number): Verdict {
  const openings = 1 / metalLost({ melting_J: 0, arc_C }, { metal: metal === 'silver' || metal === 'tin' || metal === 'gold' ? metal : 'copper', rating_A: face_A }).worn.middle;
  return openings >= GOOD_OPENINGS ? 'good' : openings < BAD_OPENINGS ? 'bad' : 'marginal';
}

function arcWords({ current_A, supply_V, behind_F, awake_V, stored_J, dark }: Broken, arc: PartingArc, rating_A: number | undefined): string {
  const amps = say(current_A, 'current');
  if (arc.kind === 'none') return `It breaks ${amps}, too little for an arc.`;
  if (arc.kind === 'short') {
    const held = dark.length === 0 ? 'the other way takes the current over' : behind_F > 0 && supply_V - awake_V >= 12 ? `the banks behind hold the far side up, so` : 'the circuit has too little voltage to feed an arc:';
    return dark.length === 0 ? `It breaks ${amps}; ${held}: the arc is out after ${say(arc.time_s, 'time')}, with ${say(arc.energy_J, 'energy')}.` : `It breaks ${amps}; ${held} the arc lives of the leads' ${say(stored_J, 'energy')} alone and is out after ${say(arc.time_s, 'time')}.`;
  }
  const far = arc.gap_m === 0 ? 'over a fraction of a millimetre' : `until its contacts are ${say(arc.gap_m, 'length')} apart`;
  const rated = rating_A === undefined ? '' : current_A > rating_A ? ` It is labelled for ${say(rating_A, 'current')}.` : ` Its label of ${say(rating_A, 'current')} is for carrying: ask for its direct-current breaking rating at ${say(supply_V, 'voltage')}.`;
  return `It breaks ${amps} at ${say(supply_V, 'voltage')}, and the circuit feeds the arc ${far}.${rated}`;
}

/** What a transistor has to take: the peak on its lead, or the energy of an avalanche. */
function transistor({ circuit }: Study, faults: FaultCurrents, part: Part, driven: Broken, dark: string): Judged {
  // A protection opens by itself, and in a dead short.
  const broken = part.kind === 'protection' ? inShort(faults, part.id, driven) : driven;
  const { current_A, stored_J, inductance_H, supply_V } = broken;
  const where = `${called(circuit, part.id)} ${broken === driven ? 'at full drive' : 'in a dead short'}`;
  const limit_V = part.kind === 'solid-state switch' ? part.values.absoluteVoltage?.value : part.kind === 'ideal diode' ? part.values.blocking?.value : undefined;
  const peak_V = cutOffPeak_V(current_A, inductance_H, STRAY_F, supply_V);
  if (limit_V !== undefined && peak_V <= limit_V)
    return { where, verdict: 'good', measure: 'on its lead, at the highest', figure: figure(peak_V, 'V', 'voltage', []), limit: limit_V, margin: limit_V - peak_V, says: `It cuts ${say(current_A, 'current')} off; its lead rings to ${say(peak_V, 'voltage')}, and it bears ${say(limit_V, 'voltage')}. ${dark}` };
  const energy_J = limit_V !== undefined && limit_V > supply_V ? avalancheEnergy_J(current_A, inductance_H, limit_V, supply_V) : stored_J;
  const allowed_J = part.kind === 'solid-state switch' && part.values.dieEnergy !== undefined ? AVALANCHE_SHARE * part.values.dieEnergy.value : USUAL_AVALANCHE_J;
  const verdict: Verdict = limit_V !== undefined && limit_V <= supply_V ? 'bad' : energy_J <= 0.1 * allowed_J ? 'good' : energy_J <= allowed_J ? 'marginal' : limit_V === undefined ? 'marginal' : 'bad';
  const bears = limit_V === undefined ? 'what its transistors bear is not given' : `beyond the ${say(limit_V, 'voltage')} that it bears`;
  return {
    where, verdict, measure: 'in its transistors as it cuts off', figure: figure(energy_J, 'J', 'energy', []), limit: allowed_J, margin: allowed_J - energy_J,
    says: `It cuts ${say(current_A, 'current')} off; nothing holds its lead (${say(inductance_H, 'inductance')}), which would ring to ${say(peak_V, 'voltage')}, ${bears}: its transistors take ${say(energy_J, 'energy')} as an avalanche, unless a clamp does. ${dark}`,
  };
}

/** The same protection at the largest current that a short behind it drives; at full drive where that is larger. */
function inShort(faults: FaultCurrents, part: string, driven: Broken): Broken {
  const own = faults.strandsOf(part);
  const inductances = strandInductances(faults);
  let worst = driven;
  for (const point of faults.points) {
    const before = faults.short(point);
    const after = faults.short(point, new Set(own));
    if (before === undefined || after === undefined) continue;
    const current_A = Math.max(...own.map((s) => Math.abs(before[s]!)));
    const stored_J = inductances.reduce((sum, H, s) => sum + 0.5 * H * Math.max(0, before[s]! ** 2 - after[s]! ** 2), 0);
    if (stored_J > worst.stored_J) worst = { ...driven, current_A, stored_J, inductance_H: (2 * stored_J) / current_A ** 2 };
  }
  return worst;
}

function darkWords({ circuit, machine }: Study, faults: FaultCurrents, { dark }: Broken): string {
  const all = faults.network.loads.filter(({ part }) => machine.parts.has(part)).length;
  const names = dark.map((k) => faults.network.loads[k]!).filter(({ kind, part }) => machine.parts.has(part) && kind !== 'bleed' && kind !== 'capacitors' && kind !== 'lamp').map(({ part }) => called(circuit, part));
  if (dark.length === 0) return 'Nothing goes dark: another way is left.';
  if (dark.length === all) return 'The whole machine goes dark.';
  const list = names.join(', ');
  return names.length === 0 ? 'Nothing that matters goes dark.' : `${list[0]!.toUpperCase()}${list.slice(1)} ${names.length === 1 ? 'goes' : 'go'} dark.`;
}
