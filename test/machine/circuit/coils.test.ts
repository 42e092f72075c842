import { describe, expect, test } from 'vitest';
import { external } from '../../external.ts';
import { circuitOf, powerUp, times } from './running.ts';

const COIL = 'coil voltage: 24 V, coil power: 24 W, hold power: 6 W, economiser delay: 50 ms, pull in: 16 V, drop out: 8 V, closing time: 20 ms, release time: 10 ms';

interface Parts {
  readonly pack?: string;
  readonly coil?: string;
  readonly more?: string;
  readonly wiring: string;
  readonly steps: readonly string[];
}

/** A machine with a contactor K1 whose coil hangs on the place `bus`. */
function machine({ pack = 'cells: 6, cell resistance: 1 mΩ', coil = COIL, more = '', wiring, steps }: Parts): string {
  return `ampwright: 1
machine: COIL
parts:
  G1: { kind: pack, chemistry: lipo, capacity: 20 Ah, full voltage: 4.2 V per cell, ${pack} }
  Q1: { kind: isolator, rating: 100 A, bounce: 0 s }
  K1: { kind: contactor, rating: 100 A, bounce: 0 s, coil from: bus, ${coil} }
${more}wiring:
${wiring}returns: all negatives on one bar, 0.1 mΩ a joint
surroundings: { inside: 25 °C }
procedure:
${steps.map((step) => `  - ${step}\n`).join('')}`;
}

const BANKS = '  C1: { kind: capacitors, capacitance: 5 mF, series resistance: 5 mΩ }\n  C2: { kind: capacitors, capacitance: 5 mF, series resistance: 5 mΩ }\n';
const TWO_BANKS = '  main: from G1+, Q1, 12 AWG 0.3 m, to bus\n  first: from bus, to C1\n  second: from bus, K1, 12 AWG 0.2 m, to C2\n';

describe('a coil on two banks that it drains', () => {
  const circuit = circuitOf(machine({ more: BANKS, wiring: TWO_BANKS, steps: ['close Q1', 'wait 1 s', 'close K1', 'wait 1 s', 'open Q1'] }));
  const coil = circuit.coils[0]!.handle;
  const { run } = powerUp(circuit, 2, undefined, [coil.current]);

  test('touches after its closing time', () => {
    expect(times(run, 'K1 ON touches')[0]! - times(run, 'Q1 ON touches')[0]!).toBeCloseTo(1 + 0.02, 6);
  });

  test('lets the contact fall when the voltage has stood under drop-out for its release time', () => {
    // 10 mF through the 96 Ω that the coil has when it holds; the series resistances take 1e-4 of the time.
    const expected = 96 * 10e-3 * Math.log(25.2 / 8) + 0.01;
    external({ source: 'discharge of a capacitor through a resistor, t = RC ln(V0/V) (any circuits text; closed form)', what: 'time from losing its feed until a contactor falls open', expected, got: times(run, 'K1 drops out')[0]! - times(run, 'Q1 ON parts')[0]!, unit: 's', relative: 2e-3 });
  });

  test('draws its pull-in current and, after the delay, its hold current', () => {
    const { time_s, curves } = run.recording;
    const at = (time: number): number => curves[0]![time_s.findIndex((t) => t > time)]!;
    const touched = times(run, 'K1 ON touches')[0]!;
    external({ source: 'P = V²/R at rated voltage, then Ohm\'s law', what: 'coil of 24 W at 24 V on 25.2 V while it pulls in', expected: 25.2 / 24, got: at(touched + 0.02), unit: 'A', relative: 5e-3 });
    external({ source: 'P = V²/R at rated voltage, then Ohm\'s law', what: 'coil of 6 W at 24 V on 25.2 V while it holds', expected: 25.2 / 96, got: at(touched + 0.1), unit: 'A', relative: 5e-3 });
  });

  test('is let go by its own step after its release time', () => {
    const opened = circuitOf(machine({ more: BANKS, wiring: TWO_BANKS, steps: ['close Q1', 'wait 1 s', 'close K1', 'wait 1 s', 'open K1'] }));
    const { run: second } = powerUp(opened, 0.1);
    const [touched] = times(second, 'K1 ON touches');
    expect(times(second, 'K1 ON parts')[0]! - touched!).toBeCloseTo(1 + 0.01, 6);
    expect(times(second, 'K1 drops out')).toEqual([]);
  });
});

describe('a load that takes half of the voltage', () => {
  // 12.6 V behind 0.3 Ω: below the 13 V of an arc, so that each opening ends the current at once.
  const chattering = (release: string, load: string): string =>
    machine({
      pack: 'cells: 3, cell resistance: 100 mΩ',
      coil: `coil voltage: 12 V, coil power: 0.01 W, pull in: 10 V, drop out: 8 V, closing time: 20 ms, release time: ${release}`,
      more: `  E1: { kind: load, ${load} }\n`,
      wiring: '  main: from G1+, Q1, 12 AWG 0.3 m, to bus\n  load: from bus, K1, 12 AWG 0.2 m, to E1\n',
      steps: ['close Q1', 'close K1', 'wait 0.6 s', 'crew: watch'],
    });

  test('makes the contactor chatter with its closing and release times', () => {
    const { run } = powerUp(circuitOf(chattering('10 ms', 'resistance: 0.3 Ω')), 0.1);
    const falls = times(run, 'K1 drops out');
    expect(falls.length).toBeGreaterThan(15);
    // Tolerance: the contact's force takes some tenths of a millisecond to build up.
    external({ source: 'a cycle is one release and one closing time (definition)', what: 'cycle of a chattering contactor', expected: 0.03, got: (falls[10]! - falls[0]!) / 10, unit: 's', relative: 0.02 });
  });

  test('leaves it alone while the sag is shorter than its release time, or not deep enough', () => {
    expect(times(powerUp(circuitOf(chattering('0.9 s', 'resistance: 0.3 Ω')), 0.1).run, 'K1 drops out')).toEqual([]);
    // 3 Ω leave 11.3 V at first, and 10 V with the pack's slow part.
    expect(times(powerUp(circuitOf(chattering('10 ms', 'resistance: 3 Ω')), 0.1).run, 'K1 drops out')).toEqual([]);
  });
});

