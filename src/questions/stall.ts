import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { charge, largestResistance, type Charging } from './charging.ts';
import { drainInGap, heldTime, type PlacedSoftStart, type SampleRecord, type Study } from './study.ts';
import { called, deciding, figure, middleNinety, say, shareOf, worst } from './words.ts';

const ENOUGH = 0.95;
/** Closer to the limit than this and the next controller with a little more draw hangs it. */
const ROOM = 0.85;

interface Held {
  readonly softStart: PlacedSoftStart;
  readonly charging: Charging;
  readonly resistance_ohm: number;
  readonly largest_ohm: number;
  readonly held_s: number | undefined;
  readonly item: Item;
}

/** Does the soft start ever finish? */
export function stall(base: Study, records: readonly SampleRecord[]): Asked {
  const held = base.softStarts.map((softStart, k) => look(base, softStart, records.map((r) => r.softStarts[k]!)));
  const items = held.map((h) => h.item);
  const decides = deciding(items);
  const main = held.find((h) => h.item === decides);
  const answer: Answer = {
    id: 'stall',
    question: 'Does the soft start ever finish?',
    verdict: worst(items.map((item) => item.verdict)),
    says: main === undefined ? 'There is no soft start that could hang.' : `${main.item.where}: ${main.item.says}`,
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: main === undefined ? [] : [busPlot(base, main), givenAndAsked(base, main)],
    advice: [],
    basis: [
      'The bus is simulated with what every load asks for as it wakes; it finishes when every load has started and none stops again.',
      'The largest resistor is found by simulation, halving until it is known to one part in a thousand.',
    ],
    cautions: main === undefined ? [] : ['A soft start that hangs heats its resistor without end: let go after the count.'],
    notAProblem: held.filter((h) => h.item.verdict === 'good').map((h) => `${h.item.where}: ${h.item.says}`),
  };
  if (main === undefined) return { answer, drawn: [] };
  return {
    answer,
    drawn: records.map((r) => r.softStarts[held.indexOf(main)]?.residual_V ?? NaN),
    verdictAt: (values) => stallVerdict(base, main.softStart, values),
  };
}

/** Verdict of one soft start at other values. Whether there is room to the largest resistor is told by trying the one that just leaves it. */
function stallVerdict({ circuit }: Study, softStart: PlacedSoftStart, values: Float64Array): Verdict {
  const request = { circuit, softStart, closed: softStart.closed, values, target_V: softStart.allowed_V };
  const resistance_ohm = values[circuit.inputs.at(`${softStart.resistor}.resistance`)]!;
  const roomy = softStart.starting.length === 0 || charge({ ...request, resistance_ohm: resistance_ohm / ROOM }).outcome === 'settles';
  const placed = { ...softStart, drain_V: drainInGap(circuit, softStart, values) };
  return verdictOf(charge(request), resistance_ohm, roomy ? Infinity : resistance_ohm, placed, undefined);
}

function look(base: Study, softStart: PlacedSoftStart, samples: readonly SampleRecord['softStarts'][number][]): Held {
  const { circuit, values } = base;
  const request = { circuit, softStart, closed: softStart.closed, values, target_V: softStart.allowed_V };
  const charging = charge(request);
  const largest_ohm = softStart.starting.length === 0 ? Infinity : largestResistance(request);
  const resistance_ohm = values[circuit.inputs.at(`${softStart.resistor}.resistance`)]!;
  const passes = shareOf(samples, (s) => s.outcome === 'settles');
  const held_s = heldTime(softStart, base.nominal.closings.map((c) => c.closing));
  const limit = Number.isFinite(largest_ohm) ? largest_ohm : undefined;
  const item: Item = {
    where: `${called(circuit, softStart.entryPart)}${softStart.entry.position === 'closed' ? '' : ` at ${softStart.entry.position}`}`,
    verdict: verdictOf(charging, resistance_ohm, largest_ohm, softStart, passes),
    measure: 'resistor, against the largest that finishes',
    figure: figure(resistance_ohm, 'Ω', 'resistance', middleNinety(samples.map((s) => s.resistance_ohm))),
    limit,
    margin: limit === undefined ? undefined : limit - resistance_ohm,
    passes,
    parts: [softStart.resistor, ...(charging.stuckAt === undefined ? [] : [charging.stuckAt])],
    says: '',
    slip: false,
  };
  const found: Held = { softStart, charging, resistance_ohm, largest_ohm, held_s, item };
  return { ...found, item: { ...item, says: sentence(base, found) } };
}

function verdictOf(charging: Charging, resistance: number, largest: number, softStart: PlacedSoftStart, passes: number | undefined): Verdict {
  if (charging.outcome !== 'settles') return 'bad';
  if (charging.residual_V + softStart.drain_V > softStart.allowed_V) return 'marginal';
  if (resistance > ROOM * largest) return 'marginal';
  return passes !== undefined && passes < ENOUGH ? 'marginal' : 'good';
}

