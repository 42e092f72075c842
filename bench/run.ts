// Prints how long the engine takes on the reference circuits, cold and warm, with the error it achieves.
import { simulate, type Run } from '../src/engine/simulate.ts';
import { nominalParameters } from '../src/engine/model.ts';
import { k1, k2, referenceData, type K1Data, type K2Data } from '../test/engine/reference-circuits.ts';

const d1 = referenceData<K1Data>('k1');
const d2 = referenceData<K2Data>('k2');

function timed(run: () => void): { cold_ms: number; warm_ms: number } {
  const t0 = performance.now();
  run();
  const cold_ms = performance.now() - t0;
  const until = performance.now() + 800;
  const times: number[] = [];
  while (performance.now() < until || times.length < 15) {
    const t = performance.now();
    run();
    times.push(performance.now() - t);
  }
  const late = times.slice(Math.floor(times.length / 2)).sort((a, b) => a - b);
  return { cold_ms, warm_ms: late[Math.floor(late.length / 2)]! };
}

const c1 = k1(d1);
const p1 = nominalParameters(c1.model);
let last: Run | undefined;
const once1 = (tolerance: number) => () => {
  const out = simulate({ model: c1.model, parameters: p1, initial: new Float64Array(c1.model.plan.unknowns), end_s: d1.t_end, automata: c1.branch.automata, script: c1.script, tolerance,
    peaks: [{ of: { unknown: c1.branch.current }, sign: 1, from_s: 0, until_s: 1 }] });
  if (out.status === 'done') last = out.result;
};
for (const tol of [1e-3, 1e-4]) console.log('K1', tol, timed(once1(tol)), last?.peaks[0]);

for (const R of [33, 68]) {
  const c = k2(d2, R);
  const p = nominalParameters(c.model);
  const automata = c.branches.flatMap((b) => [...b.lead.automata, b.load.automaton]);
  for (const tol of [1e-4, 1e-5]) {
    let steps = 0;
    const t = timed(() => {
      const out = simulate({ model: c.model, parameters: p, initial: new Float64Array(c.model.plan.unknowns), end_s: d2.t_end, automata, script: c.script, tolerance: tol,
        peaks: c.branches.flatMap((b, k) => [{ of: { unknown: b.lead.current }, sign: 1 as const, from_s: d2.branches[k]!.t_close, until_s: 9 }]) });
      steps = out.statistics.steps + out.statistics.rejected;
    });
    console.log('K2', R, tol, t, 'steps', steps, 'us/step', (t.warm_ms * 1e3) / steps);
  }
}
