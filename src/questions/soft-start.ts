import { allowedEnergy_J, timeToHarm_s, type ResistorLimits } from '../physics/resistor-limits.ts';
import { repeatedPower_W } from '../physics/resistors.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { GOOD_CLOSINGS, judgeClosing } from './contact-judgement.ts';
import { releaseEarly } from './early-release.ts';
import { contactData } from './runs.ts';
import { heat, type Heated } from './soft-start-heat.ts';
import { rampItems } from './ramp-heat.ts';
import type { PlacedSoftStart, SampleRecord, Study } from './study.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

/** Pulse ratings scatter with ohms and make: half of them is used. Common practice, no source: two to three times the need. */
const PULSE_SHARE = 0.5;
/** A crew that is in a hurry tries again at once: three presses in ten seconds. Common practice, no source. */
const PRESSES = 3;
const PRESSES_WITHIN_S = 10;
/** Nobody holds a button longer without looking for the reason, s. Common practice, no source. */
const LONG_HOLD_S = 10;
const ENOUGH = 0.9;

/** Will the soft-start parts survive? */
export function softStart(base: Study, records: readonly SampleRecord[]): Asked {
  const heated = base.softStarts.map((one) => heat(base, one));
  const used = heated.map((h, k) => asUsed(base, h, records.map((r) => r.softStarts[k]!)));
  const ramped = rampItems(base);
  const items = [...heated.flatMap((h, k) => [used[k]!, ...others(base, h)]), ...ramped];
  const verdict = worst(items.filter((item) => !item.slip).map((item) => item.verdict));
  // Where all is well the procedure's own heat is what people ask about.
  const decides = deciding(verdict === 'good' ? [...used, ...ramped] : items);
  const unknown = heated.filter((h) => h.limits === undefined).map((h) => h.softStart.resistor);
  const main = heated.find((h) => decides?.parts.includes(h.softStart.resistor)) ?? heated[0];
  const answer: Answer = {
    id: 'soft-start',
    question: 'Will the soft-start parts survive?',
    verdict,
    says: decides === undefined ? 'There is no soft start.' : summary(items, decides),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: [...new Set(unknown)].map((resistor) => `power of ${resistor}`),
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: main === undefined ? [] : [heatTable(base, heated), ...(main.limits === undefined ? [] : [heatPlot(base, main, main.limits)])],
    advice: [],
    basis: heated.length === 0 ? [] : basisOf(base, heated),
    cautions: heated.length === 0 ? [] : ['Let go after the count, and let the resistor cool before a third try: what it stores it gives off in a minute, not in seconds.'],
    notAProblem: used.filter((item) => item.verdict === 'good').map((item) => `${item.where}: ${item.says}`),
  };
  const decidesUse = decides === undefined ? -1 : used.indexOf(decides);
  return { answer, drawn: decidesUse < 0 ? [] : records.map((r) => r.softStarts[decidesUse]?.energy_J ?? NaN) };
}

/** The procedure as written. */
function asUsed(base: Study, h: Heated, samples: readonly SampleRecord['softStarts'][number][]): Item {
  const { limits, energy_J, held_s } = h;
  const within_s = held_s ?? h.heldOn.time_s.at(-1)!;
  const takes_J = limits === undefined ? undefined : allowedEnergy_J(limits, within_s);
  const limit = takes_J === undefined ? undefined : PULSE_SHARE * takes_J;
  const passes = limits === undefined ? undefined : shareOf(samples, (s) => s.energy_J <= PULSE_SHARE * allowedEnergy_J(limits, s.held_s ?? within_s));
  const verdict: Verdict = takes_J === undefined || limit === undefined ? 'cannot tell' : energy_J > takes_J ? 'bad' : energy_J > limit || (passes !== undefined && passes < ENOUGH) ? 'marginal' : 'good';
  const against = limits === undefined || takes_J === undefined ? 'what it takes is not known' : `it takes ${say(takes_J, 'energy')} in that time, and half of that should be enough`;
  return {
    where: `${called(base.circuit, h.softStart.resistor)}, in the procedure`,
    verdict,
    measure: 'of heat in it',
    figure: figure(energy_J, 'J', 'energy', middleNinety(samples.map((s) => s.energy_J))),
    limit,
    margin: limit === undefined ? undefined : limit - energy_J,
    passes,
    parts: [h.softStart.resistor],
    says: `${say(energy_J, 'energy')} in ${say(within_s, 'time')}, ${say(h.peak_W, 'power')} at the first moment; ${against}. A charge in which nothing wakes would be ${say(h.clean_J, 'energy')}.`,
    slip: false,
  };
}

