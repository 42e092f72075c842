import { planSteps } from '../machine/circuit/power-up.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { charge, type Charging } from './charging.ts';
import { drainInGap, heldTime, restTime, type PlacedSoftStart, type SampleRecord, type Study } from './study.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

/** People count fast and let go early: the procedure should leave half as much again. */
const HUMAN_MARGIN = 1.5;
const ENOUGH = 0.9;

interface Timed {
  readonly softStart: PlacedSoftStart;
  readonly charging: Charging;
  /** The same with banks still half charged from a first attempt. */
  readonly second: Charging;
  readonly held_s: number | undefined;
  readonly target_V: number;
  readonly item: Item;
}

/** How long must the soft start be held? */
export function hold(base: Study, records: readonly SampleRecord[]): Asked {
  const timed = base.softStarts.map((softStart, k) => time(base, softStart, records.map((r) => r.softStarts[k]!)));
  const items = timed.map((t) => t.item);
  const decides = deciding(items);
  const main = timed.find((t) => t.item === decides);
  const answer: Answer = {
    id: 'hold',
    question: 'How long must the soft start be held?',
    verdict: worst(items.map((item) => item.verdict)),
    says: main === undefined ? 'There is no soft start to hold.' : summary(base, main),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: main === undefined ? [] : [voltagePlot(base, main), timeTable(base, timed)],
    advice: [],
    basis: [
      'Held until no more is missing than the main contact closes on well, less what drains while the changeover is open.',
      `The procedure should leave ${HUMAN_MARGIN} times that, because people count fast.`,
    ],
    cautions: main === undefined ? [] : ['The count is a guide: the lamp or a meter decides. When it does not come up in time, let go: something is on.'],
    notAProblem: timed.filter((t) => t.item.verdict === 'good').map((t) => `${t.item.where}: ${t.item.says}`),
  };
  if (main === undefined) return { answer, drawn: [] };
  return {
    answer,
    drawn: records.map((r) => r.softStarts[timed.indexOf(main)]?.needed_s ?? NaN),
    verdictAt: (values) => holdVerdict(base, main.softStart, values),
  };
}

/** Verdict of one soft start's count at other values. */
function holdVerdict({ circuit, machine }: Study, softStart: PlacedSoftStart, values: Float64Array): Verdict {
  const target_V = softStart.allowed_V - drainInGap(circuit, softStart, values);
  const { reached_s } = charge({ circuit, softStart, closed: softStart.closed, values, target_V });
  return verdictOf(reached_s, heldTime(softStart, planSteps(circuit, machine.powerUp, 'power up', values, 0).closings), undefined);
}

function time(base: Study, softStart: PlacedSoftStart, samples: readonly SampleRecord['softStarts'][number][]): Timed {
  const { circuit, values } = base;
  const target_V = softStart.allowed_V - softStart.drain_V;
  const request = { circuit, softStart, closed: softStart.closed, values, target_V };
  const charging = charge(request);
  const second = charge({ ...request, initial_V: base.supply_V / 2 });
  const held_s = heldTime(softStart, base.nominal.closings.map((c) => c.closing));
  const passes = shareOf(samples, (s) => s.needed_s !== undefined && s.held_s !== undefined && s.needed_s <= s.held_s);
  const needed = charging.reached_s;
  const lost = lostAgain(base, softStart);
  const reached = samples.flatMap((s) => (s.needed_s === undefined ? [] : [s.needed_s]));
  const item: Item = {
    where: `${called(circuit, softStart.entryPart)}${softStart.entry.position === 'closed' ? '' : ` at ${softStart.entry.position}`}`,
    verdict: lost === undefined ? verdictOf(needed, held_s, passes) : 'bad',
    measure: 'hold at least',
    figure: needed === undefined ? undefined : figure(needed, 's', 'time', middleNinety(reached)),
    limit: held_s,
    margin: needed === undefined || held_s === undefined ? undefined : held_s - needed,
    passes,
    parts: [softStart.entryPart, softStart.resistor],
    says: `${sentence(charging, second, held_s, target_V)}${lost ?? ''}`,
    slip: false,
  };
  return { softStart, charging, second, held_s, target_V, item };
}

/** Longer than any changeover, s: a soft start that was let go on purpose before its main contact closed. */
const LET_GO_S = 0.1;

/** What a pause between letting go and closing the main contact costs, where it costs too much. */
function lostAgain(base: Study, softStart: PlacedSoftStart): string | undefined {
  const idle_s = restTime(softStart, base.nominal.closings.map((c) => c.closing));
  const main = base.nominal.closings.find((c) => softStart.mains.some((m) => m.way === c.closing.way));
  if (idle_s <= LET_GO_S || main === undefined || main.measures.missing_V <= softStart.allowed_V) return undefined;
  return ` But it is let go ${say(idle_s, 'time')} before its main contact closes, and by then ${say(main.measures.missing_V, 'voltage')} is missing again: keep it held until the main contact has closed (press, wait, close the main contact, release).`;
}

