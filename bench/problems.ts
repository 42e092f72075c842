// The benchmark's problems, each as one run with the error it achieves against the converged reference.
import { simulate, type Run } from '../src/engine/simulate.ts';
import { nominalParameters } from '../src/engine/model.ts';
import { sampler } from '../src/quantity/random.ts';
import { k1, k2, referenceData, type K1Data, type K2Circuit, type K2Data } from '../test/engine/reference-circuits.ts';

interface Converged {
  readonly value: number;
}
type Values = Record<string, Record<string, Converged | readonly Converged[]>>;

const values = referenceData<Values>('values');
const k1Data = referenceData<K1Data>('k1');
const k2Data = referenceData<K2Data>('k2');

export interface Problem {
  readonly name: string;
  readonly tolerance: number;
  run(): Run;
  /** Largest deviation from the reference over the reported values: relative, or 1 mV / 1 mA as 1e-4. */
  error(run: Run): number;
}

function deviation(got: number, expected: number, floor: number): number {
  return Math.abs(got - expected) / Math.max(Math.abs(expected), floor);
}

function list(problem: string, name: string): readonly number[] {
  const entry = values[problem]![name]!;
  return (Array.isArray(entry) ? (entry as readonly Converged[]) : [entry as Converged]).map((v) => v.value);
}

export function k1Problem(tolerance: number): Problem {
  const circuit = k1(k1Data);
  const parameters = nominalParameters(circuit.model);
  const initial = new Float64Array(circuit.model.plan.unknowns);
  return {
    name: 'K1',
    tolerance,
    run: () =>
      done(
        simulate({
          model: circuit.model, parameters, initial, end_s: k1Data.t_end, automata: circuit.branch.automata, script: circuit.script, tolerance,
          peaks: [{ of: { unknown: circuit.branch.current }, sign: 1, from_s: 0, until_s: 1 }],
        }),
      ),
    error: (run) =>
      Math.max(
        deviation(run.peaks[0]!.value, list('K1', 'i_peak')[0]!, 10),
        deviation(run.peaks[0]!.time, list('K1', 't_peak')[0]!, 0),
        deviation(run.watched[circuit.nodeWatch]!, list('K1', 'v_node_end')[0]!, 10),
        deviation(run.unknowns[circuit.branch.letThrough]!, list('K1', 'I2t')[0]!, 0),
        deviation(run.balance.delivered_J, list('K1', 'E_source')[0]!, 0),
        deviation(run.unknowns[circuit.terminalEnergy]!, list('K1', 'E_terminal')[0]!, 0),
      ),
  };
}

export function k2Problem(resistance_ohm: 33 | 68, tolerance: number): Problem {
  const circuit = k2(k2Data, resistance_ohm);
  const parameters = nominalParameters(circuit.model);
  const name = `K2_R${resistance_ohm}`;
  return {
    name: `K2, ${resistance_ohm} Ω`,
    tolerance,
    run: () => done(runK2(circuit, parameters, tolerance)),
    error: (run) =>
      Math.max(
        ...circuit.branches.flatMap((branch, k) => [
          deviation(run.peaks[k]!.value, list(name, 'i_peak')[k]!, 10),
          deviation(run.peaks[k]!.time - k2Data.branches[k]!.t_close, list(name, 't_peak_after_close')[k]!, 0),
          deviation(run.watched[branch.load.voltage]!, list(name, 'v_end')[k]!, 10),
        ]),
        deviation(run.unknowns[circuit.resistorHeat]!, list(name, 'E_R')[0]!, 0),
      ),
  };
}

/** K2 at 33 Ω with every bank, power and pack value drawn within ±20 %; the same sample for any thread. */
export class SpreadK2 {
  private readonly circuit = k2(k2Data, 33);
  private readonly nominal = nominalParameters(this.circuit.model);

  run(sample: number, tolerance: number): Run {
    const uniform = sampler(1, sample);
    const parameters = this.nominal.slice();
    for (const { bank, load } of this.circuit.branches)
      for (const at of [bank.capacitance, bank.seriesResistance, load.power]) parameters[at]! *= 0.8 + 0.4 * uniform();
    parameters[this.circuit.button]! *= 0.95 + 0.1 * uniform();
    return done(runK2(this.circuit, parameters, tolerance));
  }

  /** Largest relative difference of peaks, end voltages and heat between two runs. */
  difference(a: Run, b: Run): number {
    return Math.max(
      ...a.peaks.map((peak, k) => deviation(peak.value, b.peaks[k]!.value, 10)),
      ...this.circuit.branches.map(({ load }) => deviation(a.watched[load.voltage]!, b.watched[load.voltage]!, 10)),
      deviation(a.unknowns[this.circuit.resistorHeat]!, b.unknowns[this.circuit.resistorHeat]!, 0),
    );
  }
}

function runK2(circuit: K2Circuit, parameters: Float64Array, tolerance: number) {
  return simulate({
    model: circuit.model,
    parameters,
    initial: new Float64Array(circuit.model.plan.unknowns),
    end_s: k2Data.t_end,
    automata: circuit.branches.flatMap((b) => [...b.lead.automata, b.load.automaton]),
    script: circuit.script,
    tolerance,
    peaks: circuit.branches.map((b, k) => ({ of: { unknown: b.lead.current }, sign: 1 as const, from_s: k2Data.branches[k]!.t_close, until_s: 9 })),
  });
}

function done(outcome: ReturnType<typeof simulate>): Run {
  if (outcome.status !== 'done') throw new Error(JSON.stringify(outcome.refusal));
  return outcome.result;
}
