import { describe, expect, it } from 'vitest';
import { randomCircuit } from './random-circuits.ts';
import { attemptRun, notFinite } from './running.ts';

const PROVE = process.env['AMPWRIGHT_PROVE'] === '1';
const CIRCUITS = PROVE ? 2000 : 60;
const TOLERANCE = 1e-6;

describe(`random circuits of random topology, seeds 20261125/0 to ${CIRCUITS - 1}`, () => {
  it('converge with their energy balanced within 1e-5, or are refused with a cause, at most one in 200', { timeout: 1_200_000 }, () => {
    const refused: string[] = [];
    for (let seed = 0; seed < CIRCUITS; seed++) {
      const { model, automata, script, end_s, devices } = randomCircuit(seed);
      const t0 = performance.now();
      const outcome = attemptRun({ model, automata, script, end_s, tolerance: TOLERANCE, maximumSteps: 200_000 });
      const ms = performance.now() - t0;
      if (ms > 500) console.log('slow', seed, ms.toFixed(0), outcome.statistics);
      if (outcome.status === 'refused') {
        const { cause, time, where, detail } = outcome.refusal;
        expect(cause).not.toBe('');
        expect(where).not.toBe('');
        refused.push(`seed ${seed}: ${cause} at ${time} s of ${end_s} s in ${where} (${detail}) ${ms.toFixed(0)} ms`);
        if (process.env['DEVICES']) console.log(seed, devices.join('\n'));
        continue;
      }
      expect(notFinite(outcome.result), `seed ${seed}`).toEqual([]);
      expect(outcome.result.balance.imbalance, `seed ${seed}`).toBeLessThanOrEqual(1e-5);
    }
    console.log(refused.length, refused.join('\n'));
    expect(refused.length, refused.join('\n')).toBeLessThanOrEqual(CIRCUITS / 200);
  });
});
