import { test } from 'vitest';
import { demoText, edited, studyOf, softStartOf } from './machines.ts';
import { charge } from '../../src/questions/charging.ts';
import { runPowerUp, recordClosing, contactData } from '../../src/questions/runs.ts';
import { awgArea_mm2 } from '../../src/quantity/awg.ts';
test('probe', () => {
  for (const [name, edits] of [['crush10s', {}], ['crush10s', {'parts.R1.resistance':'10 Ω'}], ['crush10s', {'parts.R1.resistance':'10 Ω', 'parts.Q1.gap': '40 ms'}], ['lift6s', {}], ['bar3s', {}]] as const) {
    const base = studyOf(edited(demoText(name), edits));
    const { circuit, values } = base;
    const lost = circuit.model.system.unknowns.findIndex(u => u.name === 'energy lost');
    console.log(name, JSON.stringify(edits));
    for (const { closing, measures } of base.nominal.closings) console.log(closing.part, closing.position, measures.missing_V.toFixed(3), measures.peak_A.toFixed(1), 'lost', closing.after!.unknowns[lost]! - closing.before!.unknowns[lost]!, 'I2t', measures.letThrough_A2s);
    for (const [r, b] of circuit.resistors) console.log(r, b.map(x => base.nominal.run.unknowns[x.letThrough]! * base.nominal.run.parameters[x.resistance]!));
    console.log(base.nominal.run.notes.filter(n => /T3 starts/.test(n.what)).length, circuit.loads.banks.map(b => `${b.part} ${b.capacitance(values)}`).join());
    const p = circuit.parametersFor(values);
    for (const ways of circuit.ways.values()) for (const w of ways) console.log(w.branch.name, 'R', p[w.branch.resistance], 'L', p[w.branch.inductance]);
    for (const s of base.softStarts) { const m = s.mains[0]!; const c = recordClosing({ circuit, part: m.part, way: m.way, closed: s.closed, banks: s.banks, missing_V: base.supply_V, values }).measures; console.log('hard', m.part, c.peak_A, JSON.stringify(c)); }
    for (const s of base.softStarts) for (const R of name === 'lift6s' ? [10, 22, 47] : [10, 15, 33, 36, 39, 100]) { const c = charge({ circuit, softStart: s, closed: s.closed, values, target_V: 1, resistance_ohm: R }); console.log(s.resistor, R, c.outcome, c.end_V, c.residual_V, c.end_V / base.supply_V); }
  }
});
