import { layInductance_H } from '../physics/inductance.ts';
import { pointOf } from '../machine/circuit/nets.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import type { MatchRecord } from '../machine/match/record.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { matchSpread } from './match-study.ts';
import { overchargeInMatch } from './overcharge.ts';
import { overvoltageInMatch } from './overvoltage-match.ts';
import { inputPoints, type InputPoint } from './points.ts';
import { recordClosing, TOUCH_S } from './runs.ts';
import { highest, type PlacedSoftStart, type SampleRecord, type Study } from './study.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

/** Closer to a limit than this is marginal: lead lengths and capacitors are never known better. */
const ROOM = 0.9;
/** A part without a stated limit is taken to bear a fifth more than the full pack. Common practice, no source. */
const USUAL_SHARE = 1.2;
/** A voltage this far above the pack is called ringing. */
const RINGS = 1.02;
const ENOUGH = 0.95;

interface Seen {
  readonly point: InputPoint;
  readonly peak_V: number;
  /** Where the peak was: `drive isolator Q1 to ON`. */
  readonly when: string;
  readonly item: Item;
}

/**
 * Will any part see too much voltage: at closings of a power-up, and from motors that brake in a match.
 * @param fights  matches of the spread; the match is left out where there are none to ask for
 */
export function overvoltage(base: Study, records: readonly SampleRecord[], fights?: readonly MatchRecord[]): Asked {
  const closesNothing = base.nominal.closings.length === 0;
  const points = closesNothing ? [] : inputPoints(base.circuit);
  const seen = points.map((point, k) => look(base, point, k, records.map((r) => r.points_V[k]!)));
  const slips = slipItems(base, points);
  const fought = fights === undefined ? [] : [...overvoltageInMatch(base, points.map(({ part }) => ({ part, limit_V: voltageLimit(base.circuit, part), taken_V: USUAL_SHARE * base.supply_V, judge: (peak_V) => judge(base, part, peak_V) })), fights), ...overchargeInMatch(base, fights)];
  const nothing = closesNothing && fought.length === 0;
  const items = [...seen.map((s) => s.item), ...fought, ...slips];
  const decides = deciding(items);
  const main = seen.find((s) => s.item === decides);
  const verdict = worst([...seen.map((s) => s.item), ...fought].map((item) => item.verdict));
  const answer: Answer = {
    id: 'overvoltage',
    question: 'Will any part see too much voltage?',
    verdict: nothing ? 'cannot tell' : verdict,
    says: nothing ? 'The procedure closes nothing.' : decides === undefined ? 'There is no input that too much voltage could harm.' : summary(decides, verdict, slips, fought.length > 0),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: closesNothing ? ['a procedure that closes a switch'] : points.filter(({ part }) => items.some((item) => !item.slip && item.verdict === 'cannot tell' && item.parts[0] === part)).map(({ part }) => `${limitName(base.circuit, part)} of ${part}`),
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: seen.length === 0 ? [] : [peakTable(base, points), ...ringPlots(base, points)],
    advice: [],
    basis: [
      'Each closing is simulated with the inductance of its leads and the series resistance of every capacitor; the highest voltage between + and − of each input counts.',
      `Where a part states no limit it is taken to bear ${USUAL_SHARE} times the full pack (common practice, no source).`,
      fought.length === 0
        ? 'Only closings of the power-up are looked at: braking and switching off under load are questions of their own.'
        : `A match of the machine's own duty begins with the pack as charged as the file says; motors that brake lift the bus. ${matchSpread(fights ?? [])} Opening under load is a question of its own.`,
    ],
    cautions: seen.length === 0 ? [] : ['An input that rings once too high may die weeks later: a converter that has been plugged in live is a suspect.'],
    notAProblem: [...seen.map((s) => s.item), ...fought].filter((item) => item.verdict === 'good').map((item) => `${item.where}: ${item.says}`),
  };
  return { answer, drawn: main === undefined ? [] : records.map((r) => r.points_V[seen.indexOf(main)] ?? NaN) };
}

/** The least voltage that may harm a part, as its file says. */
export function voltageLimit(circuit: Circuit, id: string): number | undefined {
  const part = circuit.machine.parts.get(id);
  if (part?.kind === 'converter') return part.values.inputMaximum?.value;
  if (part?.kind === 'controller') return part.values.absoluteVoltage?.value;
  return part?.kind === 'capacitors' ? part.values.voltage?.value : undefined;
}

function limitName(circuit: Circuit, id: string): string {
  const kind = circuit.machine.parts.get(id)?.kind;
  return kind === 'converter' ? 'input maximum' : kind === 'controller' ? 'absolute voltage' : 'voltage';
}

