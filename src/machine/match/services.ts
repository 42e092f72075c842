import type { Automaton, RunControl } from '../../engine/automaton.ts';
import type { BankHandle } from '../../engine/devices/bank.ts';
import { addStandby } from '../../engine/devices/load.ts';
import { addConverter, addReceiver, type ConverterHandle, type ReceiverHandle } from '../../engine/devices/supply.ts';
import { smoothMinimum } from '../../engine/devices/motor.ts';
import type { Expr } from '../../engine/expression.ts';
import type { Binder, FromValues } from '../circuit/binder.ts';
import { controllerDraw, converterDraw, regulatorDraw, sum } from '../circuit/draws.ts';
import { isDownstream, pointOf } from '../circuit/nets.ts';
import type { Machine } from '../machine.ts';
import type { Part } from '../parts.ts';
import type { Warmth } from './warmth.ts';

export interface ConverterUnit {
  readonly part: string;
  readonly handle: ConverterHandle;
  readonly stop: FromValues;
}

export interface RadioUnit {
  readonly part: string;
  readonly handle: ReceiverHandle;
  /** Watch of its rail, V. */
  readonly rail: number;
  readonly reset: FromValues;
}

/** A servo that a duty may stall: what that adds to the input power of the converter behind which it hangs, W. */
export interface ServoUnit {
  readonly part: string;
  readonly converter: string;
  readonly extra: FromValues;
}

/** Everything that is no motor: converters, regulators, receivers, servos, lamps, bleeds, what controllers draw themselves. */
export class ServiceBuilder {
  readonly converters: ConverterUnit[] = [];
  readonly radios: RadioUnit[] = [];
  readonly servos: ServoUnit[] = [];
  readonly automata: Automaton[] = [];

  constructor(
    private readonly machine: Machine,
    private readonly binder: Binder,
    private readonly warmth: Warmth,
    private readonly node: (point: string) => BankHandle,
    /** Whether a part hangs on the packs' side. */
    private readonly fed: (id: string) => boolean,
  ) {}

  /** @param obey  told when control is lost and when it is back */
  build(obey: (run: RunControl, obeys: boolean) => void): void {
    const parts = [...this.machine.parts.values()];
    for (const part of parts) if (this.fed(part.id)) this.load(part);
    for (const part of parts) if (part.kind === 'receiver') this.receiver(part, obey);
    for (const part of parts) if (part.kind === 'servo') this.servo(part);
  }

  private load(part: Part): void {
    const { binder, machine } = this;
    const value = (field: string): FromValues => binder.value(`${part.id}.${field}`);
    switch (part.kind) {
      case 'controller': {
        const key = part.values.keyFrom === undefined ? undefined : part.values.keyFrom;
        const point = key !== undefined && this.knows(key) ? key : `${part.id}+`;
        this.standby(part.id, point, controllerDraw(machine, binder, part.id), value('logicStart'));
        return;
      }
      case 'converter':
        this.converter(part);
        return;
      case 'regulator':
        this.standby(part.id, `${part.id}+`, regulatorDraw(machine, binder, part.id), sum(value('output'), value('dropOut')));
        return;
      case 'receiver':
        this.standby(part.id, `${part.id}+`, value('current'), value('reset'));
        return;
      case 'servo':
        this.standby(part.id, `${part.id}+`, value('idle'), () => SERVO_START_V);
        return;
      case 'lamp':
      case 'bleed':
        this.resistor(part.id, value('resistance'));
        return;
      case 'load':
        if (part.values.resistance !== undefined) this.resistor(part.id, value('resistance'));
        if (part.values.current !== undefined) this.standby(part.id, `${part.id}+`, value('current'), value('start'));
        if (part.values.power !== undefined) this.constantPower(part.id, value('power'), value('start'), value('stop'));
        return;
      case 'brake resistor':
        this.brake(part);
        return;
      default:
        return;
    }
  }

