import { test } from 'vitest';
import { demoText, edited, studyOf, softStartOf } from './machines.ts';
import { charge } from '../../src/questions/charging.ts';
import { findRest } from './steady-debug.ts';
test('probe', () => {
    const base = studyOf(edited(demoText('crush10s'), {'parts.R1.resistance':'10 Ω'})); const s = softStartOf(base);
    const c = charge({ circuit: base.circuit, softStart: s, closed: s.closed, values: base.values, target_V: 1 });
    const p = Float64Array.from(c.run.parameters);
    for (const w of [...base.circuit.ways.values()].flat()) { const ct = w.branch.contacts[w.contact]!; p[ct.touchedAt] = -1e6; p[ct.touching] = 0; }
    const r = findRest({ model: base.circuit.model, parameters: p, guess: c.run.unknowns, automata: base.circuit.automata });
    console.log(r.status, JSON.stringify({...r, rest: undefined}), base.circuit.automata.map(a => a.name+' '+a.distance(c.run.watched, c.run.parameters)).join('; '));
});
