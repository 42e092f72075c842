import type { Automaton } from '../../engine/automaton.ts';
import { addCapacitor, type CapacitorHandle } from '../../engine/devices/capacitor.ts';
import { addCells } from '../../engine/devices/cells.ts';
import { addConstantPower, addLamp, addStandby, addSwitchedResistor, type ConstantPowerHandle } from '../../engine/devices/load.ts';
import { addResistor } from '../../engine/devices/resistor.ts';
import { addLimitedSource } from '../../engine/devices/source.ts';
import { openCircuit_V, resistanceFactor } from '../../physics/cells.ts';
import type { Machine } from '../machine.ts';
import type { BenchSupply, BrakeResistor, PlainLoad } from '../parts/bench.ts';
import type { Controller, Converter } from '../parts/loads.ts';
import type { Pack } from '../parts/pack.ts';
import type { Part } from '../parts.ts';
import type { Binder, FromValues } from './binder.ts';
import { controllerDraw, converterDraw, regulatorDraw, sum } from './draws.ts';
import { feedPoint } from './feeds.ts';
import { allClosed } from './positions.ts';

/** A bank of capacitors on a load, as the questions look at it. */
export interface Bank {
  readonly part: string;
  readonly capacitor: CapacitorHandle;
  readonly capacitance: FromValues;
}

/** A load that starts and stops. */
export interface StartingLoad {
  readonly part: string;
  readonly handle: ConstantPowerHandle;
  readonly power: FromValues;
  readonly start: FromValues;
  readonly stop: FromValues;
  /** Isolator or link that holds it off until it is closed directly. */
  readonly waitsFor: string | undefined;
}

/** A load of constant current. */
export interface StandbyLoad {
  readonly part: string;
  /** Point that feeds it: its own +, or what feeds its key input. */
  readonly point: string;
  readonly current: FromValues;
  readonly threshold: FromValues;
  /** Parameter: the current that it draws, A; 0 while a switch holds it off. */
  readonly draws: number;
  /** Switches that hold it off until every one is closed directly. */
  readonly waitsFor: readonly string[];
}

/** A pack, or a bench supply in its place. */
export interface PackSource {
  readonly part: string;
  readonly openCircuit: FromValues;
  /** Resistance at once; undefined for a bench supply, which is none. */
  readonly resistance: FromValues | undefined;
  /** Watch: current out of it, A; undefined for a bench supply. */
  readonly currentWatch: number | undefined;
  /** Parameter: its open-circuit voltage, V. */
  readonly voltage: number;
}

export interface Loads {
  readonly packs: PackSource[];
  readonly banks: Bank[];
  readonly starting: StartingLoad[];
  readonly standby: StandbyLoad[];
  readonly automata: Automaton[];
}

/** Series resistance of a ceramic capacitor and its pads, Ω. Common practice, no source. */
const CERAMIC_SERIES_OHM = 5e-3;
/** Of a pack's resistance after ten seconds two thirds are there at once (common practice, no source). */
const SLOW_SHARES = [
  { share: 0.2, time_s: 1 },
  { share: 0.3, time_s: 20 },
] as const;

export class LoadBuilder {
  readonly loads: Loads = { packs: [], banks: [], starting: [], standby: [], automata: [] };

  constructor(
    private readonly machine: Machine,
    private readonly binder: Binder,
  ) {}

