import { buildCircuit, type Circuit } from '../machine/circuit/circuit.ts';
import type { Machine } from '../machine/machine.ts';
import type { FileEdit } from '../machine/edit.ts';
import { formatValue } from '../quantity/format.ts';
import { exact, ranged, type Dimension, type Quantity } from '../quantity/quantity.ts';
import type { Draw } from './held-bus.ts';
import { fitReadings, METER, type FitOutcome, type FitRequest, type Range, type Reading, type Told } from './hold-test.ts';
import { findSoftStarts, type SoftStart } from './soft-starts.ts';
import { supplyVoltage } from './runs.ts';

/** The soft starts of a machine, to choose one to hold. */
export interface Holdable {
  readonly circuit: Circuit;
  readonly softStarts: readonly SoftStart[];
}

/** What the file says of a sum over all parts behind a soft start. */
export interface Filed {
  readonly value: number;
  readonly low: number;
  readonly high: number;
  /** Some of it is a class default. */
  readonly usual: boolean;
}

/** A hold test of one soft start: what its readings say, beside what the file says. */
export interface HeldSoftStart {
  readonly softStart: SoftStart;
  readonly supply: Quantity;
  readonly resistance: Quantity;
  readonly outcome: FitOutcome;
  readonly filed: { readonly capacitance: Filed; readonly standby: Filed };
  /** What the result rests on, in sentences. */
  readonly basis: readonly string[];
  /** The file's values replaced by measured ones, and why some are not. */
  readonly edits: readonly FileEdit[];
  readonly unwritten: readonly string[];
}

/** Spreads taken where the file gives a value without one. Common practice, no source. */
const USUAL_SPREAD = { resistance: 0.05, measured: 0.01, pack: 0.01, power: 0.1 } as const;
/** How far beyond the file's own range, as a factor, a value is looked for: nobody is wrong by more. */
const PRIOR_REACH = { capacitance: [8, 8], standby: [30, 10] } as const;
/** Where a standby current is looked for that the file puts at zero, A: one controller's. Common practice, no source. */
const SOME_STANDBY_A: Range = { low: 0.01, high: 0.12 };

export function holdables(machine: Machine): Holdable {
  const circuit = buildCircuit(machine);
  return { circuit, softStarts: findSoftStarts(circuit) };
}

/**
 * Fits the readings of one soft start that was held with its main contact open.
 * @param pack  the pack's voltage as measured at the test; from the file when left out
 */
export function holdTest({ circuit }: Holdable, softStart: SoftStart, readings: readonly Reading[], pack?: Quantity): HeldSoftStart {
  const { request: fit, filed, basis } = requestFor(circuit, softStart, readings, pack);
  const outcome = fitReadings(fit);
  const written = [
    writtenShares(circuit, softStart, 'capacitance', outcome.capacitance),
    writtenShares(circuit, softStart, 'standby', outcome.standby),
  ];
  return {
    softStart,
    supply: fit.supply,
    resistance: fit.resistance,
    outcome,
    filed,
    basis,
    edits: written.flatMap((w) => w.edits),
    unwritten: written.flatMap((w) => (w.why === undefined ? [] : [w.why])),
  };
}

interface Prepared extends Pick<HeldSoftStart, 'filed' | 'basis'> {
  readonly request: FitRequest;
}

