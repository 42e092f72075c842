import { describe, expect, it } from 'vitest';
import { randomCircuit } from './random-circuits.ts';
import { attemptRun, notFinite } from './running.ts';

/** Sixty circuits in `npm test`; the full proof, two thousand, with AMPWRIGHT_PROVE=1. */
const PROVE = process.env['AMPWRIGHT_PROVE'] === '1';
const CIRCUITS = PROVE ? 2000 : 60;

function attempt(seed: number, tolerance: number) {
  const { model, automata, script, end_s } = randomCircuit(seed);
  return { model, outcome: attemptRun({ model, automata, script, end_s, tolerance }) };
}

describe(`random circuits of random topology, seeds 20261125/0 to ${CIRCUITS - 1}`, () => {
  it('end finite with their energy balanced within 1e-5, or are refused with a cause, at most one in 200', { timeout: 1_200_000 }, () => {
    const refused: string[] = [];
    let worst = 0;
    for (let seed = 0; seed < CIRCUITS; seed++) {
      const { outcome } = attempt(seed, 1e-6);
      if (PROVE && (seed + 1) % 200 === 0) console.log(`${seed + 1} of ${CIRCUITS} circuits: ${refused.length} refused, worst imbalance ${worst.toExponential(1)}`);
      if (outcome.status === 'refused') {
        const { cause, time, where, detail } = outcome.refusal;
        expect(where, `seed ${seed}`).not.toBe('');
        refused.push(`seed ${seed}: ${cause} at ${time} s in ${where} (${detail})`);
        continue;
      }
      expect(notFinite(outcome.result), `seed ${seed}`).toEqual([]);
      expect(outcome.result.balance.imbalance, `seed ${seed}`).toBeLessThanOrEqual(1e-5);
      worst = Math.max(worst, outcome.result.balance.imbalance);
    }
    expect(refused.length, refused.join('\n')).toBeLessThanOrEqual(CIRCUITS / 200);
  });

  it('come to the same end, through the same events, at tolerances 1e-6 and 1e-7', { timeout: 1_200_000 }, () => {
    for (let seed = 0; seed < CIRCUITS; seed += 5) {
      const coarse = attempt(seed, 1e-6);
      const fine = attempt(seed, 1e-7);
      if (coarse.outcome.status === 'refused' || fine.outcome.status === 'refused') continue;
      const [one, two] = [coarse.outcome.result, fine.outcome.result];
      expect(one.notes.map((note) => note.what), `seed ${seed}`).toEqual(two.notes.map((note) => note.what));
      coarse.model.system.unknowns.forEach((unknown, k) => {
        if (unknown.kind !== 'voltage' && unknown.kind !== 'current') return;
        const [a, b] = [one.unknowns[k]!, two.unknowns[k]!];
        expect(Math.abs(a - b), `seed ${seed}, ${unknown.name}`).toBeLessThanOrEqual(1e-3 * (1 + Math.abs(b)));
      });
    }
  });
});