  /**
   * A brake resistor as its average: it chops many times a second between its two voltages, so what it takes rises from
   * nothing at the lower to all at the upper one.
   */
  private brake(part: Extract<Part, { kind: 'brake resistor' }>): void {
    const { binder } = this;
    const b = binder.system;
    const g = b.graph;
    const value = (field: string): FromValues => binder.value(`${part.id}.${field}`);
    const bound = (name: string, from: FromValues): Expr => {
      const parameter = b.parameter(`${part.id} ${name}`, binder.nominally(from));
      binder.bind(parameter.index, from);
      return parameter.value;
    };
    const on = bound('on', value('on'));
    const off = bound('off', (v) => Math.min(value('off')(v), 0.995 * value('on')(v)));
    const node = this.node(`${part.id}+`).node;
    const knee = g.constant(BRAKE_KNEE);
    const share = g.smoothMaximum(smoothMinimum(g, g.divide(g.subtract(node.voltage, off), g.subtract(on, off)), g.one, knee), g.zero, knee);
    const flow = g.divide(g.multiply(share, node.voltage), bound('resistance', value('resistance')));
    const power = g.multiply(flow, node.voltage);
    b.flow(node, b.reference, flow);
    b.account('loss', power);
    const lump = this.warmth.part(part.id, part.id, 'resistor', { capacity: value('heatCapacity'), rise: value('thermalResistance'), limit: value('limitTemperature') });
    this.warmth.heat(lump, power);
  }

  private converter(part: Extract<Part, { kind: 'converter' }>): void {
    const { binder } = this;
    const power = converterDraw(this.machine, binder, part);
    this.converters.push(this.constantPower(part.id, power, binder.value(`${part.id}.start`), binder.value(`${part.id}.stop`), {
      output: binder.value(`${part.id}.output`), holdUp: binder.value(`${part.id}.holdUp`),
    }));
  }

  private constantPower(id: string, power: FromValues, start: FromValues, stop: FromValues, output?: { readonly output: FromValues; readonly holdUp: FromValues }): ConverterUnit {
    const { binder } = this;
    const below: FromValues = (v) => Math.min(stop(v), 0.98 * start(v));
    const handle = addConverter(binder.system, id, this.node(`${id}+`).node, binder.system.reference, {
      load_W: binder.nominally(power), efficiency: 1, output_V: output === undefined ? 0 : binder.nominally(output.output),
      start_V: binder.nominally(start), dropOut_V: binder.nominally(below), holdUp_s: output === undefined ? 0 : binder.nominally(output.holdUp), runningAtStart: true,
    });
    binder.bind(handle.load, power);
    binder.bind(handle.start, start);
    binder.bind(handle.dropOut, below);
    if (output !== undefined) {
      binder.bind(handle.output, output.output);
      binder.bind(handle.holdUp, output.holdUp);
    }
    this.automata.push(handle.automaton);
    return { part: id, handle, stop: below };
  }

  private standby(id: string, point: string, current: FromValues, threshold: FromValues): void {
    const { binder } = this;
    const handle = addStandby(binder.system, id, this.node(point).node, binder.system.reference, binder.nominally(current), binder.nominally(threshold));
    binder.bind(handle.current, current);
    binder.bind(handle.threshold, threshold);
  }

  private resistor(id: string, resistance: FromValues): void {
    const { binder } = this;
    const b = binder.system;
    const g = b.graph;
    const parameter = b.parameter(`${id} resistance`, binder.nominally(resistance));
    binder.bind(parameter.index, resistance);
    const node = this.node(`${id}+`).node;
    b.flow(node, b.reference, g.divide(node.voltage, parameter.value));
    b.account('load', g.divide(g.square(node.voltage), parameter.value));
  }

  private receiver(part: Extract<Part, { kind: 'receiver' }>, obey: (run: RunControl, obeys: boolean) => void): void {
    const { binder } = this;
    const rail = this.railAt(`${part.id}+`, new Set());
    if (rail === undefined) return;
    const value = (field: string): FromValues => binder.value(`${part.id}.${field}`);
    const watch = binder.system.watch(`${part.id} rail`, rail);
    const recovers: FromValues = (v) => Math.max(value('recovers')(v), 1.005 * value('reset')(v));
    const handle = addReceiver(binder.system, part.id, watch, {
      brownOut_V: binder.nominally(value('reset')), recover_V: binder.nominally(recovers), tolerance_s: binder.nominally(value('bears')), back_s: binder.nominally(value('comeBack')),
    }, obey);
    binder.bind(handle.brownOut, value('reset'));
    binder.bind(handle.recover, recovers);
    binder.bind(handle.tolerance, value('bears'));
    binder.bind(handle.back, value('comeBack'));
    this.radios.push({ part: part.id, handle, rail: watch, reset: value('reset') });
    this.automata.push(handle.automaton);
  }