/** A voltage over what a part bears, or is taken to bear. */
function shareOfLimit(base: Study, part: string, peak_V: number): number {
  return peak_V / (voltageLimit(base.circuit, part) ?? USUAL_SHARE * base.supply_V);
}

function judge(base: Study, part: string, peak_V: number): Verdict {
  const limit = voltageLimit(base.circuit, part);
  if (limit === undefined) return peak_V <= USUAL_SHARE * base.supply_V ? 'good' : 'cannot tell';
  return peak_V <= ROOM * limit ? 'good' : peak_V <= limit ? 'marginal' : 'bad';
}

function look(base: Study, point: InputPoint, k: number, samples: readonly number[]): Seen {
  const { circuit, nominal } = base;
  const peak_V = Math.max(0, highest(nominal.closings)[k] ?? 0);
  // The first closing that gets there: later ones hold what it has brought.
  const at = nominal.closings.find(({ points_V }) => points_V[k]! >= 0.995 * peak_V)?.closing;
  const when = at === undefined ? 'nothing closes' : closes(circuit, at.part, at.position);
  const limit = voltageLimit(circuit, point.part);
  const own = judge(base, point.part, peak_V);
  const passes = shareOf(samples, (peak) => peak <= (limit ?? USUAL_SHARE * base.supply_V));
  const item: Item = {
    where: called(circuit, point.part),
    verdict: own === 'good' && passes !== undefined && passes < ENOUGH ? 'marginal' : own,
    measure: 'at its input, at the highest',
    figure: figure(peak_V, 'V', 'voltage', middleNinety(samples)),
    limit,
    margin: limit === undefined ? undefined : limit - peak_V,
    passes,
    parts: [point.part, ...(at === undefined ? [] : [at.part])],
    says: sentence(base, point.part, peak_V, when, limit),
    slip: false,
  };
  return { point, peak_V, when, item };
}

/** What comes closest to its limit when a soft start is forgotten. */
function slipItems(base: Study, points: readonly InputPoint[]): Item[] {
  const { circuit } = base;
  return base.softStarts.flatMap((soft) =>
    soft.mains.flatMap(({ part, way }): Item[] => {
      const peaks = closedHard(base, soft, part, way, points);
      const hit = points
        .map((point, k) => ({ point, peak_V: peaks[k]! }))
        .filter(({ point }) => soft.points.has(`${point.part}+`))
        .sort((a, b) => shareOfLimit(base, b.point.part, b.peak_V) - shareOfLimit(base, a.point.part, a.peak_V))[0];
      if (hit === undefined) return [];
      const limit = voltageLimit(circuit, hit.point.part);
      const when = `${closes(circuit, part, way.position)} without its soft start`;
      return [
        {
          where: `${called(circuit, hit.point.part)}, ${when}`,
          verdict: judge(base, hit.point.part, hit.peak_V),
          measure: 'at its input, at the highest',
          figure: figure(hit.peak_V, 'V', 'voltage', []),
          limit,
          margin: limit === undefined ? undefined : limit - hit.peak_V,
          passes: undefined,
          parts: [hit.point.part, part],
          says: sentence(base, hit.point.part, hit.peak_V, when, limit),
          slip: true,
        },
      ];
    }),
  );
}

type Main = PlacedSoftStart['mains'][number];

/** Highest voltage at each input when a main contact closes onto empty banks, V. */
function closedHard(base: Study, soft: PlacedSoftStart, part: string, way: Main['way'], points: readonly InputPoint[]): number[] {
  const { curves } = hardRun(base, soft, part, way, points);
  return curves.map((curve) => Math.max(...curve));
}

function hardRun(base: Study, soft: PlacedSoftStart, part: string, way: Main['way'], points: readonly InputPoint[]) {
  const { circuit, values, supply_V } = base;
  return recordClosing(
    { circuit, part, way, closed: soft.closed, banks: soft.banks, missing_V: supply_V, values },
    { watches: points.map((point) => point.watch), between: 3 },
  ).run.recording;
}

function closes(circuit: Circuit, part: string, position: string): string {
  return `${called(circuit, part)} ${position === 'closed' ? 'closes' : `is turned to ${position}`}`;
}

