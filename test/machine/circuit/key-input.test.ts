import { describe, expect, test } from 'vitest';
import { external } from '../../external.ts';
import { circuitOf, powerUp } from './running.ts';

/** A pack behind a soft start of 10 Ω that a controller's logic of 0.2 A loads as its key allows. */
function machine(controller: string, steps: readonly string[]): string {
  return `ampwright: 1
machine: KEYED
parts:
  G1: { kind: pack, chemistry: lipo, cells: 6, capacity: 20 Ah, full voltage: 4.2 V per cell, cell resistance: 0.2 mΩ }
${controller.includes('S1') ? '  S1: { kind: isolator }\n' : ''}  Q1: { kind: isolator, rating: 100 A, bounce: 0 s, positions: { OFF: open, CHARGE: through R1, ON: direct } }
  R1: { kind: resistor, resistance: 10 Ω }
  T1: { kind: controller, motor current: 100 A, capacitance: 1 mF, series resistance: 5 mΩ, standby: 0.2 A, logic start: 6 V, ${controller} }
wiring:
  pack: from G1+, 12 AWG 0.1 m, to bar
  drive: from bar, Q1, 12 AWG 0.1 m, to T1
returns: all negatives on one bar, 0.1 mΩ a joint
surroundings: { inside: 25 °C }
procedure:
${steps.map((step) => `  - ${step}\n`).join('')}`;
}

const busAfter = (controller: string, steps: readonly string[]): number => {
  const circuit = circuitOf(machine(controller, steps));
  return powerUp(circuit, 0.5).run.watched[circuit.pointWatch.get('T1+')!]!;
};
const CHARGE = 'turn Q1 to CHARGE';

describe('the logic of a controller', () => {
  test.each([
    ['draws nothing through the soft start before its key is on', 'key switch: S1', ['open S1', CHARGE, 'wait 1 s', 'crew: look'], 25.2],
    ['draws from its own supply once its key is on', 'key switch: S1', ['close S1', CHARGE, 'wait 1 s', 'crew: look'], 23.2],
    ['draws nothing again when the key is turned off', 'key switch: S1', ['close S1', CHARGE, 'wait 1 s', 'open S1', 'wait 1 s', 'crew: look'], 25.2],
    ['draws from the place that feeds its key', 'key switch: S1, key from: bar', ['close S1', CHARGE, 'wait 1 s', 'crew: look'], 25.2],
    ['waits for the isolator to be turned on', 'waits for: Q1', [CHARGE, 'wait 1 s', 'crew: look'], 25.2],
    ['needs its key and what it waits for', 'key switch: S1, waits for: Q1', ['close S1', CHARGE, 'wait 1 s', 'crew: look'], 25.2],
  ])('%s', (what, controller, steps, expected) => {
    external({ source: 'Ohm\'s law at rest: 25.2 V less 10 Ω times what the logic draws', what: `the logic of a controller ${what}`, expected, got: busAfter(controller, steps), unit: 'V', relative: 1e-3 });
  });

  test('is awake after the isolator that it waits for is turned on', () => {
    const circuit = circuitOf(machine('waits for: Q1', [CHARGE, 'wait 1 s', 'turn Q1 to ON']));
    const load = circuit.loads.standby[0]!;
    expect(powerUp(circuit, 0.5).run.parameters[load.draws]).toBe(0.2);
  });
});

test('a key switch that the power-up never touches, and that stands in no chain, is closed: an emergency stop', () => {
  expect(busAfter('key switch: S1', [CHARGE, 'wait 1 s', 'crew: look'])).toBeCloseTo(23.2, 2);
});
