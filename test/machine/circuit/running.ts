import { simulate, type Run } from '../../../src/engine/simulate.ts';
import { buildCircuit, type Circuit } from '../../../src/machine/circuit/circuit.ts';
import { planSteps, type Timeline } from '../../../src/machine/circuit/power-up.ts';
import { readMachine } from '../../../src/machine/file/read.ts';

/** The circuit of a machine whose text has to be without errors. */
export function circuitOf(text: string): Circuit {
  const file = readMachine(text);
  if (!file.ok) throw new Error(file.issues.map((issue) => `${issue.line}: expected ${issue.expected}, found ${issue.found}`).join('\n'));
  return buildCircuit(file.machine);
}

/** Runs a machine's power-up at its nominal values, with some parameters set before it and some watches recorded. */
export function powerUp(
  circuit: Circuit, tail_s: number, set: (parameters: Float64Array) => void = () => undefined, watches: readonly number[] = [],
): { readonly run: Run; readonly timeline: Timeline } {
  const values = circuit.inputs.nominal();
  const timeline = planSteps(circuit, circuit.machine.powerUp, 'power up', values, tail_s);
  const parameters = circuit.parametersFor(values);
  set(parameters);
  const outcome = simulate({
    model: circuit.model, parameters, initial: new Float64Array(circuit.model.plan.unknowns), start_s: -1e-3, end_s: timeline.end_s,
    automata: circuit.automata, script: timeline.script, tolerance: 1e-6, record: { watches, between: 3 },
  });
  if (outcome.status !== 'done') throw new Error(JSON.stringify(outcome.refusal));
  return { run: outcome.result, timeline };
}

/** When a line was written in a run's history, s, each time. */
export function times(run: Run, what: string): number[] {
  return run.notes.flatMap((note) => (note.what === what ? [note.time] : []));
}