function others(base: Study, h: Heated): Item[] {
  const { circuit, values, supply_V } = base;
  const { softStart: one, limits, resistance_ohm, heldOn } = h;
  const resistor = called(circuit, one.resistor);
  const entry = called(circuit, one.entryPart);
  const repeated_W = repeatedPower_W(Math.max(h.energy_J, Number.MIN_VALUE), PRESSES, PRESSES_WITHIN_S);
  const short_W = supply_V ** 2 / resistance_ohm;
  const lowest_V = Math.min(...one.starting.map((load) => load.stop(values)), ...one.standby.map((load) => load.threshold(values)));
  const stuck_W = Number.isFinite(lowest_V) ? (supply_V - Math.min(lowest_V, supply_V)) ** 2 / resistance_ohm : 0;
  const end = heldOn.endless ? `it never finishes, and ${say(heldOn.power_W, 'power')} go on for ever` : `it settles, and ${say(heldOn.power_W, 'power')} go on`;
  return [
    powerItem(h, `${resistor}, held on past the count`, heldOn.power_W, end, false),
    repeatedItem(h, `${resistor}, ${PRESSES} presses in ${PRESSES_WITHIN_S} s`, repeated_W),
    entryItem(base, h, entry),
    earlyItem(base, one, entry),
    powerItem(h, `${resistor}, held into a short behind it`, short_W, `the whole pack stands across it: ${say(short_W, 'power')}`, true),
    powerItem(h, `${resistor}, stuck on while somebody drives on it alone`, stuck_W, `the loads pull the bus down until they stop: up to ${say(stuck_W, 'power')}; with the main contact closed it carries nothing`, true),
  ].map((item) => (limits === undefined && item.figure?.unit === 'W' ? { ...item, verdict: 'cannot tell' as const } : item));
}

/** A power that goes on, against what the resistor takes for ever. */
function powerItem({ limits, softStart: one }: Heated, where: string, power_W: number, how: string, slip: boolean): Item {
  const harm_s = limits === undefined || !(power_W > 0) ? Infinity : timeToHarm_s(limits, power_W);
  const verdict: Verdict = harm_s === Infinity ? 'good' : harm_s < LONG_HOLD_S ? 'bad' : 'marginal';
  const until = limits === undefined ? 'what it takes is not known' : harm_s === Infinity ? 'it takes that for ever' : `what it takes is used up after about ${say(harm_s, 'time', 1)}`;
  return {
    where,
    verdict,
    measure: 'in it as long as it is held',
    figure: figure(power_W, 'W', 'power', []),
    limit: limits?.rated_W,
    margin: limits === undefined ? undefined : limits.rated_W - power_W,
    passes: undefined,
    parts: [one.resistor],
    says: `${how}; ${until}.`,
    slip,
  };
}

function repeatedItem({ limits, softStart: one, energy_J }: Heated, where: string, power_W: number): Item {
  const all_J = PRESSES * energy_J;
  const takes_J = limits === undefined ? Infinity : allowedEnergy_J(limits, PRESSES_WITHIN_S);
  const verdict: Verdict = limits === undefined || power_W <= limits.rated_W ? 'good' : all_J <= takes_J ? 'marginal' : 'bad';
  return {
    where,
    verdict,
    measure: 'in it on average',
    figure: figure(power_W, 'W', 'power', []),
    limit: limits?.rated_W,
    margin: limits === undefined ? undefined : limits.rated_W - power_W,
    passes: undefined,
    parts: [one.resistor],
    says: `${say(all_J, 'energy')} with the banks empty again each time${limits === undefined ? '' : `; its body takes ${say(takes_J, 'energy')} in those ${PRESSES_WITHIN_S} s`}.`,
    slip: false,
  };
}

/** The contact that starts it: what it carries. */
function entryItem(base: Study, h: Heated, entry: string): Item {
  const { circuit, values } = base;
  const { entryPart } = h.softStart;
  const carried_A = Math.sqrt(h.peak_W / h.resistance_ohm);
  const { rating_A, make_A } = contactData(circuit, entryPart, values);
  const known = circuit.inputs.has(`${entryPart}.rating`);
  return {
    where: `${entry}, carrying the soft start`,
    verdict: carried_A <= rating_A ? 'good' : carried_A <= make_A ? 'marginal' : 'bad',
    measure: 'carried at first',
    figure: figure(carried_A, 'A', 'current', []),
    limit: rating_A,
    margin: rating_A - carried_A,
    passes: undefined,
    parts: [entryPart],
    says: `${say(carried_A, 'current')} at first, ${known ? 'against its label' : 'its label is not given and taken by its class'} (${say(rating_A, 'current')}).`,
    slip: false,
  };
}