  pack(pack: Pack): void {
    const { binder } = this;
    const cells = binder.value(`${pack.id}.cells`);
    const parallel = binder.value(`${pack.id}.parallel`);
    const each = binder.value(`${pack.id}.cellResistance`);
    const charge = binder.value(`${pack.id}.charge`);
    const ambient = binder.value('surroundings.inside');
    const chemistry = pack.values.chemistry;
    const full = binder.has(`${pack.id}.fullVoltage`) ? binder.value(`${pack.id}.fullVoltage`) : undefined;
    const open: FromValues = (v) => {
      const raised = full === undefined ? 0 : (full(v) - openCircuit_V(chemistry, 1)) * charge(v);
      return cells(v) * (openCircuit_V(chemistry, charge(v)) + raised);
    };
    const resistance: FromValues = (v) => ((cells(v) * each(v)) / parallel(v)) * warm(ambient(v));
    const handle = addCells(binder.system, pack.id, this.plus(pack), this.minus(pack), {
      openCircuit_V: binder.nominally(open),
      resistance_ohm: binder.nominally(resistance),
      slow: SLOW_SHARES.map(({ share, time_s }) => ({ resistance_ohm: share * binder.nominally(resistance), time_s })),
    });
    this.loads.packs.push({ part: pack.id, openCircuit: open, resistance, currentWatch: handle.currentWatch, voltage: handle.openCircuit });
    binder.bind(handle.openCircuit, open);
    binder.bind(handle.resistance, resistance);
    handle.slow.forEach((pair, k) => binder.bind(pair.resistance, (v) => SLOW_SHARES[k]!.share * resistance(v)));
  }

  /** A bench supply: a voltage behind a resistance, held to its current limit, that takes nothing back. */
  supply(part: BenchSupply): void {
    const { binder } = this;
    const voltage = binder.value(`${part.id}.voltage`);
    const limit = binder.value(`${part.id}.limit`);
    const handle = addLimitedSource(binder.system, part.id, this.plus(part), this.minus(part), binder.nominally(voltage), binder.nominally(limit));
    binder.bind(handle.voltage, voltage);
    binder.bind(handle.limit, limit);
    this.loads.packs.push({ part: part.id, openCircuit: voltage, resistance: undefined, currentWatch: undefined, voltage: handle.voltage });
  }

  private plainLoad(part: PlainLoad): void {
    const { binder } = this;
    const { power, current, resistance } = part.values;
    if (resistance !== undefined) this.plainResistor(part.id, part, binder.value(`${part.id}.resistance`));
    if (current !== undefined) this.standbyLoad(part, binder.value(`${part.id}.current`), binder.value(`${part.id}.start`));
    if (power !== undefined) this.startingLoad(part, binder.value(`${part.id}.power`), undefined);
  }

  private plainResistor(name: string, part: Part, resistance: FromValues): void {
    const handle = addResistor(this.binder.system, name, this.plus(part), this.minus(part), this.binder.nominally(resistance));
    this.binder.bind(handle.resistance, resistance);
  }

  private brake(part: BrakeResistor): void {
    const { binder } = this;
    const value = (field: string): FromValues => binder.value(`${part.id}.${field}`);
    const handle = addSwitchedResistor(binder.system, part.id, this.plus(part), this.minus(part), {
      resistance_ohm: binder.nominally(value('resistance')),
      on_V: binder.nominally(value('on')),
      off_V: binder.nominally(value('off')),
    });
    binder.bind(handle.resistance, value('resistance'));
    binder.bind(handle.on, value('on'));
    binder.bind(handle.off, (v) => Math.min(value('off')(v), 0.995 * value('on')(v)));
    this.loads.automata.push(handle.automaton);
  }

  load(part: Part): void {
    switch (part.kind) {
      case 'load':
        this.plainLoad(part);
        return;
      case 'brake resistor':
        this.brake(part);
        return;
      case 'controller':
        this.bank(part, 'capacitance', 'seriesResistance');
        this.logic(part);
        return;
      case 'capacitors':
        this.bank(part, 'capacitance', 'seriesResistance');
        return;
      case 'converter':
        this.converter(part);
        return;
      case 'regulator':
        this.standbyLoad(part, regulatorDraw(this.machine, this.binder, part.id), sum(this.binder.value(`${part.id}.output`), this.binder.value(`${part.id}.dropOut`)));
        return;
      case 'receiver':
        this.standbyLoad(part, this.binder.value(`${part.id}.current`), this.binder.value(`${part.id}.reset`));
        return;
      case 'servo':
        this.standbyLoad(part, this.binder.value(`${part.id}.idle`), () => 3);
        return;
      case 'bleed':
        this.plainResistor(part.id, part, this.binder.value(`${part.id}.resistance`));
        return;
      case 'lamp': {
        const resistance = this.binder.value(`${part.id}.resistance`);
        const forward = this.binder.value(`${part.id}.forwardDrop`);
        const { nominally } = { nominally: (f: FromValues) => this.binder.nominally(f) };
        const handle = addLamp(this.binder.system, part.id, this.plus(part), this.minus(part), nominally(resistance), nominally(forward));
        this.binder.bind(handle.resistance, resistance);
        this.binder.bind(handle.forward, forward);
        return;
      }
      default:
        return;
    }
  }

