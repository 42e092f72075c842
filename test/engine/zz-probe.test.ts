import { it } from 'vitest';
import { randomCircuit } from './random-circuits.ts';
import { attemptRun } from './running.ts';
it('probe', () => {
  const count: Record<string, number> = {};
  for (let seed = 0; seed < 2000; seed++) {
    const c = randomCircuit(seed);
    const o = attemptRun({ ...c, tolerance: 1e-6 });
    const r = o.status === 'done' ? o.result : o.partial!;
    for (const n of r.notes) if (/starts|stops|out/.test(n.what)) count[n.what.split(' ').pop()!] = (count[n.what.split(' ').pop()!] ?? 0) + 1;
    if (o.status === 'refused') console.log(seed, o.refusal, JSON.stringify(r.balance));
  }
  console.log('all done', count);
}, 1e7);
