import { describe, expect, it } from 'vitest';
import { nominalParameters } from '../../src/engine/model.ts';
import { simulate, type Run, type ScheduledAction } from '../../src/engine/simulate.ts';
import { RODAS4, RODAS5P, type Tableau } from '../../src/engine/tableau.ts';
import { external } from '../external.ts';
import { referenceData } from './reference-circuits.ts';
import { k3, type K3Circuit, type K3Data } from './reference-match.ts';
import { initialUnknowns, runToEnd } from './running.ts';
import { dutyOf, wholeMachine } from './whole-machine.ts';

interface Converged {
  readonly value: number;
}

const data = referenceData<K3Data>('k3');
const values = referenceData<{ readonly K3: Record<string, Converged> }>('values').K3;
const source = 'general-purpose solvers SUNDIALS 6.4.1 (IDA, CVODE at 1e-9 to 1e-12) and scipy 1.10 Radau, converged: test/reference/README.md';

function runK3(circuit: K3Circuit, tolerance: number, method: Tableau, end_s = data.t_end): { readonly run: Run; readonly speeds: readonly number[] } {
  const speeds: number[] = [];
  const looks = data.t_speed.map((time): ScheduledAction => ({ time, kind: 'look', action: (run) => speeds.push(run.unknowns[circuit.weapon.motor.speedUnknown]!) }));
  const outcome = simulate({
    model: circuit.model, parameters: nominalParameters(circuit.model), initial: circuit.initial, end_s, automata: [],
    // A look comes before a hit of the same moment: the order of asking is kept.
    script: [...looks, ...circuit.script], method, tolerance,
    peaks: [{ of: { unknown: circuit.bus.voltage }, sign: -1, from_s: 0, until_s: end_s }],
  });
  if (outcome.status === 'refused') expect.fail(JSON.stringify(outcome.refusal));
  return { run: outcome.result, speeds };
}

function reported(circuit: K3Circuit, { run, speeds }: ReturnType<typeof runK3>): Record<string, readonly [number, string]> {
  const y = run.unknowns;
  return {
    vbus_min: [run.peaks[0]!.value, 'V'],
    t_vbus_min: [run.peaks[0]!.time, 's'],
    Ah_used: [(data.pack.soc0 - y[circuit.battery.soc]!) * data.pack.Q_Ah, 'Ah'],
    soc_end: [y[circuit.battery.soc]!, '1'],
    T_pack: [y[circuit.pack.unknown]!, '°C'],
    T_cable1: [y[circuit.cables[0]!.unknown]!, '°C'],
    T_cable2: [y[circuit.cables[1]!.unknown]!, '°C'],
    T_cable3: [y[circuit.cables[2]!.unknown]!, '°C'],
    w_weapon_t1: [speeds[0]!, 'rad/s'],
    w_weapon_t2: [speeds[1]!, 'rad/s'],
    w_weapon_t3: [speeds[2]!, 'rad/s'],
    w_left_end: [y[circuit.left.motor.speedUnknown]!, 'rad/s'],
  };
}

describe('K3, a match of 180 s', () => {
  const circuit = k3(data);

  it.each([
    ['Rodas4', RODAS4, 1e-3, 1e-4],
    ['Rodas5P', RODAS5P, 1e-5, 2e-5],
  ] as const)('agrees with the converged solution by %s', (name, method, tolerance, share) => {
    const run = runK3(circuit, tolerance, method);
    for (const [what, [got, unit]] of Object.entries(reported(circuit, run)))
      external({ source, what: `K3 ${what}, ${name} at ${tolerance}`, expected: values[what]!.value, got, unit, relative: share });
    expect(run.run.balance.imbalance).toBeLessThanOrEqual(10 * tolerance);
  });

  it('balances its energy within a millionth in a tight run', () => {
    expect(runK3(circuit, 1e-7, RODAS5P, 30).run.balance.imbalance).toBeLessThanOrEqual(1e-6);
  });

  it('books what hits take on its own: each 60 % of the energy that the weapon then has', () => {
    const taken: number[] = [];
    const before: number[] = [];
    const watch: ScheduledAction[] = data.hits.map((time) => ({ time, action: (run) => before.push(run.unknowns[circuit.weapon.motor.speedUnknown]!) }));
    const outcome = simulate({
      model: circuit.model, parameters: nominalParameters(circuit.model), initial: circuit.initial, end_s: 40, automata: [], method: RODAS4, tolerance: 1e-4,
      script: [...watch, ...circuit.script, { time: 39, action: (run) => taken.push(run.unknowns[circuit.weapon.motor.hits]!) }],
    });
    if (outcome.status === 'refused') expect.fail(outcome.refusal.cause);
    const expected = before.slice(0, 4).reduce((sum, w) => sum + 0.6 * 0.5 * data.weapon.J * w * w, 0);
    external({ source: 'K3: ω multiplied by √0.4 takes 60 % of ½Jω²', what: 'energy given to four hits', expected, got: taken[0]!, unit: 'J', relative: 1e-12 });
  });

  it('gives the same with the interpreted kernel', () => {
    const interpreted = k3(data, 'interpreted');
    const a = runK3(circuit, 1e-3, RODAS4, 2).run.unknowns;
    const b = runK3(interpreted, 1e-3, RODAS4, 2).run.unknowns;
    expect([...b].every((value, k) => Math.abs(value - a[k]!) <= 1e-9 * (1 + Math.abs(a[k]!)))).toBe(true);
  });
});

describe('a machine with every device of a match', () => {
  const machine = wholeMachine();
  const initial = initialUnknowns(machine.model);

  it.each([[1, 0], [2, 0.5], [3, 1], [4, 1]])('runs its three minutes in balance: seed %d, brutality %d', (seed, brutality) => {
    const run = runToEnd({
      model: machine.model, initial, end_s: 180, automata: machine.automata, script: dutyOf(machine, seed, brutality, 180), method: RODAS4, tolerance: 1e-3,
    });
    expect(run.balance.imbalance).toBeLessThan(1e-3);
    const y = run.unknowns;
    // Nothing here cools below the air or charges a pack above what it began with.
    machine.model.system.unknowns.forEach((unknown, k) => {
      if (unknown.kind === 'temperature') expect(y[k]!, unknown.name).toBeGreaterThan(24.99);
    });
    expect(y[machine.battery.soc]!).toBeLessThan(1);
    expect(y[machine.weapon.motor.hits]!).toBeGreaterThan(0);
  });

  it('asks more of pack and motors the more brutal the duty is, on the whole', () => {
    const used = [0, 0.5, 1].map((brutality) => {
      const run = runToEnd({ model: machine.model, initial, end_s: 60, automata: machine.automata, script: dutyOf(machine, 7, brutality, 60), method: RODAS4, tolerance: 1e-3 });
      return 1 - run.unknowns[machine.battery.soc]!;
    });
    expect(used[0]!).toBeLessThan(used[1]!);
    expect(used[1]!).toBeLessThan(used[2]!);
  });
});