function sentence(base: Study, { softStart, charging, resistance_ohm, largest_ohm, held_s }: Held): string {
  const resistor = `${say(resistance_ohm, 'resistance', 3)}`;
  const limit = Number.isFinite(largest_ohm) ? ` No more than ${say(largest_ohm, 'resistance', 3)} would pass.` : '';
  const rule = rcRule(base, softStart, resistance_ohm, held_s);
  const load = softStart.starting.find((l) => l.part === charging.stuckAt);
  if (charging.outcome === 'hiccups' && load !== undefined)
    return `It never finishes. At ${say(load.start(base.values), 'voltage')} ${called(base.circuit, load.part)} starts and asks for more than ${resistor} can pass, so the bus falls to ${say(load.stop(base.values), 'voltage')}, it stops, and all begins again.${limit}${rule}`;
  if (charging.outcome === 'hangs below a start' && load !== undefined)
    return `It never finishes: what is already awake takes all that ${resistor} can pass, and the bus stays at ${say(charging.end_V, 'voltage')}, below the ${say(load.start(base.values), 'voltage')} at which ${called(base.circuit, load.part)} starts.${limit}${rule}`;
  const short = charging.residual_V + softStart.drain_V > softStart.allowed_V ? `, more than its main contact closes on well (${say(softStart.allowed_V, 'voltage')}, of which ${say(softStart.drain_V, 'voltage')} drain while it changes over)` : '';
  return `It finishes ${say(charging.residual_V, 'voltage')} short of the pack, because what is awake draws through ${resistor}${short}.${limit}`;
}

/** What the usual rule would promise, when the truth is otherwise. */
function rcRule(base: Study, softStart: PlacedSoftStart, resistance: number, held_s: number | undefined): string {
  if (held_s === undefined) return '';
  const capacitance = softStart.banks.reduce((sum, bank) => sum + bank.capacitance(base.values), 0);
  if (!(capacitance > 0)) return '';
  const share = 1 - Math.exp(-held_s / (resistance * capacitance));
  return ` (The usual R·C rule promises ${say(share, 'ratio')} after ${say(held_s, 'time')}.)`;
}

function busPlot(base: Study, main: Held): Evidence {
  const { circuit, values } = base;
  const { softStart } = main;
  const watch = circuit.pointWatch.get(softStart.entry.to);
  const until = Math.max(0.1, main.held_s ?? 2);
  const { run } = charge({
    circuit, softStart, closed: softStart.closed, values, target_V: 0, pictured_s: until, record: { watches: watch === undefined ? [] : [watch], between: 1 },
  });
  const { time_s, curves } = run.recording;
  const kept = time_s.flatMap((t, k) => (t <= until ? [k] : []));
  const capacitance = softStart.banks.reduce((sum, bank) => sum + bank.capacitance(values), 0);
  const rule = Array.from({ length: 80 }, (_, k) => (until * k) / 79);
  return {
    type: 'plot',
    title: `Voltage of the bus while it is held: ${main.item.where}`,
    x: { name: 'time held', unit: 's' },
    y: { name: 'voltage', unit: 'V' },
    curves: [
      { name: 'simulated', x: kept.map((k) => time_s[k]!), y: kept.map((k) => curves[0]?.[k] ?? 0) },
      ...(capacitance > 0 ? [{ name: 'R·C rule', x: rule, y: rule.map((t) => base.supply_V * (1 - Math.exp(-t / (main.resistance_ohm * capacitance)))), dashed: true }] : []),
    ],
    thresholds: [{ name: 'pack', at: base.supply_V, axis: 'y' }, ...softStart.starting.map((l) => ({ name: `${l.part} starts`, at: l.start(values), axis: 'y' as const }))],
    marks: [],
  };
}

/** Current that the resistor can give against what the loads ask, over the bus voltage. */
function givenAndAsked(base: Study, main: Held): Evidence {
  const { values, supply_V } = base;
  const { softStart, resistance_ohm } = main;
  const volts = Array.from({ length: 200 }, (_, k) => (supply_V * k) / 199);
  const asked = volts.map((v) => {
    const standby = softStart.standby.reduce((sum, l) => sum + l.current(values) * 0.5 * (1 + Math.tanh((v - l.threshold(values)) / 0.25)), 0);
    const power = softStart.starting.reduce((sum, l) => sum + (v > 0 && v >= l.stop(values) ? l.power(values) / v : 0), 0);
    return standby + power;
  });
  return {
    type: 'plot',
    title: 'Given and asked',
    x: { name: 'bus voltage', unit: 'V' },
    y: { name: 'current', unit: 'A' },
    curves: [
      { name: `given through ${say(resistance_ohm, 'resistance', 3)}`, x: volts, y: volts.map((v) => (supply_V - v) / resistance_ohm) },
      { name: 'asked by the loads', x: volts, y: asked, dashed: true },
    ],
    thresholds: softStart.starting.flatMap((l) => [
      { name: `${l.part} starts`, at: l.start(values), axis: 'x' as const },
      { name: `${l.part} stops`, at: l.stop(values), axis: 'x' as const },
    ]),
    marks: main.charging.outcome === 'settles' ? [{ x: main.charging.end_V, y: (supply_V - main.charging.end_V) / resistance_ohm, name: 'ends here' }] : [],
  };
}