function requestFor(circuit: Circuit, softStart: SoftStart, readings: readonly Reading[], pack: Quantity | undefined): Prepared {
  const { inputs } = circuit;
  const values = inputs.nominal();
  const basis: string[] = [];
  const supply = supplyOf(circuit, pack, basis);
  const resistance = resistanceOf(circuit, softStart, values, basis);
  const filed = {
    capacitance: filedSum(circuit, softStart.banks.map((bank) => bank.part), (v) => softStart.banks.reduce((sum, bank) => sum + bank.capacitance(v), 0)),
    standby: filedSum(circuit, softStart.standby.map((load) => load.part), (v) => softStart.standby.reduce((sum, load) => sum + load.current(v), 0)),
  };
  const starting = softStart.starting.filter((load) => load.waitsFor === undefined);
  const powers = starting.map((load) => ({
    power: powerOf(circuit, load.part, load.power(values), basis),
    start: fieldOf(circuit, load.part, 'start') ?? exact('voltage', load.start(values)),
    stop: exact('voltage', load.stop(values)),
  }));
  const wakes = softStart.standby.map((load) => ({
    at: fieldOf(circuit, load.part, 'logicStart') ?? exact('voltage', load.threshold(values)),
    share: filed.standby.value > 0 ? load.current(values) / filed.standby.value : 1 / softStart.standby.length,
  }));
  const bankParts = new Set(softStart.banks.map((bank) => bank.part));
  if (bankParts.size > 1) basis.push(`The banks of ${[...bankParts].join(', ')} count as one.`);
  const diode = diodeBehind(circuit, softStart);
  if (diode !== undefined) basis.push(`The drop of the diode ${diode} is left out: the bank behind it charges a little less than the rest.`);
  const request: FitRequest = {
    supply,
    resistance,
    readings,
    meter: METER,
    prior: {
      capacitance: reach(filed.capacitance, PRIOR_REACH.capacitance),
      standby: reach(filed.standby.low > 0 ? filed.standby : SOME_STANDBY_A, PRIOR_REACH.standby),
    },
    wakes: wakes.length > 0 ? wakes : [{ at: exact('voltage', 0.5), share: 1 }],
    powers,
    leaks: leaksOf(circuit, softStart, values),
  };
  return { request, filed, basis };
}

function supplyOf(circuit: Circuit, pack: Quantity | undefined, basis: string[]): Quantity {
  if (pack !== undefined) {
    const half = pack.low === pack.high ? METER.share * pack.value + METER.digits_V : undefined;
    basis.push(`The pack at ${formatValue(pack.value, 'voltage')}, measured.`);
    return half === undefined ? pack : ranged('voltage', pack.value, pack.value - half, pack.value + half, 'measured');
  }
  const values = circuit.inputs.nominal();
  const full_V = supplyVoltage(circuit, values);
  basis.push(`The pack at ${formatValue(full_V, 'voltage')} ±${percent(USUAL_SPREAD.pack)}, from the file: with --pack and the same meter the standby current is told far better.`);
  return about('voltage', full_V, USUAL_SPREAD.pack);
}

/** The resistor with the lead and the contacts of its branch. */
function resistanceOf(circuit: Circuit, { resistor, entry }: SoftStart, values: Float64Array, basis: string[]): Quantity {
  const own = fieldOf(circuit, resistor, 'resistance');
  const branch_ohm = circuit.parametersFor(values)[entry.branch.resistance]!;
  if (own === undefined) throw new Error(`${resistor} has no resistance`);
  if (own.low === own.high) {
    const spread = own.origin === 'measured' ? USUAL_SPREAD.measured : USUAL_SPREAD.resistance;
    basis.push(`${resistor} at ${formatValue(own.value, 'resistance')}, taken ±${percent(spread)} because the file gives no spread.`);
    return about('resistance', branch_ohm, spread);
  }
  const beside = branch_ohm - own.value;
  basis.push(`${resistor} at ${own.text.trim()}, from the file.`);
  return { ...own, value: branch_ohm, low: own.low + beside, high: own.high + beside };
}

function powerOf(circuit: Circuit, part: string, power_W: number, basis: string[]): Quantity {
  const own = fieldOf(circuit, part, 'running');
  if (own !== undefined && own.low !== own.high) return own;
  basis.push(`${part} draws ${formatValue(power_W, 'power')} ±${percent(USUAL_SPREAD.power)} once started, and counts as that; hold the test with it unplugged to be surer.`);
  return about('power', power_W, USUAL_SPREAD.power);
}

/** Bleed resistors and lamps behind the soft start. */
function leaksOf(circuit: Circuit, { points }: SoftStart, values: Float64Array): Draw[] {
  return [...circuit.machine.parts.values()].flatMap((part): Draw[] => {
    if ((part.kind !== 'bleed' && part.kind !== 'lamp') || !points.has(`${part.id}+`)) return [];
    const value = (field: string): number => values[circuit.inputs.at(`${part.id}.${field}`)]!;
    return [{ at_V: part.kind === 'lamp' ? value('forwardDrop') : 0, current_A: 0, slope_S: 1 / value('resistance') }];
  });
}

