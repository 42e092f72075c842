import { join } from '../physics/closed-forms.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import {
  joinRecord, packStrings, SETTLED_SHARE, stringCapacitance_F, stringCells, stringCharge_C, stringVoltage, type JoinedPair, type JoinRecord, type PackString,
} from './joined-packs.ts';
import { sharing } from './pack-sharing.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

/** Packs that nobody has metered are no nearer to each other than this, V per cell. Common practice, no source. */
export const USUAL_V = 0.05;
/** A used pack beside a full one, V per cell. Common practice, no source. */
const USED_V = 0.5;
/** A pack may be charged at its capacity in an hour, for as long as it takes; three times that harms it. Common practice, no source. */
const CHARGE_RATE = 1;
const HARM_RATE = 3;
const ENOUGH = 0.9;
/** Below this share of its capacity in an hour nobody need watch any longer. */
const CALM_RATE = 0.5;
const APART_V = [0.05, 0.15, 0.5] as const;

/** Are these packs safe to join, and how do they share? */
export function parallel(base: Study, records: readonly SampleRecord[]): Asked {
  const { circuit, values, pairs } = base;
  const own = joinRecord(circuit, pairs, values);
  const samples = records.map((record) => record.joins);
  const joins = pairs.map((pair, k) => joinItem(base, pair, k, own, samples));
  const slips = pairs.map((pair, k) => usedItem(base, pair, k, own));
  const shared = sharing(base, own, samples);
  const items = [...joins, ...(shared === undefined ? [] : [shared.item]), ...slips];
  const decides = deciding(items);
  const at = decides === undefined ? -1 : joins.indexOf(decides);
  const verdict = worst(items.filter(({ slip }) => !slip).map((item) => item.verdict));
  const answer: Answer = {
    id: 'parallel',
    question: 'Are these packs safe to join, and how do they share?',
    verdict,
    says: decides === undefined ? alone(base) : summary(verdict, joins, shared?.item),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: [...pairs.flatMap((pair, k) => [apartTable(base, pair, own.loops_ohm[k]!), decayPlot(base, pair, own.loops_ohm[k]!)]), ...(shared === undefined ? [] : [shared.table])],
    advice: [],
    basis: decides === undefined ? [] : [
      'The current at joining is simulated with every lead, joint and protection in the loop; how it decays is a closed form of two capacitors, each the charge of a pack over the swing of its open-circuit voltage.',
      `A pack may take its capacity in an hour; ${HARM_RATE} times that is called harm (common practice, no source). Its own maker's charge current goes before that.`,
      `Packs that nobody has metered are taken to be ${say(USUAL_V, 'voltage')} per cell apart, a used and a full one ${say(USED_V, 'voltage')} (common practice, no source).`,
    ],
    cautions: pairs.map((pair, k) => howToJoin(base, pair, own.loops_ohm[k]!)),
    notAProblem: [...joins, ...(shared === undefined ? [] : [shared.item])].filter((item) => item.verdict === 'good').map((item) => `${item.where}: ${item.says}`),
  };
  return { answer, drawn: at < 0 ? [] : samples.map((sample) => joiningCurrent(base, pairs[at]!, sample, at)) };
}

function alone({ circuit }: Study): string {
  const strings = packStrings(circuit.machine);
  if (strings.length > 1) return 'Nothing joins these packs: diodes or open switches keep them apart.';
  return (strings[0]?.packs.length ?? 0) > 1 ? 'The packs stand in series: nothing stands side by side.' : 'One pack: there is nothing to join.';
}

/** What the procedure's packs are apart, V: as the file says, and never nearer than packs that nobody has metered. */
function apart_V({ circuit, values }: Study, { first, second }: JoinedPair, ofFile_V: number): number {
  return Math.max(Math.abs(ofFile_V), USUAL_V * fewerCells(circuit, first, second, values));
}

function fewerCells(circuit: Study['circuit'], first: PackString, second: PackString, values: Float64Array): number {
  return Math.min(stringCells(circuit, first, values), stringCells(circuit, second, values));
}

function joiningCurrent(base: Study, pair: JoinedPair, record: JoinRecord, k: number): number {
  return apart_V(base, pair, record.apart_V[k]!) / record.loops_ohm[k]!;
}

/** Largest current that the pack which is charged may take for long, A. */
export function chargeLimit_A({ circuit, values }: Study, { first, second }: JoinedPair): number {
  return (CHARGE_RATE * Math.min(stringCharge_C(circuit, first, values), stringCharge_C(circuit, second, values))) / 3600;
}

