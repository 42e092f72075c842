import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { BAD_CLOSINGS, GOOD_CLOSINGS, metalLost, type ContactData } from './contact-judgement.ts';
import { contactData } from './runs.ts';
import type { SampleRecord, Study } from './study.ts';
import { switchOff } from './switch-off.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

/** Below this share of good samples a good nominal value is only marginal. */
const ENOUGH = 0.9;
/** Tests included, a machine is powered up so often a year. Common practice, no source. */
const A_YEAR = 150;
/** More power-ups than anybody counts. */
const MOST = 1e6;

/** What a power-up and a power-down take from one contact, as shares of what a worn one has lost. */
interface Contact {
  readonly part: string;
  readonly data: ContactData;
  /** Closings in the procedure, by their number. */
  readonly closings: readonly number[];
  readonly closing: { readonly low: number; readonly middle: number; readonly high: number };
  readonly opening: { readonly low: number; readonly middle: number; readonly high: number };
  readonly arc_C: number;
}

/** When are contacts worn out? Here: from what the procedure's closings and openings take; an order of magnitude. */
export function wear(base: Study, records: readonly SampleRecord[]): Asked {
  const contacts = contactsOf(base);
  const items = contacts.map((contact) => itemOf(base, contact, records));
  const decides = deciding(items);
  const main = contacts[items.findIndex((item) => item === decides)];
  const closesNothing = base.nominal.closings.length === 0;
  const answer: Answer = {
    id: 'wear',
    question: 'When are contacts worn out?',
    verdict: contacts.length === 0 ? (closesNothing ? 'cannot tell' : 'good') : worst(items.map((item) => item.verdict)),
    says: closesNothing ? 'The procedure closes nothing.' : decides === undefined ? 'No contact closes that an arc could wear.' : `First to go: ${decides.where}. ${decides.says}`,
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: closesNothing ? ['a procedure that closes a switch'] : [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: contacts.length === 0 ? [] : [table(base, contacts)],
    advice: [],
    basis: [
      'Metal melted at the touching spots and metal eroded by arcs, over a tenth of a millimetre of a face that carries 15 A/mm² (common practice, no source): an order of magnitude. Erosion in air spans from 1 µg/C to that of a vacuum arc, and the figure\'s spread is that band and the samples together.',
      `Each power-up as it is written, and switching off with everything at rest. A machine is powered up about ${A_YEAR} times a year (common practice, no source). Slips, hits that part a contact and switching off under drive come on top.`,
      'What a meter says goes before all this: three times the resistance of the new contact, or more than 50 mV at the match\'s current, and it is worn (common practice, no source).',
    ],
    cautions: ['Plugs and links wear by plugging too: that is not counted here.'],
    notAProblem: items.filter((item) => item.verdict === 'good').map((item) => `${item.where}: ${item.says}`),
  };
  return { answer, drawn: main === undefined ? [] : records.map((record) => wornIn(main, record)) };
}

function contactsOf(base: Study): Contact[] {
  const { circuit, nominal, groups, values } = base;
  const off = switchOff({ circuit, groups, from: nominal, values, levels_V: [] }).run;
  const parts = [...new Set(nominal.closings.map(({ closing }) => closing.part))].filter((part) => circuit.machine.parts.get(part)?.kind !== 'solid-state switch');
  return parts.map((part): Contact => {
    const data = contactData(circuit, part, values);
    const closings = nominal.closings.flatMap(({ closing }, k) => (closing.part === part ? [k] : []));
    const lost = closings.map((k) => metalLost(nominal.closings[k]!.measures, data).worn);
    const arc_C = (circuit.ways.get(part) ?? []).reduce((sum, { branch, contact }) => {
      const gathered = branch.contacts[contact]!.wear?.arcCharge;
      return gathered === undefined ? sum : sum + Math.abs(off.unknowns[gathered]! - nominal.run.unknowns[gathered]!);
    }, 0);
    const sum = (end: 'low' | 'middle' | 'high'): number => lost.reduce((total, one) => total + one[end], 0);
    return { part, data, closings, closing: { low: sum('low'), middle: sum('middle'), high: sum('high') }, opening: metalLost({ melting_J: 0, arc_C }, data).worn, arc_C };
  });
}

function wornIn({ closings, opening }: Contact, record: SampleRecord): number {
  return closings.reduce((sum, k) => sum + record.closings[k]!.worn, opening.middle);
}

function itemOf(base: Study, contact: Contact, records: readonly SampleRecord[]): Item {
  const { part, closing, opening } = contact;
  const value = closing.middle + opening.middle;
  const samples = records.map((record) => wornIn(contact, record));
  const limit = 1 / GOOD_CLOSINGS;
  const passes = shareOf(samples, (one) => one <= limit);
  const own: Verdict = value <= limit ? 'good' : value > 1 / BAD_CLOSINGS ? 'bad' : 'marginal';
  return {
    where: called(base.circuit, part),
    verdict: own === 'good' && passes !== undefined && passes < ENOUGH ? 'marginal' : own,
    measure: 'of its face, each power-up',
    figure: figure(value, '1', 'ratio', [...middleNinety(samples), closing.low + opening.low, closing.high + opening.high]),
    limit,
    margin: limit - value,
    passes,
    parts: [part],
    says: lifeWords(value),
    slip: false,
  };
}

/** Power-ups left in one figure, because the second one would be a lie. */
function lifeWords(worn: number): string {
  const left = worn > 0 ? Math.min(MOST, 1 / worn) : MOST;
  if (left >= MOST) return 'More than a million power-ups: the procedure does not wear it.';
  const years = left / A_YEAR;
  const rounded = Number(left.toPrecision(1));
  return `Some ${rounded} power-ups, ${years < 1 ? 'less than a season' : years > 50 ? 'longer than the machine will live' : `about ${Number(years.toPrecision(1))} ${Number(years.toPrecision(1)) === 1 ? 'year' : 'years'}`}; an order of magnitude.`;
}

function table({ circuit, nominal }: Study, contacts: readonly Contact[]): Evidence {
  return {
    type: 'table',
    title: 'What a power-up takes from each contact',
    head: ['Contact', 'Metal', 'Face carries', 'Melting energy', 'Charge through arcs', 'Charge in arcs at switching off', 'Power-ups left'],
    rows: contacts.map(({ part, data, closings, closing, opening, arc_C }) => {
      const sum = (of: 'melting_J' | 'arc_C'): number => closings.reduce((total, k) => total + nominal.closings[k]!.measures[of], 0);
      const [few, many] = [closing.high + opening.high, closing.low + opening.low].map((worn) => Number(Math.min(MOST, 1 / worn).toPrecision(1)));
      return [called(circuit, part), data.metal, say(data.rating_A, 'current'), say(sum('melting_J'), 'energy'), `${(1e3 * sum('arc_C')).toPrecision(2)} mC`, `${(1e3 * arc_C).toPrecision(2)} mC`, many === MOST && few === MOST ? 'more than a million' : `${few} to ${many}`];
    }),
  };
}