  /** Voltage at a point on the services' side: the highest of the outputs that feed it. */
  private railAt(point: string, seen: Set<string>): Expr | undefined {
    if (seen.has(point)) return undefined;
    seen.add(point);
    const g = this.binder.system.graph;
    const rails = this.machine.wiring.chains.flatMap((chain): Expr[] => {
      if (chain.role !== 'supply' || pointOf(chain.to) !== point) return [];
      if (!isDownstream(this.machine, chain)) return this.knows(pointOf(chain.from)) ? [this.node(pointOf(chain.from)).node.voltage] : [];
      const rail = 'place' in chain.from ? this.railAt(chain.from.place, seen) : chain.from.terminal === 'out' ? this.outputOf(chain.from.part, seen) : this.railAt(`${chain.from.part}${chain.from.terminal}`, seen);
      return rail === undefined ? [] : [rail];
    });
    const [first, ...others] = rails;
    return first === undefined ? undefined : others.reduce((highest, rail) => g.smoothMaximum(highest, rail, g.constant(RAIL_KNEE_V)), first);
  }

  private outputOf(id: string, seen: Set<string>): Expr | undefined {
    const { binder } = this;
    const b = binder.system;
    const g = b.graph;
    const kind = this.machine.parts.get(id)?.kind;
    const output = b.parameter(`${id} rail`, binder.nominally(binder.value(`${id}.output`)));
    binder.bind(output.index, binder.value(`${id}.output`));
    if (kind === 'converter') {
      const unit = this.converters.find(({ part }) => part === id);
      return unit === undefined ? undefined : g.multiply(output.value, unit.handle.stands);
    }
    const input = this.fed(id) ? this.node(`${id}+`).node.voltage : this.railAt(`${id}+`, seen);
    if (input === undefined) return undefined;
    const headroom = b.parameter(`${id} headroom`, binder.nominally(binder.value(`${id}.dropOut`)));
    binder.bind(headroom.index, binder.value(`${id}.dropOut`));
    const knee = g.constant(RAIL_KNEE_V);
    return smoothMinimum(g, output.value, g.smoothMaximum(g.subtract(input, headroom.value), g.zero, knee), knee);
  }

  /** A servo behind a converter, perhaps through a linear regulator, which passes the current at the converter's voltage. */
  private servo(part: Extract<Part, { kind: 'servo' }>): void {
    const { binder } = this;
    const feeder = this.converters.find(({ part: id }) => this.machine.parts.get(id)?.kind === 'converter' && this.feeds(id, part.id));
    if (feeder === undefined) return;
    const stall = binder.value(`${part.id}.stall`);
    const output = binder.value(`${feeder.part}.output`);
    const efficiency = binder.value(`${feeder.part}.efficiency`);
    this.servos.push({ part: part.id, converter: feeder.part, extra: (v) => (stall(v) * output(v)) / efficiency(v) });
  }

  private feeds(from: string, to: string, seen = new Set<string>()): boolean {
    const points = [`${from} out`];
    for (let point = points.pop(); point !== undefined; point = points.pop()) {
      if (seen.has(point)) continue;
      seen.add(point);
      for (const chain of this.machine.wiring.chains) {
        if (chain.role !== 'supply' || pointOf(chain.from) !== point) continue;
        if (pointOf(chain.to) === `${to}+`) return true;
        points.push('place' in chain.to ? chain.to.place : `${chain.to.part} out`);
      }
    }
    return false;
  }

  private knows(point: string): boolean {
    return this.machine.wiring.chains.some((chain) => chain.role === 'supply' && !isDownstream(this.machine, chain) && (pointOf(chain.from) === point || pointOf(chain.to) === point));
  }
}

const SERVO_START_V = 3;
const RAIL_KNEE_V = 0.01;
const BRAKE_KNEE = 0.01;