function diodeBehind({ machine }: Circuit, { points }: SoftStart): string | undefined {
  for (const chain of machine.wiring.chains) {
    const end = 'place' in chain.to ? chain.to.place : `${chain.to.part}${chain.to.terminal}`;
    if (chain.role !== 'supply' || !points.has(end)) continue;
    for (const item of chain.items) if ('part' in item && machine.parts.get(item.part)?.kind === 'diode') return item.part;
  }
  return undefined;
}

/**
 * The measured sum shared out in proportion over the controllers and banks behind the soft start, as edits. What a
 * converter's input holds, and what hangs on a supply, stays as the file has it.
 */
function writtenShares(circuit: Circuit, softStart: SoftStart, what: 'capacitance' | 'standby', told: Told): { edits: FileEdit[]; why: string | undefined } {
  if (!told.told) return { edits: [], why: undefined };
  const values = circuit.inputs.nominal();
  const names = { capacitance: 'capacitance', standby: 'standby current' } as const;
  const dimension = what === 'capacitance' ? 'capacitance' : 'current';
  const list = what === 'capacitance' ? softStart.banks.map((bank) => ({ part: bank.part, value: bank.capacitance(values) })) : softStart.standby.map((load) => ({ part: load.part, value: load.current(values) }));
  const own = list.flatMap(({ part }) => {
    const kind = circuit.machine.parts.get(part)?.kind;
    const scaled = kind === 'controller' || (kind === 'capacitors' && what === 'capacitance');
    return scaled ? [{ part, value: fieldOf(circuit, part, what)?.value ?? 0 }] : [];
  });
  const shared = own.reduce((sum, { value }) => sum + value, 0);
  const rest = list.reduce((sum, { value }) => sum + value, 0) - shared;
  if (!(shared > 0)) return { edits: [], why: `The ${names[what]} is not written: no controller or bank behind ${softStart.name} has one to scale.` };
  if (!(told.low > rest)) return { edits: [], why: `The ${names[what]} is not written: ${formatValue(rest, dimension)} of it is what the file gives to other parts, and the controllers would be left with nothing.` };
  const edits = own.filter(({ value }) => value > 0).map(({ part, value }): FileEdit => {
    const share = (sum: number): number => (value / shared) * (sum - rest);
    return { path: ['parts', part, what], text: measuredText(share(told.value), share(told.low), share(told.high), dimension) };
  });
  return { edits, why: undefined };
}

/** `2.1 mF ±8 %, measured`; `45 mA (20 to 90 mA), measured` where the sides differ too much for one percentage. */
function measuredText(value: number, low: number, high: number, dimension: Dimension): string {
  const half = Math.ceil(100 * Math.max(1 - low / value, high / value - 1));
  const spread = half < 40 ? `±${half} %` : `(${formatValue(low, dimension)} to ${formatValue(high, dimension)})`;
  return `${formatValue(value, dimension)} ${spread}, measured`;
}

function filedSum(circuit: Circuit, parts: readonly string[], sum: (values: Float64Array) => number): Filed {
  const { list } = circuit.inputs;
  const usual = list.some(({ part, quantity, key }) => part !== undefined && parts.includes(part) && quantity.origin === 'class default' && /\.(capacitance|standby|current|idle|electrolytic|ceramic)$/.test(key));
  return { value: sum(circuit.inputs.nominal()), low: sum(Float64Array.from(list, ({ quantity }) => quantity.low)), high: sum(Float64Array.from(list, ({ quantity }) => quantity.high)), usual };
}

function fieldOf(circuit: Circuit, part: string, field: string): Quantity | undefined {
  const key = `${part}.${field}`;
  return circuit.inputs.has(key) ? circuit.inputs.list[circuit.inputs.at(key)]?.quantity : undefined;
}

function reach({ low, high }: Range, [below, above]: readonly [number, number]): Range {
  return { low: low / below, high: high * above };
}

/** A value with a relative half width. */
function about(dimension: Dimension, value: number, half: number): Quantity {
  return ranged(dimension, value, value * (1 - half), value * (1 + half), 'assumed');
}

function percent(share: number): string {
  return `${Number((100 * share).toPrecision(2))} %`;
}
