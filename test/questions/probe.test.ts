import { test } from 'vitest';
import { plainMachine, studyOf, softStartOf } from './machines.ts';
import { charge, largestResistance } from '../../src/questions/charging.ts';
import { largestStartResistor } from '../../src/physics/constant-power.ts';
test('probe', () => {
  for (const [cells, P, I0, start, stop] of [[10, 7, 0.09, 9, 7.5], [10, 7, 0.09, 30, 7.5], [10,7,0.09,30,25],[10,7,0,9,7.5],[6,15,0.2,20,6],[6,15,0.2,20,18],[10,2,0.3,36,20]] as const) {
    const feed = { cells, resistance_ohm: 40, controllers: [{ capacitance_F: 2e-3, standby_A: I0, above_V: 1 }], converters: [{ power_W: P, start_V: start, stop_V: stop }] };
    const t0 = performance.now();
    const base = studyOf(plainMachine(feed)); const s = softStartOf(base); const t1 = performance.now();
    const r = largestResistance({ circuit: base.circuit, softStart: s, closed: s.closed, values: base.values, target_V: 1 });
    const t2 = performance.now();
    console.log(cells, P, I0, start, stop, r, JSON.stringify(largestStartResistor({ source_V: 4.2 * cells, power_W: P, standby_A: I0, start_V: start, stop_V: stop })), (t1-t0).toFixed(0), (t2-t1).toFixed(0));
  }
});
