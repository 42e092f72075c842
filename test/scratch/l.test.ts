import { test } from 'vitest'; import { readFileSync } from 'node:fs';
import { readMachine } from '../../src/machine/file/read.ts'; import { study } from '../../src/questions/study.ts'; import { charge } from '../../src/questions/charging.ts';
test('l', () => { const f = readMachine(readFileSync('machines/lift6s.yaml','utf8')); if (!f.ok) throw new Error('x'); const st = study(f.machine); const s = st.softStarts[0]!; console.log(s.name, [...s.points].join(' '), s.standby.map(x=>x.part), s.starting.map(x=>x.part));
const c = charge({circuit: st.circuit, softStart: s, closed: s.closed, values: st.values, target_V: 1}); console.log(c.outcome, c.residual_V, c.end_V, [...st.circuit.pointWatch].map(([n,w])=>n+' '+c.run.watched[w]!.toFixed(2)).join(', '));
for (const l of st.circuit.loads.standby) console.log(l.part, l.current(st.values), l.threshold(st.values)); for (const l of st.circuit.loads.starting) console.log(l.part, l.power(st.values), c.run.parameters[l.handle.started]); });
