import { test } from 'vitest'; import { readFileSync } from 'node:fs';
import { readMachine } from '../../src/machine/file/read.ts'; import { study, recordSample } from '../../src/questions/study.ts'; import { charge } from '../../src/questions/charging.ts'; import { runPowerUp } from '../../src/questions/runs.ts';
test('t', () => { const f = readMachine(readFileSync('machines/crush10s.yaml','utf8')); if (!f.ok) throw new Error('x'); const st = study(f.machine);
 const time = (n: string, g: () => any) => { for (let k=0;k<5;k++) g(); const t = performance.now(); let r: any; for (let k=0;k<10;k++) r = g(); console.log(n, ((performance.now()-t)/10).toFixed(1), JSON.stringify(r)?.slice(0,300)); };
 const vals = (k: number) => st.circuit.inputs.sample(1, k);
 let k = 0; console.log('n', st.circuit.model.plan.unknowns, 'inputs', st.circuit.inputs.list.length);
 time('powerup', () => { const r = runPowerUp(st.circuit, st.machine.powerUp, vals(k++)); return r.run.notes.length; });
 for (const s of st.softStarts) { k = 0; time('charge ' + s.name, () => { const c = charge({ circuit: st.circuit, softStart: s, closed: s.closed, values: vals(k++), target_V: 5 }); return [c.outcome, c.simulated_s, c.starts]; }); }
 k=0; time('values', () => vals(k++)); time('params', () => st.circuit.parametersFor(st.values));
 k=0; time('sample', () => { recordSample(st, vals(k++)); });
});