export function stringName({ packs }: PackString): string {
  return packs.join(' on ');
}

function joinItem(base: Study, pair: JoinedPair, k: number, own: JoinRecord, samples: readonly JoinRecord[]): Item {
  const { circuit, values } = base;
  const limit = chargeLimit_A(base, pair);
  const current = joiningCurrent(base, pair, own, k);
  const drawn = samples.map((sample) => joiningCurrent(base, pair, sample, k));
  const passes = shareOf(drawn, (one) => one <= limit);
  const [first_V, second_V] = [stringVoltage(circuit, pair.first, values), stringVoltage(circuit, pair.second, values)];
  const apart = apart_V(base, pair, own.apart_V[k]!);
  const assumed = apart > Math.abs(first_V - second_V);
  const tolerated = limit * own.loops_ohm[k]!;
  const cells = fewerCells(circuit, pair.first, pair.second, values);
  const stand = `${stringName(pair.first)} stands at ${say(first_V, 'voltage', 3)} and ${stringName(pair.second)} at ${say(second_V, 'voltage', 3)}`;
  const nobody = assumed ? `; as nobody has metered them, ${say(apart, 'voltage')} apart is taken` : '';
  return {
    where: whereOf(base, pair),
    verdict: verdictOf(current, limit, passes),
    measure: 'flows from one pack into the other',
    figure: figure(current, 'A', 'current', middleNinety(drawn)),
    limit,
    margin: limit - current,
    passes,
    parts: [...pair.first.packs, ...pair.second.packs],
    says: `${stand}${nobody}: ${say(current, 'current')} flow as they touch, through ${say(own.loops_ohm[k]!, 'resistance')}. Up to ${say(tolerated, 'voltage')} apart (${say(tolerated / cells, 'voltage')} per cell) no pack takes more than the ${say(limit, 'current')} that it may be charged with.`,
    slip: false,
  };
}

function whereOf({ circuit, machine }: Study, { first, second, step }: JoinedPair): string {
  const names = `${stringName(first)} joined to ${stringName(second)}`;
  const done = step === undefined ? undefined : machine.powerUp[step];
  return done === undefined || !('part' in done) ? `${names} by the wiring` : `${names} by ${called(circuit, done.part)}`;
}

function verdictOf(current_A: number, limit_A: number, passes: number | undefined): Verdict {
  if (current_A > (HARM_RATE / CHARGE_RATE) * limit_A) return 'bad';
  return current_A > limit_A || (passes !== undefined && passes < ENOUGH) ? 'marginal' : 'good';
}

/** A full pack joined to a used one. */
function usedItem(base: Study, pair: JoinedPair, k: number, own: JoinRecord): Item {
  const limit = chargeLimit_A(base, pair);
  const apart = USED_V * fewerCells(base.circuit, pair.first, pair.second, base.values);
  const { current_A, calm_s } = exchange(base, pair, own.loops_ohm[k]!, apart);
  return {
    where: `${stringName(pair.first)} full, ${stringName(pair.second)} used, ${say(USED_V, 'voltage')} per cell apart`,
    verdict: verdictOf(current_A, limit, undefined),
    measure: 'flows from one pack into the other',
    figure: figure(current_A, 'A', 'current', []),
    limit,
    margin: limit - current_A,
    passes: undefined,
    parts: [...pair.first.packs, ...pair.second.packs],
    says: `${say(current_A, 'current')} flow, and it takes ${duration(calm_s)} until less than half of a charge in an hour is left.`,
    slip: true,
  };
}

interface Exchange {
  readonly current_A: number;
  /** Until less than half the charge current flows; 0 when it never flowed. */
  readonly calm_s: number;
  readonly charge_C: number;
  readonly heat_J: number;
  readonly timeConstant_s: number;
}

/** What two packs exchange from a difference on, V: as two capacitors behind their resistances. */
function exchange(base: Study, pair: JoinedPair, loop_ohm: number, apart_V: number): Exchange {
  const { circuit, values } = base;
  const second_V = stringVoltage(circuit, pair.second, values);
  const [first_F, second_F] = [stringCapacitance_F(circuit, pair.first, values), stringCapacitance_F(circuit, pair.second, values)];
  const settled = join(second_V + apart_V, first_F, second_V, second_F, SETTLED_SHARE * loop_ohm);
  const current_A = apart_V / loop_ohm;
  const calm_A = CALM_RATE * chargeLimit_A(base, pair);
  return {
    current_A,
    calm_s: settled.current_A <= calm_A ? 0 : settled.timeConstant_s * Math.log(settled.current_A / calm_A),
    charge_C: settled.charge_C,
    heat_J: settled.heat_J,
    timeConstant_s: settled.timeConstant_s,
  };
}

