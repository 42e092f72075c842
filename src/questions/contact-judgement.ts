import { CONTACT_METALS, erosion, meltEnthalpy_J_m3, meltedSpotRadius_m, type ContactMetal } from '../physics/contacts.ts';
import type { Verdict } from './answer.ts';

/** What one closing did to a contact. */
export interface ClosingMeasures {
  /** Voltage across the contact just before it touched: what was missing, V. */
  readonly missing_V: number;
  readonly peak_A: number;
  readonly letThrough_A2s: number;
  /** Energy spent in the contact itself, arcs included, J. */
  readonly contact_J: number;
  /** Part of it spent in the metal while the touching spot melted, J. */
  readonly melting_J: number;
  /** Charge through arcs in bounces, A·s. */
  readonly arc_C: number;
  /** Voltage that the touching spot would have had, were it not to melt, V. */
  readonly spot_V: number;
}

/** The contact that took it. */
export interface ContactData {
  readonly metal: keyof typeof CONTACT_METALS;
  /** Rated current, A; sets the size of its face. */
  readonly rating_A: number;
  readonly make_A: number;
}

export interface ContactJudgement {
  readonly verdict: Verdict;
  readonly decides: 'nothing' | 'melting at the touching spots' | 'arcs in its bounces' | 'its make rating';
  /** Closings until a tenth of a millimetre of its face is gone. An order of magnitude. */
  readonly closings: number;
  /** Share of that depth which one takes. */
  readonly worn: number;
  /** Share of the contact's make rating that the peak took. */
  readonly makeShare: number;
  /** Largest measure over its limit for `good`; at most 1 when good. */
  readonly load: number;
  /** Radius of the spot that melted, m; 0 when none did. */
  readonly meltedSpot_m: number;
}

/**
 * A contact face carries about 15 A per square millimetre of its face in builders' switches, and is worn when a tenth
 * of a millimetre of it is gone. Common practice, no source: an order of magnitude.
 */
const FACE_A_PER_MM2 = 15;
const USABLE_DEPTH_M = 1e-4;
/**
 * A machine is closed a hundred to two hundred times a year, tests included (common practice, no source): a contact that
 * outlasts five hundred serves several seasons, one that does not reach two hundred is worn in one or two.
 */
export const GOOD_CLOSINGS = 500;
export const BAD_CLOSINGS = 200;
/** Beyond its make rating by half a contact can weld at once. */
const BAD_MAKE_SHARE = 1.5;
/**
 * A make rating is given for currents that last milliseconds, so a shorter pulse is weighed by its let-through against
 * that current for a millisecond (about the time in which the contact force builds up), and its peak against three
 * times the rating (repulsion at the spots grows with the square of the current). Common practice, no source.
 */
const MAKE_PULSE_S = 1e-3;
const PEAK_OVER_MAKE = 3;

/**
 * Judges one closing by three mechanisms and names the one that decides: metal melted (all of it is taken as displaced, an upper bound) at the touching spots (energy in
 * the contact while the spot's voltage stood above the melting voltage, over the enthalpy of melting), metal eroded by arcs
 * in bounces, and the make rating (current and let-through). `docs/method.md` works one in numbers.
 * @throws RangeError when a measure or the contact's make current or rating is no number that can be judged (NaN included)
 */
export function judgeClosing(measures: ClosingMeasures, contact: ContactData): ContactJudgement {
  for (const [name, value] of Object.entries(measures)) if (!Number.isFinite(value)) throw new RangeError(`${name}: expected a finite number, got ${value}`);
  if (!(contact.rating_A > 0 && contact.make_A > 0)) throw new RangeError(`contact: expected ratings above 0 A, got ${contact.rating_A} and ${contact.make_A}`);
  const metal: ContactMetal = CONTACT_METALS[contact.metal];
  const melts = measures.spot_V > metal.melting_V;
  const { melted_m3, eroded_m3, worn } = metalLost(measures, contact);
  const closings = worn.middle > 0 ? Math.min(1 / worn.middle, MOST_CLOSINGS) : MOST_CLOSINGS;
  const makeShare = Math.max(measures.peak_A / (PEAK_OVER_MAKE * contact.make_A), Math.sqrt(measures.letThrough_A2s / (contact.make_A ** 2 * MAKE_PULSE_S)));
  const wearLoad = GOOD_CLOSINGS / closings;
  const load = Math.max(wearLoad, makeShare);
  const bad = closings < BAD_CLOSINGS || makeShare > BAD_MAKE_SHARE;
  const good = load <= 1;
  return {
    verdict: good ? 'good' : bad ? 'bad' : 'marginal',
    decides: good ? 'nothing' : makeShare > wearLoad ? 'its make rating' : melted_m3 >= eroded_m3 ? 'melting at the touching spots' : 'arcs in its bounces',
    closings,
    worn: worn.middle,
    makeShare,
    load,
    meltedSpot_m: melts ? meltedSpotRadius_m(measures.peak_A, metal) : 0,
  };
}

/** What one closing or opening takes from a contact's face. */
export interface MetalLost {
  readonly melted_m3: number;
  /** The middle, on a log scale, of a band that spans two orders of magnitude. */
  readonly eroded_m3: number;
  /** Share of what a worn contact has lost: by the ends of the band of erosion and by its middle. */
  readonly worn: { readonly low: number; readonly middle: number; readonly high: number };
}

/** Metal that melts at the spots, all of it taken as displaced, and what arcs take; an order of magnitude. */
export function metalLost({ melting_J, arc_C }: Pick<ClosingMeasures, 'melting_J' | 'arc_C'>, contact: Pick<ContactData, 'metal' | 'rating_A'>): MetalLost {
  const metal: ContactMetal = CONTACT_METALS[contact.metal];
  const usable_m3 = ((contact.rating_A / FACE_A_PER_MM2) * 1e-6) * USABLE_DEPTH_M;
  const melted_m3 = Math.max(0, melting_J) / meltEnthalpy_J_m3(metal);
  const band = erosion(arc_C, metal);
  const eroded_m3 = Math.sqrt(band.low_kg * band.high_kg) / metal.density_kg_m3;
  const share = (eroded: number): number => (melted_m3 + eroded) / usable_m3;
  return { melted_m3, eroded_m3, worn: { low: share(band.low_kg / metal.density_kg_m3), middle: share(eroded_m3), high: share(band.high_kg / metal.density_kg_m3) } };
}

/** More closings than anybody counts. */
const MOST_CLOSINGS = 1e6;