  private bank(part: Part, field: 'capacitance' | 'electrolytic', series: 'seriesResistance' | 'electrolyticResistance'): void {
    const capacitance = this.binder.value(`${part.id}.${field}`);
    if (!(this.binder.nominally(capacitance) > 0)) return;
    this.capacitor(part, `${part.id}`, capacitance, this.binder.value(`${part.id}.${series}`));
  }

  private capacitor(part: Part, name: string, capacitance: FromValues, series: FromValues): void {
    const { binder } = this;
    const capacitor = addCapacitor(binder.system, name, this.plus(part), this.minus(part), binder.nominally(capacitance), binder.nominally(series));
    binder.bind(capacitor.capacitance, capacitance);
    binder.bind(capacitor.seriesResistance, series);
    this.loads.banks.push({ part: part.id, capacitor, capacitance });
  }

  private converter(part: Converter): void {
    const { binder } = this;
    this.bank(part, 'electrolytic', 'electrolyticResistance');
    const ceramic = binder.value(`${part.id}.ceramic`);
    if (binder.nominally(ceramic) > 0) this.capacitor(part, `${part.id} ceramic`, ceramic, () => CERAMIC_SERIES_OHM);
    this.startingLoad(part, converterDraw(this.machine, this.binder, part), part.values.waitsFor);
  }

  /** A load of constant power with a start and a stop voltage. */
  private startingLoad(part: Part, power: FromValues, waitsFor: string | undefined): void {
    const { binder } = this;
    const start = binder.value(`${part.id}.start`);
    const stop = binder.value(`${part.id}.stop`);
    const handle = addConstantPower(binder.system, part.id, this.plus(part), this.minus(part), {
      power_W: binder.nominally(power),
      start_V: binder.nominally(start),
      stop_V: binder.nominally(stop),
    });
    binder.bind(handle.power, power);
    binder.bind(handle.start, start);
    // Two class defaults drawn apart may cross; a load stops below where it starts.
    const below: FromValues = (v) => Math.min(stop(v), 0.98 * start(v));
    binder.bind(handle.stop, below);
    if (waitsFor !== undefined) binder.bind(handle.enabled, () => 0);
    this.loads.starting.push({ part: part.id, handle, power, start, stop: below, waitsFor });
    this.loads.automata.push(handle.automaton);
  }

  private standbyLoad(part: Part, current: FromValues, threshold: FromValues, point = `${part.id}+`, waitsFor: readonly string[] = []): void {
    const { binder } = this;
    const handle = addStandby(binder.system, part.id, binder.node(point), this.minus(part), binder.nominally(current), binder.nominally(threshold));
    binder.bind(handle.current, allClosed(this.machine, waitsFor, new Map()) ? current : () => 0);
    binder.bind(handle.threshold, threshold);
    this.loads.standby.push({ part: part.id, point, current, threshold, draws: handle.current, waitsFor });
  }

  /** A controller's logic: fed by its own + or through its key input, and held off by what its inputs wait for. */
  private logic(part: Controller): void {
    const { keyFrom, keySwitch, waitsFor } = part.values;
    const point = keyFrom === undefined ? undefined : feedPoint(this.machine, keyFrom);
    const held = [keySwitch, waitsFor].filter((one) => one !== undefined);
    this.standbyLoad(part, controllerDraw(this.machine, this.binder, part.id), this.binder.value(`${part.id}.logicStart`), point, held);
  }

  private plus(part: Part) {
    return this.binder.node(`${part.id}+`);
  }

  private minus(part: Part) {
    return this.binder.node(`${part.id}-`);
  }
}

/** Resistance of cells at a temperature over that at 25 °C, within the class table's range. */
function warm(temperature_C: number): number {
  return resistanceFactor(Math.min(Math.max(temperature_C, 0), 45));
}
