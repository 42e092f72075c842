import { describe, expect, test } from 'vitest';
import { external } from '../../external.ts';
import { circuitOf, powerUp } from './running.ts';

/** A pack with its switch in the negative, a bank behind it, and leads to the chassis. */
function machine(leads: string, grounds: string, steps = '  - close Q1\n'): string {
  return `ampwright: 1
machine: TIED
parts:
  G1: { kind: pack, chemistry: lipo, cells: 6, capacity: 20 Ah, full voltage: 4.2 V per cell, cell resistance: 1 mΩ }
  Q1: { kind: isolator, rating: 100 A, opens return: true }
  T1: { kind: controller, motor current: 100 A, capacitance: 5 mF, series resistance: 5 mΩ, standby: 0 A }
${leads}wiring:
  main: from G1+, 12 AWG 0.2 m, to bar
  drive: from bar, 12 AWG 0.2 m, to T1
returns:
  general: all negatives on one bar, 0.1 mΩ a joint
  key: from negatives, Q1, 12 AWG 0.2 m, to G1-
signal grounds:
${grounds}surroundings: { inside: 25 °C }
procedure:
${steps}`;
}

const TIE = '  W1: { kind: bench lead, present: always, resistance: 0.5 Ω }\n';
const USB = (more = ''): string => `  W2: { kind: bench lead, present: on the bench, resistance: 1.5 Ω${more} }\n`;
const ROUND = '  tie: from G1-, W1, to chassis\n  usb: from T1-, W2, to chassis\n';

describe('a lead round a switch in the negative', () => {
  const circuit = circuitOf(machine(TIE + USB(), ROUND, '  - wait 0.2 s\n'));
  const [tie, usb] = circuit.benchLeads;
  const bank = circuit.pointWatch.get('T1+')!;

  test('is in the circuit with both its ends, and only what is always there is plugged in', () => {
    expect(circuit.benchLeads.map(({ part, present, from, to }) => [part, present, from, to])).toEqual([['W1', 'always', 'G1-', 'chassis'], ['W2', 'on the bench', 'T1-', 'chassis']]);
    const p = circuit.parametersFor(circuit.inputs.nominal());
    expect([p[tie!.lead.present], p[usb!.lead.present]]).toEqual([1, 0]);
  });

  test('charges the banks past the open switch once it is plugged in', () => {
    const unplugged = powerUp(circuit, 0.2).run;
    // The stray capacitances of the two sides share the voltage; the bank itself gets nothing.
    expect(Math.abs(unplugged.unknowns[circuit.loads.banks[0]!.capacitor.voltage]!)).toBeLessThan(1e-3);
    const { run } = powerUp(circuit, 0.2, (p) => (p[usb!.lead.present] = 1));
    expect(run.watched[bank]).toBeCloseTo(25.2, 2);
    // Leads of the pack and series resistance of the bank add 1.5 % to the 2 Ω of the two leads.
    external({ source: '∫i² dt = C V²/2R for a bank charged through a resistance (closed form)', what: 'let-through of a lead that charges 5 mF to 25.2 V round an open switch', expected: (5e-3 * 25.2 ** 2) / (2 * 2.02), got: run.unknowns[usb!.lead.letThrough]!, unit: 'A²s', relative: 0.01 });
  });
});

describe('a lead that feeds backwards', () => {
  const grounds = '  usb: from T1-, W2, to laptop\n';
  const fed = circuitOf(machine(USB(', feeds: T1, feed voltage: 5 V, feed current: 0.1 A, feed drop: 0.6 V'), grounds, '  - wait 0.1 s\n'));
  const [usb] = fed.benchLeads;
  const plug = (p: Float64Array): void => {
    p[usb!.lead.present] = 1;
  };
  const bank = fed.loads.banks[0]!.capacitor.voltage;

  test('charges the bank with its current limit, and through its own ground', () => {
    const { run } = powerUp(fed, 0.05, plug, [usb!.lead.current]);
    // 0.15 s (and the millisecond before the first step) at 0.1 A into 5 mF; the law of the limit is within 0.1 % there.
    external({ source: 'v = I t / C (closed form)', what: '5 mF fed by a port of 0.1 A for 0.151 s', expected: (0.1 * 0.151) / 5e-3, got: run.unknowns[bank]!, unit: 'V', relative: 5e-3 });
    expect(run.recording.curves[0]!.at(-1)).toBeCloseTo(0.1, 3);
  });

  test('stops at its voltage less the drop on its way, and takes nothing back', () => {
    const { run } = powerUp(fed, 5, plug);
    external({ source: 'a diode\'s drop subtracts (Kirchhoff)', what: 'bank fed from 5 V over 0.6 V', expected: 4.4, got: run.unknowns[bank]!, unit: 'V', relative: 2e-3 });
    const closed = circuitOf(machine(USB(', feeds: T1, feed voltage: 5 V, feed current: 0.1 A'), grounds));
    const feed = closed.benchLeads[0]!.feeds!.feed!;
    const on = powerUp(closed, 0.2, (p) => (p[closed.benchLeads[0]!.lead.present] = 1)).run;
    expect(on.watched[closed.pointWatch.get('T1+')!]).toBeCloseTo(25.2, 1);
    expect(Math.abs(on.watched[feed.current]!)).toBeLessThan(1e-6);
  });

  test('reaches the logic only where the file says so', () => {
    const logic = circuitOf(machine(USB(', feeds: T1, reaches: logic'), grounds, '  - wait 0.1 s\n'));
    const { feeds, lead } = logic.benchLeads[0]!;
    expect([feeds?.part, feeds?.reaches, feeds?.feed]).toEqual(['T1', 'logic', undefined]);
    const { run } = powerUp(logic, 0.5, (p) => (p[lead.present] = 1));
    expect(Math.abs(run.unknowns[logic.loads.banks[0]!.capacitor.voltage]!)).toBeLessThan(1e-3);
  });
});

test('devices on the mains are joined by its earth', () => {
  const leads = '  W1: { kind: bench lead, present: on the bench, resistance: 0.5 Ω, far end: earthed }\n  W2: { kind: bench lead, present: on the bench, resistance: 1.5 Ω, far end: earthed }\n';
  const circuit = circuitOf(machine(leads, '  charger: from G1-, W1, to charger\n  usb: from T1-, W2, to desktop computer\n', '  - wait 0.2 s\n'));
  const { run } = powerUp(circuit, 0.2, (p) => {
    for (const { lead } of circuit.benchLeads) p[lead.present] = 1;
  });
  expect(run.watched[circuit.pointWatch.get('T1+')!]).toBeCloseTo(25.2, 2);
});
