import { describe, expect, test } from 'vitest';
import { buildCircuit } from '../../src/machine/circuit/circuit.ts';
import { runPowerUp } from '../../src/questions/runs.ts';
import { external } from '../external.ts';
import { demoText, edited, machineOf } from '../questions/machines.ts';

/** A pack, a lead, a switch and one load of two amperes, at 25 °C. */
const LOADED = `ampwright: 1
machine: LOADED
mass: 10 kg
parts:
  G1: { kind: pack, chemistry: lipo, cells: 6, capacity: 5 Ah, cell resistance: 2 mΩ, full voltage: 4.2 V per cell }
  X1: { kind: connector, closed resistance: 1 mΩ }
  F1: { kind: fuse, rating: 60 A, resistance: 3 mΩ }
  Q1: { kind: isolator, rating: 60 A, closed resistance: 2 mΩ, positions: { OFF: open, ON: direct } }
  T1: { kind: controller, motor current: 60 A, capacitance: 1 mF, series resistance: 10 mΩ, standby: 2 A, logic start: 6 V }
wiring:
  pack: from G1+, 4 mm² 0.50 m, X1, F1, to bar
  drive: from bar, Q1, 2.5 mm² 1.00 m, to T1
returns: all negatives on one bar, 0.5 mΩ a joint
surroundings: { ambient: 25 °C, inside: 25 °C }
procedure:
  - turn Q1 to ON
  - wait 1 s
`;

describe('a machine under a steady load', () => {
  function atEnd(text: string, point: string): number {
    const machine = machineOf(text);
    const circuit = buildCircuit(machine);
    const { run } = runPowerUp(circuit, machine.powerUp, circuit.inputs.nominal());
    return run.watched[circuit.pointWatch.get(point)!]!;
  }

  test('loses what its cells, leads, joints and contacts take at Ohm\'s law, out and back', () => {
    // Fine-stranded copper at 20 °C, IEC 60228 class 5: 4.95 ohm/km for 4 mm², 7.98 ohm/km for 2.5 mm², largest values;
    // from metal alone 1/58 ohm mm²/m. Ours lies between, so the middle with 5 % covers both.
    const per_km = (section_mm2: number, class5: number): number => ((1000 / 58 / section_mm2 + class5) / 2) * (1 + 0.00393 * 5);
    const leads_ohm = (2 * 0.5 * per_km(4, 4.95) + 2 * 1.0 * per_km(2.5, 7.98)) / 1000;
    const fixed_ohm = 1e-3 + 3e-3 + 2e-3 + 2 * 0.5e-3;
    // Six cells of 2 mΩ at once, and what builds up in 1.1 s of slow pairs that hold 20 % (1 s) and 30 % (20 s) of as much again.
    const t = 1.1;
    const cells_ohm = 6 * 2e-3 * (1 + 0.2 * (1 - Math.exp(-t)) + 0.3 * (1 - Math.exp(-t / 20)));
    external({
      source: "Ohm's law with IEC 60228:2004 class 5 and the cells' stated resistance", what: 'voltage lost at 2 A between a 6-cell pack and its load', unit: 'V',
      expected: 2 * (leads_ohm + fixed_ohm + cells_ohm), got: 25.2 - atEnd(LOADED, 'T1+'), relative: 0.05,
    });
  });

  test('warm leads lose more: 0.393 % a kelvin', () => {
    const hot = edited(LOADED, { surroundings: '{ ambient: 25 °C, inside: 45 °C }' });
    const circuits = [LOADED, hot].map((text) => {
      const circuit = buildCircuit(machineOf(text));
      return circuit.parametersFor(circuit.inputs.nominal())[circuit.ways.get('Q1')![0]!.branch.resistance]!;
    });
    // Temperature coefficient of copper, IEC 60028: 0.00393 per kelvin at 20 °C, from 25 to 45 °C.
    external({ source: 'IEC 60028, temperature coefficient of annealed copper 0.00393/K', what: 'lead at 45 °C over the same at 25 °C', expected: (1 + 0.00393 * 25) / (1 + 0.00393 * 5), got: circuits[1]! / circuits[0]!, unit: '1', relative: 1e-3 });
  });
});

describe('the parts of the circuit', () => {
  test('a switch that the procedure operates has ways, one that nobody touches counts as its resistance', () => {
    const crush = buildCircuit(machineOf(demoText('crush10s')));
    expect([...crush.ways.keys()].sort()).toEqual(['LK1', 'Q1', 'Q2']);
    expect(crush.ways.get('Q1')!.map((way) => [way.position, way.through])).toEqual([['CHARGE', 'R1'], ['ON', undefined]]);
    expect([...crush.resistors.keys()].sort()).toEqual(['R1', 'R2']);
  });

  test('what hangs on a converter\'s output is no part of the circuit but of its draw', () => {
    const crush = buildCircuit(machineOf(demoText('crush10s')));
    expect(crush.loads.standby.map((load) => load.part).sort()).toEqual(['T1', 'T2', 'T4']);
    expect(crush.loads.starting.map((load) => load.part)).toEqual(['T3']);
    expect(crush.loads.starting[0]!.power(crush.inputs.nominal())).toBeCloseTo(7, 9);
    expect(crush.pointWatch.has('K1+')).toBe(false);
  });

  test('a converter without a stated draw takes what hangs on it: output power over efficiency', () => {
    const text = demoText('crush10s').replace('    running: 7 W # radio, lock servo at rest, fan\n', '    efficiency: 80 %\n');
    const circuit = buildCircuit(machineOf(edited(text, { 'parts.T5.idle': '5 mA', 'parts.T6.idle': '5 mA', 'parts.M4.idle': '20 mA' })));
    // Linear regulators pass their current on: 90 mA and 20 mA with 5 mA each, at 12 V over 80 %.
    expect(circuit.loads.starting[0]!.power(circuit.inputs.nominal())).toBeCloseTo(((0.09 + 0.02 + 0.01) * 12) / 0.8, 9);
  });

  test('two supplies of one voltage on a rail share the load in equal parts, a higher one carries it alone', () => {
    const draw = (text: string): number[] => {
      const circuit = buildCircuit(machineOf(text));
      return ['T3', 'T4'].map((part) => circuit.loads.standby.find((load) => load.part === part)!.current(circuit.inputs.nominal()));
    };
    expect(draw(demoText('bar3s'))).toEqual([0.03, 0.03]);
    expect(draw(edited(demoText('bar3s'), { 'parts.T4.output': '5.5 V' }))).toEqual([0, 0.06]);
  });

  test('every watch and parameter of the demos is a finite number', () => {
    for (const name of ['crush10s', 'bar3s', 'lift6s'] as const) {
      const circuit = buildCircuit(machineOf(demoText(name)));
      for (let sample = 0; sample < 20; sample++) expect(circuit.parametersFor(circuit.inputs.sample(1, sample)).every(Number.isFinite)).toBe(true);
    }
  });
});
