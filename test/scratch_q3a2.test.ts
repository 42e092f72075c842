import { test } from 'vitest';
import { demoText, DEMO_NAMES, studyOf } from './questions/machines.ts';
import { bankGroups, switchOff } from '../src/questions/switch-off.ts';
import { runPowerUp } from '../src/questions/runs.ts';
test('x', () => {
  for (const name of DEMO_NAMES) {
    const base = studyOf(demoText(name));
    const { circuit, values, nominal } = base;
    const groups = bankGroups(circuit);
    const r = switchOff({ circuit, groups, from: nominal, values, levels_V: [5], patience_s: 60, record: { watches: [] } });
    const t0 = r.run.recording.time_s;
    console.log(name, 'steps', t0.length, r.run.notes.map(n => `${n.time.toFixed(4)} ${n.what} ${n.value.toFixed(3)}`).join('; '));
    const h = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]; for (let k = 1; k < t0.length; k++) h[Math.min(11, Math.max(0, Math.floor(Math.log10(Math.max(1e-9, t0[k]! - t0[k - 1]!))) + 9))]!++;
    console.log('histogram of log10 h from -9', h.join(' '));
    const t = performance.now(); for (let k = 0; k < 20; k++) switchOff({ circuit, groups, from: nominal, values, levels_V: [5], patience_s: 60 }); console.log('off ms', (performance.now() - t) / 20);
    const t1 = performance.now(); for (let k = 0; k < 20; k++) runPowerUp(circuit, base.machine.powerUp, values); console.log('up ms', (performance.now() - t1) / 20);
  }
});