function sentence(base: Study, part: string, peak_V: number, when: string, limit: number | undefined): string {
  const over = peak_V / base.supply_V - 1;
  const bears = limit === undefined ? 'its limit is not given' : `it bears ${say(limit, 'voltage')}`;
  if (!(peak_V > RINGS * base.supply_V)) return `Never above the pack: ${say(peak_V, 'voltage')} at most; ${bears}.`;
  const damping = dampingFor(base, part);
  const reason = damping === undefined ? 'the leads ring with its capacitors' : `${say(damping.inductance_H, 'inductance')} of leads ring with its capacitors, which have too little resistance to stop them`;
  return `${say(peak_V, 'voltage')}, ${say(over, 'ratio')} above the pack, when ${when}: ${reason}; ${bears}.`;
}

/** What would damp an input. */
export interface Damping {
  readonly inductance_H: number;
  /** Low-loss capacitance that rings, F. */
  readonly ringing_F: number;
  /** Series resistance that damps it best, √(L/C), Ω. */
  readonly resistance_ohm: number;
}

/** Leads from the pack to a part and what rings with them; undefined where nothing of low loss does. */
export function dampingFor({ circuit, values }: Study, part: string): Damping | undefined {
  const found = circuit.machine.parts.get(part);
  const field = found?.kind === 'converter' ? 'ceramic' : 'capacitance';
  const key = `${part}.${field}`;
  if (!circuit.inputs.has(key)) return undefined;
  const ringing_F = values[circuit.inputs.at(key)]!;
  const inductance_H = leadInductance_H(circuit, values, `${part}+`);
  if (!(ringing_F > 0 && inductance_H > 0)) return undefined;
  return { inductance_H, ringing_F, resistance_ohm: Math.sqrt(inductance_H / ringing_F) };
}

function leadInductance_H(circuit: Circuit, values: Float64Array, point: string): number {
  const seen = new Set<string>();
  let inductance_H = 0;
  for (let at: string | undefined = point; at !== undefined && !seen.has(at); ) {
    seen.add(at);
    const here: string = at;
    const chain = circuit.machine.wiring.chains.find((c) => c.role === 'supply' && pointOf(c.to) === here);
    chain?.items.forEach((item, k) => {
      if ('conductor' in item)
        inductance_H += layInductance_H(values[circuit.inputs.at(`${chain.name}#${k}.length`)]!, values[circuit.inputs.at(`${chain.name}#${k}.section`)]!, item.conductor.lay);
    });
    at = chain === undefined ? undefined : pointOf(chain.from);
  }
  return inductance_H;
}

function summary(decides: Item, verdict: Verdict, slips: readonly Item[], fought: boolean): string {
  const start = verdict === 'bad' ? 'Yes.' : verdict === 'good' ? (fought ? 'No.' : 'Not in a power-up.') : verdict === 'marginal' ? 'Perhaps.' : 'That depends on a limit that is not given.';
  const slip = slips.find((item) => item.verdict === 'bad');
  return `${start} ${decides.where}: ${decides.says}${slip === undefined ? '' : ` But ${slip.where}: ${slip.says}`}`;
}

function peakTable(base: Study, points: readonly InputPoint[]): Evidence {
  const { circuit, nominal } = base;
  return {
    type: 'table',
    title: 'Highest voltage at each input, closing by closing',
    head: ['Closing', ...points.map((point) => point.part)],
    rows: [
      ...nominal.closings.map(({ closing, points_V }) => [`${called(circuit, closing.part)} ${closing.position}`, ...points_V.map((peak) => say(peak < 1e-3 ? 0 : peak, 'voltage', 3))]),
      ['may see', ...points.map((point) => (voltageLimit(circuit, point.part) === undefined ? 'not given' : say(voltageLimit(circuit, point.part)!, 'voltage')))],
    ],
  };
}

/** The first moments of a closing without its soft start, where an input rings. */
function ringPlots(base: Study, points: readonly InputPoint[]): Evidence[] {
  const soft = base.softStarts[0];
  const main = soft?.mains[0];
  if (soft === undefined || main === undefined) return [];
  const { time_s, curves } = hardRun(base, soft, main.part, main.way, points);
  const shown = time_s.flatMap((t, k) => (t >= TOUCH_S && t <= TOUCH_S + 1e-3 ? [k] : []));
  const drawn = points.flatMap((point, k) => (soft.points.has(`${point.part}+`) ? [{ name: point.part, curve: curves[k]! }] : []));
  return [
    {
      type: 'plot',
      title: `Inputs when ${called(base.circuit, main.part)} closes without its soft start`,
      x: { name: 'time after first touch', unit: 's' },
      y: { name: 'voltage', unit: 'V' },
      curves: drawn.map(({ name, curve }) => ({ name, x: shown.map((k) => time_s[k]! - TOUCH_S), y: shown.map((k) => curve[k]!) })),
      thresholds: [{ name: 'pack', at: base.supply_V, axis: 'y' }],
      marks: [],
    },
  ];
}
