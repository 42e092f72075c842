import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plusFromState } from 'pure-rand/generator/xoroshiro128plus';

/**
 * Uniform numbers in (0, 1) for one sample of a spread run. Every (seed, sample) pair has a stream of
 * its own, the same on every platform and in every thread.
 *
 * The generator must not be seeded with the sample's number as it is: its first draws would then be
 * nearly equal in all samples. A Feistel network over a 32-bit finaliser gives every pair a different,
 * well-mixed state; a single mixed word would make two of 10,000 samples equal about once in 90 runs.
 * @param seed    whole number, 0 to 2³² − 1
 * @param sample  whole number, 0 to 2³² − 1
 * @throws RangeError for any other number
 */
export function sampler(seed: number, sample: number): () => number {
  requireWord('seed', seed);
  requireWord('sample', sample);
  let left = seed;
  let right = sample;
  for (let round = 1; round <= 4; round += 1) {
    const mixed = left ^ finalise(right + Math.imul(round, GOLDEN));
    left = right;
    right = mixed;
  }
  // The odd last word keeps the state away from zero, where the generator would stay for ever.
  const generator = xoroshiro128plusFromState([left | 0, right | 0, finalise(left + GOLDEN), finalise(right - GOLDEN) | 1]);
  return () => uniformFloat64(generator) || 2 ** -54;
}

/** 2³²/φ, odd: the usual constant for keeping rounds apart. */
const GOLDEN = 0x9e3779b9 | 0;

/** The 32-bit finaliser of MurmurHash3 (public domain): each input bit changes each output bit half the time. */
function finalise(word: number): number {
  let h = word | 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return h ^ (h >>> 16);
}

function requireWord(name: string, value: number): void {
  if (!(Number.isInteger(value) && value >= 0 && value <= 0xffffffff)) {
    throw new RangeError(`${name}: expected a whole number from 0 to 4294967295, got ${value}`);
  }
}
