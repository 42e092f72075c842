import fc from 'fast-check';
import { expect, it } from 'vitest';
import { keptPoints } from '../../../src/questions/replay/thin.ts';

const SEED = 20261125;
const CORRIDOR = { share: 0.01, floor: 0.05 };

/** Times that never fall, some of them twice, and two curves. */
const record = fc.array(fc.tuple(fc.constantFrom(0, 1e-6, 1e-3, 0.1, 1), fc.double({ min: -50, max: 50, noNaN: true }), fc.constantFrom(0, 0, 0, 1)), { minLength: 1, maxLength: 120 }).map((rows) => {
  let time = 0;
  let level = 0;
  return rows.map(([gap, jump, moves]) => {
    time += gap;
    level += moves * jump;
    return [time, level, Math.sin(time)] as const;
  });
});

it(`passes every point within its corridor and keeps the extremes (seed ${SEED})`, () => {
  fc.assert(fc.property(record, (rows) => {
    const time = rows.map(([t]) => t);
    const curves = [1, 2].map((c) => rows.map((row) => row[c as 1 | 2]));
    const kept = keptPoints(time, curves, [CORRIDOR, CORRIDOR]);
    expect(kept[0]).toBe(0);
    expect(kept.at(-1)).toBe(rows.length - 1);
    curves.forEach((curve) => {
      expect(Math.max(...kept.map((k) => curve[k]!))).toBe(Math.max(...curve));
      expect(Math.min(...kept.map((k) => curve[k]!))).toBe(Math.min(...curve));
      for (let j = 1; j < kept.length; j++) {
        const [a, b] = [kept[j - 1]!, kept[j]!];
        for (let k = a + 1; k < b; k++) {
          const on = curve[a]! + ((curve[b]! - curve[a]!) * (time[k]! - time[a]!)) / (time[b]! - time[a]!);
          expect(Math.abs(on - curve[k]!)).toBeLessThanOrEqual(Math.max(CORRIDOR.floor, CORRIDOR.share * Math.abs(curve[k]!)) + 1e-9);
        }
      }
    });
  }), { seed: SEED, numRuns: 400 });
});

it('draws a straight line with two points, and keeps both values of a jump', () => {
  expect(keptPoints([0, 1, 2, 3], [[0, 1, 2, 3]], [CORRIDOR])).toEqual([0, 3]);
  expect(keptPoints([0, 1, 1, 2], [[0, 0, 5, 5]], [CORRIDOR])).toEqual([0, 1, 2, 3]);
  expect(keptPoints([], [[]], [CORRIDOR])).toEqual([]);
  expect(() => keptPoints([0, 1], [[0]], [CORRIDOR])).toThrow(RangeError);
});
