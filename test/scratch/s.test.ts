import { test } from 'vitest';
import { crush } from './crush.ts';
import { buildCircuit } from '../../src/machine/circuit/circuit.ts';
import { planSteps, closingPeaks } from '../../src/machine/circuit/power-up.ts';
import { simulate } from '../../src/engine/simulate.ts';
test('crush', () => {
  for (const R of ['100 ohm', '10 ohm', '10 ohm','100 ohm','100 ohm']) for (const tolerance of [1e-4, 1e-5]) {
  const t0 = performance.now();
  const c = buildCircuit(crush(R)); const t1 = performance.now();
  const values = c.inputs.nominal();
  const tl = planSteps(c, c.machine.powerUp, 'power up', values, 0.5);
  const p = c.parametersFor(values);
  const t2 = performance.now();
  const out = simulate({ model: c.model, parameters: p, initial: new Float64Array(c.model.plan.unknowns), end_s: tl.end_s, automata: c.automata, script: tl.script, tolerance, peaks: closingPeaks(tl.closings) });
  const t3 = performance.now();
  console.log(R, tolerance, 'build', (t1 - t0).toFixed(0), 'run', (t3 - t2).toFixed(1), 'n', c.model.plan.unknowns, 'nnz', c.model.plan.factors.size, out.status, out.statistics, out.status === 'refused' ? out.refusal : '');
  const r = out.status === 'done' ? out.result : out.partial!;
  console.log(r.balance);
  tl.closings.forEach((cl, k) => { const ct = cl.way.branch.contacts[cl.way.contact]!; const b = cl.before, a = cl.after; if (!a || !b) return;
    console.log(cl.part, cl.position, cl.time_s.toFixed(3), 'missing', b.watched[cl.way.branch.drivenWatch]!.toFixed(3), 'peak', r.peaks[4*k]!.value.toFixed(1), r.peaks[4*k+1]!.value.toFixed(1), 'spot', r.peaks[4*k+2]!.value.toFixed(3), 'E_contact mJ', ((a.unknowns[ct.energy]! - b.unknowns[ct.energy]!)*1e3).toFixed(3), 'arcQ', (a.unknowns[ct.arcCharge]! - b.unknowns[ct.arcCharge]!).toExponential(2), 'I2t', (a.unknowns[cl.way.branch.letThrough]! - b.unknowns[cl.way.branch.letThrough]!).toExponential(3)); });
  console.log(c.resistors.size, [...c.resistors].map(([n, br]) => n + ' ' + br.map(b => (r.unknowns[b.letThrough]! * (r.parameters[b.resistance]!)).toFixed(2))).join(' '), 'notes', r.notes.length, r.notes.filter(n=>/starts/.test(n.what)).length);
  }
});
