import { describe, expect, test } from 'vitest';
import { fuseElement, meltingTime_s, type FuseElement } from '../../src/physics/fuse-element.ts';
import { highestWarmth } from '../../src/physics/fuse-warmth.ts';
import { FUSE_GATES } from '../../src/physics/fuses.ts';

const ONE: FuseElement = { rating_A: 50, parts: [{ share: 0.5, time_s: 2 }] };

describe('how warm a fuse\'s element gets', () => {
  test('at a steady current is the closed form of one time constant', () => {
    // θ = share·(i/I)²·(1 − e^(−t/τ)), any text on first-order equations.
    const times = Array.from({ length: 40 }, (_, k) => k / 10);
    expect(highestWarmth(ONE, times, times.map(() => 60))).toBeCloseTo(0.5 * 1.44 * (1 - Math.exp(-3.9 / 2)), 12);
  });

  test('reaches 1 at its melting time', () => {
    const element = fuseElement(60, FUSE_GATES['blade high-current'], 'latest');
    const melts_s = meltingTime_s(element, 150);
    expect(highestWarmth(element, [0, melts_s], [150, 150])).toBeCloseTo(1, 6);
    expect(highestWarmth(element, [0, 0.9 * melts_s], [150, 150])).toBeLessThan(1);
  });

  test('of a ramp is that of its root mean square, and cooling afterwards does not lower the highest', () => {
    // Mean square of a straight ramp from 0 to 60 A: 60²/3.
    expect(highestWarmth(ONE, [0, 1, 100], [0, 60, 0])).toBeGreaterThanOrEqual(highestWarmth(ONE, [0, 1], [0, 60]));
    expect(highestWarmth(ONE, [0, 1], [0, 60])).toBeCloseTo(0.5 * (60 ** 2 / 3 / 50 ** 2) * (1 - Math.exp(-0.5)), 12);
  });

  test('does not read lists that do not fit', () => {
    expect(() => highestWarmth(ONE, [0, 1], [1])).toThrow(RangeError);
    expect(() => highestWarmth(ONE, [1, 0], [1, 1])).toThrow(RangeError);
  });
});