function summary(verdict: Verdict, joins: readonly Item[], shared: Item | undefined): string {
  const hardest = deciding(joins)!;
  const start = hardest.verdict === 'good' ? 'Yes, when both come from the charger or have been metered.' : hardest.verdict === 'marginal' ? 'Not without a meter.' : 'No.';
  const also = shared === undefined || shared.verdict === 'good' ? '' : ` ${verdict === hardest.verdict && hardest.verdict !== 'good' ? 'And' : 'But'} ${shared.where}: ${shared.says}`;
  return `${start} ${hardest.where}: ${hardest.says}${also}`;
}

/** The card for the pit: what difference is good, and what to join through when it is larger. */
function howToJoin(base: Study, pair: JoinedPair, loop_ohm: number): string {
  const { circuit, values } = base;
  const limit = chargeLimit_A(base, pair);
  const cells = fewerCells(circuit, pair.first, pair.second, values);
  const used_V = USED_V * cells;
  const through_ohm = Math.max(0, used_V / (CALM_RATE * limit) - loop_ohm);
  return `Meter ${stringName(pair.first)} and ${stringName(pair.second)} before joining them: up to ${say(limit * loop_ohm, 'voltage')} apart, join; beyond that charge the lower one first, or join through a lamp or a resistor of at least ${say(through_ohm, 'resistance')} for ${say((used_V / (through_ohm + loop_ohm)) ** 2 * through_ohm, 'power')} until they agree. An unplugged pack's plug is live from the other one.`;
}

function apartTable(base: Study, pair: JoinedPair, loop_ohm: number): Evidence {
  const { circuit, values } = base;
  const cells = fewerCells(circuit, pair.first, pair.second, values);
  const limit = chargeLimit_A(base, pair);
  return {
    type: 'table',
    title: `What if ${stringName(pair.first)} and ${stringName(pair.second)} are further apart`,
    head: ['Per cell', 'Apart', 'Flows at once', 'Of a charge in an hour', 'Until half of that', 'Charge that moves', 'Heat'],
    rows: APART_V.map((perCell_V) => {
      const { current_A, calm_s, charge_C, heat_J } = exchange(base, pair, loop_ohm, perCell_V * cells);
      return [
        say(perCell_V, 'voltage'), say(perCell_V * cells, 'voltage'), say(current_A, 'current'), `${say((current_A / limit) * CHARGE_RATE, 'count')} times`,
        calm_s === 0 ? 'at once' : `about ${duration(calm_s)}`, `about ${say(charge_C, 'charge')}`, `about ${say(heat_J, 'energy')}`,
      ];
    }),
  };
}

function decayPlot(base: Study, pair: JoinedPair, loop_ohm: number): Evidence {
  const { circuit, values } = base;
  const cells = fewerCells(circuit, pair.first, pair.second, values);
  const steps = Array.from({ length: 61 }, (_, k) => k / 15);
  return {
    type: 'plot',
    title: `How what flows between ${stringName(pair.first)} and ${stringName(pair.second)} dies away`,
    x: { name: 'time after joining', unit: 's' },
    y: { name: 'current', unit: 'A' },
    curves: APART_V.map((perCell_V) => {
      const { current_A, timeConstant_s } = exchange(base, pair, loop_ohm, perCell_V * cells);
      // It begins at once and is down to what the settled resistance lets through before a minute is over.
      const sags = (time_s: number): number => 1 + (SETTLED_SHARE - 1) * -Math.expm1(-time_s / SAG_S);
      return {
        name: `${say(perCell_V, 'voltage')} per cell apart`,
        x: steps.map((step) => step * timeConstant_s),
        y: steps.map((step) => (current_A / sags(step * timeConstant_s)) * Math.exp(-step)),
      };
    }),
    thresholds: [{ name: 'charge in an hour', at: chargeLimit_A(base, pair), axis: 'y' }],
    marks: [],
  };
}

/** A time that a person waits, in minutes once it is two of them. */
function duration(time_s: number): string {
  return time_s < 120 ? say(time_s, 'time') : time_s < 7200 ? `${Math.round(time_s / 60)} min` : `${Math.round(time_s / 3600)} h`;
}

/** Time in which cells sag after a step. Common practice, no source. */
const SAG_S = 20;
