import { test } from 'vitest';
import { demoText, DEMO_NAMES, studyOf } from './questions/machines.ts';
import { bankGroups, switchOff } from '../src/questions/switch-off.ts';
import { inputPoints } from '../src/questions/points.ts';
test('x', () => {
  for (const name of DEMO_NAMES) {
    const base = studyOf(demoText(name));
    const { circuit, values, nominal } = base;
    const groups = bankGroups(circuit);
    const r = switchOff({ circuit, groups, from: nominal, values, levels_V: [5], patience_s: 60 });
    console.log(name, groups.map((g, k) => [g.name, g.place, JSON.stringify(r.emptyings[k])].join(' ')), r.opened_s);
    console.log(inputPoints(circuit).map(p => p.part), nominal.closings.map(c => c.points_V.map(v => v.toFixed(3)).join()));
    const t = performance.now(); for (let k = 0; k < 20; k++) switchOff({ circuit, groups, from: nominal, values, levels_V: [5], patience_s: 60 }); console.log('ms', (performance.now() - t) / 20);
    for (const s of base.softStarts) { const b = circuit.resistors.get(s.resistor)!; console.log(s.resistor, b.reduce((x, y) => x + nominal.run.unknowns[y.letThrough]!, 0) * values[circuit.inputs.at(s.resistor + '.resistance')]!); }
  }
});
