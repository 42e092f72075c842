import { describe, expect, it } from 'vitest';
import { FUSE_GATES, operatingTime, pulseLetThrough_A2s, pulseShare, rampLetThrough_A2s, requiredMelting_A2s, type FuseClass } from '../../src/physics/fuses.ts';
import { external } from '../external.ts';

describe('fuses', () => {
  it.each([
    ['square', 1],
    ['half-sine', 1 / 2],
    ['triangle', 1 / 3],
    ['parabola', 1 / 5],
    ['exponential', 1 / 2],
  ] as const)('I²t of a %s pulse', (shape, factor) => {
    external({ source: 'Littelfuse, Fuseology, chart 1', what: `I²t of a ${shape} pulse, 100 A, 10 ms`, expected: factor * 100, got: pulseLetThrough_A2s(shape, 100, 0.01), unit: 'A²s', relative: 1e-12 });
  });
  it('ramps', () => {
    external({ source: 'Littelfuse, Fuseology, chart 1', what: 'I²t of a ramp, 10 to 20 A, 3 s', expected: 700, got: rampLetThrough_A2s(10, 20, 3), unit: 'A²s', relative: 1e-12 });
  });
  it.each([
    [100_000, 0.22],
    [10_000, 0.29],
    [1_000, 0.38],
    [100, 0.48],
  ])('stands %i pulses', (pulses, share) => {
    external({ source: 'Littelfuse, Fuseology, chart 2', what: `share of melting I²t for ${pulses} pulses`, expected: share, got: pulseShare(pulses), unit: '1', relative: 1e-12 });
  });
  it('is chosen by the datasheet example', () => {
    external({ source: 'Matsuo JHC datasheet, p. 7 to 8', what: 'melting I²t for 60 A²s at a share of 35 %', expected: 171.4, got: requiredMelting_A2s(60, 0.35), unit: 'A²s', absolute: 0.05 });
    external({ source: 'Littelfuse, Fuseology, chart 2', what: 'the same pulse 100 000 times', expected: 272.7, got: requiredMelting_A2s(60, pulseShare(100_000)), unit: 'A²s', absolute: 0.05 });
    expect(pulseShare(3_000)).toBeGreaterThan(0.29);
    expect(pulseShare(3_000)).toBeLessThan(0.38);
    expect(pulseShare(1)).toBe(0.48);
  });
  it.each(Object.keys(FUSE_GATES) as FuseClass[])('opens sooner with more current: %s', (fuse) => {
    const gates = FUSE_GATES[fuse];
    let previous = operatingTime(1.1, gates);
    for (let multiple = 1.11; multiple < 12; multiple *= 1.02) {
      const time = operatingTime(multiple, gates);
      expect(time.earliest_s).toBeLessThan(previous.earliest_s);
      expect(time.latest_s).toBeLessThanOrEqual(previous.latest_s);
      expect(time.earliest_s).toBeLessThan(time.latest_s);
      previous = time;
    }
    // Safe readings of the remembered tables: at 110 % never within a three-minute match, at 600 % within a second.
    expect(operatingTime(1.1, gates).earliest_s).toBeGreaterThan(180);
    expect(operatingTime(6, gates).latest_s).toBeLessThanOrEqual(1);
    expect(operatingTime(0.9, gates).earliest_s).toBe(Infinity);
    expect(() => operatingTime(NaN, gates)).toThrow(/multiple/);
  });
});
