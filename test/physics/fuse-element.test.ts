import { describe, expect, it } from 'vitest';
import { fuseElement, meltingTime_s, shortMelting_A2s } from '../../src/physics/fuse-element.ts';
import { FUSE_GATES, operatingTime, type FuseClass } from '../../src/physics/fuses.ts';
import { nonNegativeLeastSquares } from '../../src/physics/least-squares.ts';
import { external } from '../external.ts';

const classes = Object.keys(FUSE_GATES) as FuseClass[];

describe('a fuse as something that warms', () => {
  it.each(classes)('opens between the gates at every current, sooner with more: %s', (kind) => {
    const element = fuseElement(30, FUSE_GATES[kind], 'middle');
    let before = Infinity;
    for (let multiple = 1.05; multiple < 20; multiple *= 1.05) {
      const time = meltingTime_s(element, 30 * multiple);
      expect(time).toBeLessThanOrEqual(before);
      before = time;
    }
    for (const gate of FUSE_GATES[kind]) {
      const time = meltingTime_s(element, 30 * gate.multiple);
      expect(time).toBeGreaterThan(gate.earliest_s);
      expect(time).toBeLessThanOrEqual(gate.latest_s);
      // Middle of a band that is up to three decades wide: a sixth off is nothing beside it.
      if (gate.latest_s < Infinity) expect(Math.abs(Math.log(time / Math.sqrt(gate.earliest_s * gate.latest_s)))).toBeLessThan(0.16);
    }
  });

  it.each(classes)('keeps its I²t beyond the last gate, as the table is continued: %s', (kind) => {
    const element = fuseElement(30, FUSE_GATES[kind], 'middle');
    const far = operatingTime(30, FUSE_GATES[kind]);
    const time = meltingTime_s(element, 900);
    expect(time).toBeGreaterThan(far.earliest_s);
    expect(time).toBeLessThan(far.latest_s);
    expect(shortMelting_A2s(element)).toBeCloseTo(900 ** 2 * meltingTime_s(element, 900), -3);
  });

  it('takes the melting I²t of a datasheet', () => {
    const element = fuseElement(30, FUSE_GATES.blade, 'middle', 900);
    expect(Math.abs(meltingTime_s(element, Math.sqrt(900 / 2e-3)) / 2e-3 - 1)).toBeLessThan(0.05);
  });

  it('holds its rating for ever and refuses nonsense', () => {
    for (const kind of classes) expect(meltingTime_s(fuseElement(30, FUSE_GATES[kind], 'middle'), 30)).toBe(Infinity);
    expect(() => fuseElement(NaN, FUSE_GATES.blade, 'middle')).toThrow(/rating_A/);
    expect(() => fuseElement(30, [], 'middle')).toThrow(/gates/);
    expect(() => meltingTime_s(fuseElement(30, FUSE_GATES.blade, 'middle'), NaN)).toThrow(/current_A/);
  });
});

describe('least squares with nothing below zero', () => {
  it('solves the textbook shape: one coefficient pressed to zero, the other fitted alone', () => {
    // min (x + y − 1)² + (x − 2)² + (y + 1)²: free optimum x = 2, y = −1; with y ≥ 0 it is y = 0, x = 3/2.
    const x = nonNegativeLeastSquares([[1, 1], [1, 0], [0, 1]], [1, 2, -1]);
    external({ source: 'Karush–Kuhn–Tucker conditions, worked by hand', what: 'x of a two-variable problem with y held at 0', expected: 1.5, got: x[0]!, unit: '1', relative: 1e-9 });
    expect(x[1]).toBe(0);
    expect(() => nonNegativeLeastSquares([[1]], [1, 2])).toThrow(RangeError);
  });
});
