import { describe, expect, test } from 'vitest';
import { addCapacitor } from '../../src/engine/devices/capacitor.ts';
import { addDiode } from '../../src/engine/devices/diode.ts';
import { addConstantPower, addLamp, addStandby, type ConstantPowerHandle } from '../../src/engine/devices/load.ts';
import { addSource } from '../../src/engine/devices/source.ts';
import { compile, nominalParameters, type Model } from '../../src/engine/model.ts';
import { findRest, type RestOutcome } from '../../src/engine/steady.ts';
import { SystemBuilder } from '../../src/engine/system.ts';
import { external } from '../external.ts';

interface Powered {
  readonly model: Model;
  readonly load: ConstantPowerHandle;
  readonly bus: number;
}

/** A source behind a resistance, a bank, and a load of constant power. */
function powered(source_V: number, resistance_ohm: number, load: { power_W: number; start_V: number; stop_V: number }): Powered {
  const b = new SystemBuilder();
  const bus = b.node('bus');
  addSource(b, 'source', bus, b.reference, source_V, resistance_ohm);
  addCapacitor(b, 'bank', bus, b.reference, 2e-3, 0.01);
  const handle = addConstantPower(b, 'load', bus, b.reference, { ...load, floor_V: 0.5 });
  const watch = b.watch('bus', bus.voltage);
  return { model: compile(b.finish(1)), load: handle, bus: watch };
}

function rest({ model, load }: Powered, guess_V: number, started: boolean): RestOutcome {
  const parameters = nominalParameters(model);
  parameters[load.started] = started ? 1 : 0;
  const guess = Float64Array.from(model.system.unknowns, (u) => (u.kind === 'voltage' ? guess_V : 0));
  return findRest({ model, parameters, guess, automata: [load.automaton] });
}

const ALGEBRA = 'balance of a constant-power load, v = ½(V ± √(V² − 4RP)) (algebra)';

describe('the rest that a circuit comes to', () => {
  test('is the upper root of a constant-power load, from above and from an empty bank', () => {
    for (const [source_V, resistance_ohm, power_W, expected] of [
      [48, 0.05, 5000, 42.0555],
      [22.2, 0.06, 1500, 16.8628],
    ] as const) {
      const circuit = powered(source_V, resistance_ohm, { power_W, start_V: 8, stop_V: 7 });
      for (const [guess_V, started] of [[source_V, true], [0, false]] as const) {
        const found = rest(circuit, guess_V, started);
        if (found.status !== 'rest') throw new Error(found.why);
        // Tolerance: the printed root has six figures; the load's smoothed floor takes 1e-5 of its power.
        external({ source: ALGEBRA, what: `${source_V} V, ${resistance_ohm} Ω, ${power_W} W from ${guess_V} V`, expected, got: found.rest.watched[circuit.bus]!, unit: 'V', relative: 3e-5 });
      }
    }
  });

  test('does not exist where the load starts and stops for ever, and the load is named', () => {
    // 40 V through 100 Ω pass 4 W at the most; the load starts at 9 V and wants 7 W.
    const found = rest(powered(40, 100, { power_W: 7, start_V: 9, stop_V: 7.5 }), 0, false);
    expect(found).toMatchObject({ status: 'none', why: 'a load starts and stops for ever', where: 'load' });
  });

  test('stays below a start that the source never reaches', () => {
    const circuit = powered(8, 1, { power_W: 7, start_V: 9, stop_V: 7.5 });
    const found = rest(circuit, 0, false);
    if (found.status !== 'rest') throw new Error(found.why);
    expect(found.rest.watched[circuit.bus]).toBeCloseTo(8, 9);
  });

  test('puts a diode behind a resistor where Lambert W puts it', () => {
    const b = new SystemBuilder();
    const cathode = b.node('cathode');
    const source = b.node('source');
    addSource(b, 'source', source, b.reference, 12, 1e-6);
    addDiode(b, 'diode', source, cathode, { saturation_A: 1e-9, slope_V: 0.025852, series_ohm: 1 });
    addSource(b, 'sink', cathode, b.reference, 0, 1e-6);
    const current = b.watch('current', b.graph.divide(cathode.voltage, b.graph.constant(1e-6)));
    const model = compile(b.finish(1));
    const found = findRest({ model, parameters: nominalParameters(model), guess: new Float64Array(model.plan.unknowns), automata: [] });
    if (found.status !== 'rest') throw new Error(found.why);
    external({ source: 'T. C. Banwell, A. Jayakumar, Electronics Letters 36 (2000) 291, eq. 5: Is 1 nA, nVt 25.852 mV, 1 Ω, 12 V', what: 'current of a diode and a resistor at rest', expected: 11.4013453, got: found.rest.watched[current]!, unit: 'A', relative: 1e-5 });
  });

  test('leaves V − I·R behind a resistor that feeds a standby current', () => {
    const b = new SystemBuilder();
    const bus = b.node('bus');
    addSource(b, 'source', bus, b.reference, 42, 100);
    addCapacitor(b, 'bank', bus, b.reference, 1.5e-3, 0.012);
    addStandby(b, 'logic', bus, b.reference, 0.045, 8);
    const watch = b.watch('bus', bus.voltage);
    const model = compile(b.finish(1));
    const found = findRest({ model, parameters: nominalParameters(model), guess: new Float64Array(model.plan.unknowns), automata: [] });
    if (found.status !== 'rest') throw new Error(found.why);
    external({ source: "Ohm's law: 42 V less 45 mA through 100 Ω", what: 'bus at rest behind a soft-start resistor', expected: 37.5, got: found.rest.watched[watch]!, unit: 'V', absolute: 1e-6 });
  });

  test('of a bank that only a lamp drains is empty', () => {
    const b = new SystemBuilder();
    const bus = b.node('bus');
    addCapacitor(b, 'bank', bus, b.reference, 1e-3, 0.01, 20);
    addLamp(b, 'lamp', bus, b.reference, 1000, 2);
    const watch = b.watch('bus', bus.voltage);
    const model = compile(b.finish(1));
    const guess = Float64Array.from(model.system.unknowns, (u) => u.initial);
    const found = findRest({ model, parameters: nominalParameters(model), guess, automata: [] });
    if (found.status !== 'rest') throw new Error(found.why);
    expect(Math.abs(found.rest.watched[watch]!)).toBeLessThan(1e-6);
  });
});
