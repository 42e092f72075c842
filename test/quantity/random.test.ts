import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { sampler } from '../../src/quantity/random.ts';

const COUNT = 2000;

function moments(draws: readonly number[]): { mean: number; deviation: number; lag: number } {
  const mean = draws.reduce((sum, draw) => sum + draw, 0) / draws.length;
  const variance = draws.reduce((sum, draw) => sum + (draw - mean) ** 2, 0) / draws.length;
  const lag = draws.slice(1).reduce((sum, draw, index) => sum + (draw - mean) * ((draws[index] ?? NaN) - mean), 0) / draws.length / variance;
  return { mean, deviation: Math.sqrt(variance), lag };
}

// Source: the uniform law on (0, 1): mean 1/2, standard deviation 1/√12, no correlation. Tolerances are four
// standard errors for 2000 draws: 4 · 0.2887/√2000, 4 · 0.2887 · √(0.8/4/2000), 4/√2000.
function isUniform({ mean, deviation, lag }: ReturnType<typeof moments>): boolean {
  return Math.abs(mean - 0.5) < 0.026 && Math.abs(deviation - 1 / Math.sqrt(12)) < 0.0116 && Math.abs(lag) < 0.09;
}

const firstDraws = (draw: (index: number) => number) => moments(Array.from({ length: COUNT }, (_, index) => draw(index)));

describe('samplers', () => {
  it('the plain generator seeded 0, 1, 2 … breaks the law, which is why it is wrapped', () => {
    expect(isUniform(firstDraws((index) => uniformFloat64(xoroshiro128plus(index))))).toBe(false);
  });

  it.each([0, 1, 4294967295])('first draws of samples 0, 1, 2 … under seed %d are uniform and uncorrelated', (seed) => {
    expect(isUniform(firstDraws((index) => sampler(seed, index)()))).toBe(true);
  });

  it('so are those of seeds 0, 1, 2 … at one sample, of the diagonals, and of later draws', () => {
    expect(isUniform(firstDraws((index) => sampler(index, 7)()))).toBe(true);
    expect(isUniform(firstDraws((index) => sampler(index, index)()))).toBe(true);
    expect(isUniform(firstDraws((index) => sampler(index, COUNT - index)()))).toBe(true);
    expect(isUniform(firstDraws((index) => {
      const next = sampler(3, index);
      next();
      next();
      return next();
    }))).toBe(true);
    const one = sampler(3, 5);
    expect(isUniform(firstDraws(() => one()))).toBe(true);
  });

  it('are different for every pair, and swapping seed and sample is another pair', () => {
    const draws = new Set<number>();
    for (let seed = 0; seed < 100; seed += 1) for (let sample = 0; sample < 1000; sample += 1) draws.add(sampler(seed, sample)());
    expect(draws.size).toBe(100_000);
    expect(sampler(1, 2)()).not.toBe(sampler(2, 1)());
  });

  it('repeat exactly, whatever is drawn in between, and stay inside (0, 1)', () => {
    const one = sampler(42, 9);
    const first = Array.from({ length: 100 }, () => one());
    const again = sampler(42, 9);
    const other = sampler(42, 10);
    expect(first.map(() => (other(), again()))).toEqual(first);
    expect(first.every((draw) => draw > 0 && draw < 1)).toBe(true);
  });

  it('refuse seeds that are not 32-bit whole numbers', () => {
    for (const bad of [-1, 0.5, NaN, 2 ** 32]) {
      expect(() => sampler(bad, 0)).toThrow(RangeError);
      expect(() => sampler(0, bad)).toThrow(RangeError);
    }
  });
});