test('a coil under its pull-in voltage leaves the contact open, and the closing says so', () => {
  const circuit = circuitOf(machine({ coil: COIL.replace('pull in: 16 V', 'pull in: 26 V'), more: BANKS, wiring: TWO_BANKS, steps: ['close Q1', 'wait 1 s', 'close K1'] }));
  const { run, timeline } = powerUp(circuit, 0.2);
  expect(times(run, 'K1 ON touches')).toEqual([]);
  expect(timeline.closings.find(({ part }) => part === 'K1')!.refused).toBe('coil');
});

test('a coil that pulls its own feed under its pull-in voltage does not close', () => {
  // 25.2 V before it draws; 24 Ω of coil behind 10 Ω leave 17.8 V within a millisecond, long before its closing time is over.
  const build = (resistance: string) => circuitOf(machine({
    coil: COIL.replace('pull in: 16 V', 'pull in: 20 V'), more: `  R1: { kind: resistor, resistance: ${resistance} }\n  C1: { kind: capacitors, capacitance: 100 µF }\n  C2: { kind: capacitors, capacitance: 100 µF }\n`,
    wiring: TWO_BANKS.replace('G1+, Q1', 'G1+, R1, Q1'), steps: ['close Q1', 'wait 1 s', 'close K1'],
  }));
  expect(times(powerUp(build('10 Ω'), 0.2).run, 'K1 ON touches')).toEqual([]);
  // Behind 5 Ω there are 20.9 V left.
  expect(times(powerUp(build('5 Ω'), 0.2).run, 'K1 ON touches')).toHaveLength(1);
});

describe('an emergency stop in the coil and in the key input', () => {
  const stop = '  S1: { kind: isolator }\n  T1: { kind: controller, motor current: 100 A, capacitance: 2 mF, series resistance: 5 mΩ, standby: 0.2 A, logic start: 6 V, key switch: S1 }\n  C1: { kind: capacitors, capacitance: 1 mF }\n';
  const wiring = '  main: from G1+, Q1, 12 AWG 0.3 m, to bus\n  first: from bus, to C1\n  second: from bus, K1, 12 AWG 0.2 m, to T1\n';
  const build = (steps: readonly string[]) => circuitOf(machine({ coil: `${COIL}, coil switch: S1`, more: stop, wiring, steps }));
  const draw = (circuit: ReturnType<typeof build>): number => circuit.loads.standby.find(({ part }) => part === 'T1')!.draws;

  test('takes both away at once', () => {
    const circuit = build(['close Q1', 'close S1', 'close K1', 'wait 1 s', 'open S1']);
    const { run } = powerUp(circuit, 0.2);
    expect(times(run, 'K1 ON touches')).toHaveLength(1);
    expect(times(run, 'K1 lets go')).toHaveLength(1);
    expect(run.parameters[draw(circuit)]).toBe(0);
  });

  test('closes a contactor that no step of the crew closes', () => {
    const circuit = build(['close Q1', 'close S1']);
    const { run } = powerUp(circuit, 0.2);
    expect(times(run, 'K1 ON touches')).toHaveLength(1);
    expect(run.parameters[draw(circuit)]).toBe(0.2);
  });

  test('keeps it open while it is open itself', () => {
    const { run } = powerUp(build(['close Q1', 'close K1', 'close S1']), 0.2);
    expect(times(run, 'K1 stays open: the switch of its coil is open')).toHaveLength(1);
    expect(times(run, 'K1 ON touches')).toEqual([]);
  });
});

describe('a mirror contact', () => {
  const file = (mirror: string): string => machine({
    coil: `${COIL}, soft start: R1, timer: 0.5 s, mirror contact: ${mirror}`, more: `  R1: { kind: resistor, resistance: 47 Ω }\n${BANKS}`, wiring: TWO_BANKS, steps: ['close Q1', 'wait 0.5 s', 'close K1'],
  });

  test.each([['yes', ['welded', 'welded']], ['no', [false, false]]] as const)('%s: a soft start onto a welded main contact', (mirror, expected) => {
    const circuit = circuitOf(file(mirror));
    const main = circuit.ways.get('K1')!.find((way) => way.position === 'ON')!;
    const { timeline } = powerUp(circuit, 0.2, (p) => {
      p[main.branch.contacts[main.contact]!.conducting] = 1;
      p[main.branch.connected] = 1;
    });
    expect(timeline.closings.filter(({ part }) => part === 'K1').map(({ refused }) => refused)).toEqual(expected);
  });
});