/** The same contact let go at the first moment: it breaks direct current. */
function earlyItem(base: Study, one: PlacedSoftStart, entry: string): Item {
  const { broken_A, arc, measures } = releaseEarly(base, one);
  const judged = judgeClosing(measures, contactData(base.circuit, one.entryPart, base.values));
  const says = arc
    ? `An arc of up to ${say(measures.contact_J, 'energy')} burns until the banks have come up: ${judged.verdict === 'good' ? `good for more than ${say(GOOD_CLOSINGS, 'count')} times` : `its face lasts about ${say(judged.closings, 'count', 1)} times (order of magnitude)`}. Its label has to be one for direct current.`
    : 'Too little current or voltage for an arc: it opens clean.';
  return {
    where: `${entry}, let go at the first moment`,
    verdict: judged.verdict,
    measure: 'of direct current to break',
    figure: figure(broken_A, 'A', 'current', []),
    limit: undefined,
    margin: undefined,
    passes: undefined,
    parts: [one.entryPart],
    says,
    slip: true,
  };
}

function summary(items: readonly Item[], decides: Item): string {
  const start = decides.verdict === 'good' ? 'Yes.' : decides.verdict === 'bad' ? 'No.' : decides.verdict === 'marginal' ? 'Yes, with little to spare.' : 'That depends on a rating that is not given.';
  const short = items.find((item) => item.slip && item.verdict === 'bad');
  return `${start} ${decides.where}: ${decides.says}${short === undefined ? '' : ` ${short.where}: ${short.says}`}`;
}

function basisOf({ machine }: Study, heated: readonly Heated[]): string[] {
  const lines = ['Overload: ten times rated power for five seconds from 4 W, five times below (MIL-PRF-26 practice); film 6.25 times (IEC 60115-1, from memory).'];
  for (const resistor of new Set(heated.map((h) => h.softStart.resistor))) {
    const part = machine.parts.get(resistor);
    const limits = heated.find((h) => h.softStart.resistor === resistor)?.limits;
    if (part?.kind !== 'resistor' || limits === undefined) continue;
    if (part.values.construction === undefined) lines.push(`${resistor} is taken as a ${limits.construction} resistor: its construction is not given.`);
    if (part.values.pulse === undefined) lines.push(`One short pulse in ${resistor}: ${say(limits.pulse_J, 'energy')}, the low end of its class (from memory); give its pulse from the datasheet.`);
  }
  return lines;
}

function heatTable(base: Study, heated: readonly Heated[]): Evidence {
  return {
    type: 'table',
    title: 'Heat in each soft start',
    head: ['Which', 'Resistor', 'Peak', 'Nothing awake', 'In the procedure', 'Held on', 'Into a short', 'Takes for ever', 'Takes in one pulse'],
    rows: heated.map((h) => [
      h.softStart.name,
      `${h.softStart.resistor} ${say(h.resistance_ohm, 'resistance', 3)}`,
      say(h.peak_W, 'power', 3),
      say(h.clean_J, 'energy', 3),
      say(h.energy_J, 'energy', 3),
      say(h.heldOn.power_W, 'power', 3),
      say(base.supply_V ** 2 / h.resistance_ohm, 'power', 3),
      h.limits === undefined ? 'not known' : say(h.limits.rated_W, 'power'),
      h.limits === undefined ? 'not known' : say(h.limits.pulse_J, 'energy'),
    ]),
  };
}

/** Heat over the time held, against what the resistor takes by then. */
function heatPlot(base: Study, h: Heated, limits: ResistorLimits): Evidence {
  const { time_s, heat_J, power_W } = h.heldOn;
  const end_s = Math.max(time_s.at(-1)!, 1.5 * (h.held_s ?? 0));
  const shown = time_s.flatMap((t, k) => (t <= end_s ? [k] : []));
  const takes = Array.from({ length: 60 }, (_, k) => (end_s * (k + 1)) / 60);
  return {
    type: 'plot',
    title: `Heat in ${called(base.circuit, h.softStart.resistor)} while it is held`,
    x: { name: 'time held', unit: 's' },
    y: { name: 'heat', unit: 'J' },
    curves: [
      // Behind what was simulated it goes on as it has come to.
      { name: 'heat so far', x: [...shown.map((k) => time_s[k]!), end_s], y: [...shown.map((k) => heat_J[k]!), heat_J.at(-1)! + power_W * (end_s - time_s.at(-1)!)] },
      { name: 'half of what it takes', x: takes, y: takes.map((t) => PULSE_SHARE * allowedEnergy_J(limits, t)), dashed: true },
    ],
    thresholds: h.held_s === undefined ? [] : [{ name: 'the procedure goes on', at: h.held_s, axis: 'x' }],
    marks: [],
  };
}