function verdictOf(needed: number | undefined, held: number | undefined, passes: number | undefined): Verdict {
  if (needed === undefined) return 'bad';
  if (held === undefined) return 'cannot tell';
  if (needed > held) return 'bad';
  if (needed * HUMAN_MARGIN > held) return 'marginal';
  return passes !== undefined && passes < ENOUGH ? 'marginal' : 'good';
}

function sentence(charging: Charging, second: Charging, held_s: number | undefined, target_V: number): string {
  if (charging.reached_s === undefined) {
    const stuck = charging.outcome === 'settles' ? `it ends with ${say(charging.residual_V, 'voltage')} missing` : `it never gets past the start of ${charging.stuckAt ?? 'a load'}`;
    return `No time is enough: ${stuck}, and ${target_V > 0 ? `no more than ${say(target_V, 'voltage')} may be missing` : 'what drains while the changeover is open already spoils it'}.`;
  }
  const again = second.reached_s === undefined ? 'a second attempt with half-charged banks never gets there' : second.reached_s === 0 ? 'at once on a second attempt with half-charged banks' : `${say(second.reached_s, 'time')} on a second attempt with half-charged banks`;
  const left = held_s === undefined ? 'the procedure never goes on from it' : `the procedure leaves ${say(held_s, 'time')}`;
  return `${say(charging.reached_s, 'time')} until no more than ${say(target_V, 'voltage')} is missing (${again}); ${left}.`;
}

function summary(base: Study, main: Timed): string {
  const { charging, item } = main;
  if (charging.reached_s === undefined) return `${item.where}: ${item.says} Let go when it does not come up: something is on.`;
  const counted = Math.max(0.5, Math.ceil(charging.reached_s * HUMAN_MARGIN * 2) / 2);
  return `${item.where}: count ${say(counted, 'time')}. ${item.says} By then ${say(Math.max(0, base.supply_V - main.target_V), 'voltage')} stands on it.`;
}

function timeTable(base: Study, timed: readonly Timed[]): Evidence {
  return {
    type: 'table',
    title: 'Each soft start',
    head: ['Which', 'Through', 'Needed', 'Second attempt', 'The procedure leaves', 'May be missing', 'Drains while open', 'Missing in the end'],
    rows: timed.map((t) => [
      t.item.where,
      `${t.softStart.resistor} ${say(base.values[base.circuit.inputs.at(`${t.softStart.resistor}.resistance`)]!, 'resistance', 3)}`,
      t.charging.reached_s === undefined ? 'never' : say(t.charging.reached_s, 'time', 3),
      t.second.reached_s === undefined ? 'never' : say(t.second.reached_s, 'time', 3),
      t.held_s === undefined ? 'not used' : say(t.held_s, 'time', 3),
      say(t.softStart.allowed_V, 'voltage'),
      say(t.softStart.drain_V, 'voltage'),
      say(t.charging.residual_V, 'voltage', 3),
    ]),
  };
}

function voltagePlot(base: Study, main: Timed): Evidence {
  const { circuit, values } = base;
  const watch = circuit.pointWatch.get(main.softStart.entry.to);
  const shown = Math.max(main.held_s ?? 0, (main.charging.reached_s ?? 0) * 2, 0.05);
  const { run } = charge({
    circuit, softStart: main.softStart, closed: main.softStart.closed, values, target_V: main.target_V, pictured_s: shown,
    record: { watches: watch === undefined ? [] : [watch], between: 1 },
  });
  const { time_s, curves } = run.recording;
  const kept = time_s.flatMap((t, k) => (t <= shown ? [k] : []));
  return {
    type: 'plot',
    title: `Voltage behind the soft start: ${main.item.where}`,
    x: { name: 'time held', unit: 's' },
    y: { name: 'voltage', unit: 'V' },
    curves: [{ name: 'charged so far', x: kept.map((k) => time_s[k]!), y: kept.map((k) => curves[0]?.[k] ?? 0) }],
    thresholds: [
      { name: 'pack', at: base.supply_V, axis: 'y' },
      ...(main.target_V > 0 ? [{ name: 'good to close', at: base.supply_V - main.target_V, axis: 'y' as const }] : []),
    ],
    marks: main.charging.reached_s === undefined ? [] : [{ x: main.charging.reached_s, y: base.supply_V - main.target_V, name: say(main.charging.reached_s, 'time') }],
  };
}
