import { describe, expect, it } from 'vitest';
import { resistanceFactor } from '../../src/physics/cells.ts';
import { aged, chargeTime_s, COLD_LAW, coldCapacityShare, exchange_A, resistiveLoad } from '../../src/physics/packs.ts';
import { external } from '../external.ts';

describe('packs', () => {
  it('sag as the textbook battery', () => {
    const source = 'OpenStax College Physics 21.2, 12.0 V';
    // Printed to three or four figures.
    const check = (what: string, expected: number, got: number, unit: string): void => external({ source, what, expected, got, unit, relative: 2.5e-3 });
    const light = resistiveLoad(12, 0.1, 10);
    check('current into 10.0 Ω behind 0.100 Ω', 1.188, light.current_A, 'A');
    check('terminal voltage then', 11.9, light.terminal_V, 'V');
    const heavy = resistiveLoad(12, 0.1, 0.5);
    check('current into 0.500 Ω', 20, heavy.current_A, 'A');
    check('terminal voltage at 0.500 Ω', 10, heavy.terminal_V, 'V');
    check('power into 0.500 Ω', 200, heavy.power_W, 'W');
    const old = resistiveLoad(12, 0.5, 0.5);
    check('current with the resistance risen to 0.500 Ω', 12, old.current_A, 'A');
    check('terminal voltage with it', 6, old.terminal_V, 'V');
    check('power with it', 72, old.power_W, 'W');
    external({ source: 'series-opposed sources, (E₁ − E₂)/(r₁ + r₂), worked by hand', what: '25.2 V on 22.2 V through 40 mΩ', expected: 75, got: exchange_A(25.2, 22.2, 0.04), unit: 'A', relative: 1e-9 });
  });

  it('stiffen in the cold as the points of the trade, within what the smooth law promises', () => {
    for (const t of [0, 10, 25, 45]) {
      const law = COLD_LAW.floor + COLD_LAW.rise * Math.exp(-t / COLD_LAW.decay_K);
      expect(Math.abs(law / resistanceFactor(t) - 1)).toBeLessThan(0.065);
    }
    for (let t = -20; t < 60; t++) expect(coldCapacityShare(t + 1)).toBeGreaterThanOrEqual(coldCapacityShare(t));
    expect(coldCapacityShare(-50)).toBe(0.3);
    expect(coldCapacityShare(40)).toBe(1);
    expect(() => coldCapacityShare(NaN)).toThrow(RangeError);
  });

  it('age one way', () => {
    for (let n = 0; n < 300; n += 10) {
      expect(aged(n + 10).resistance).toBeGreaterThan(aged(n).resistance);
      expect(aged(n + 10).capacity).toBeLessThan(aged(n).capacity);
    }
    expect(() => aged(-1)).toThrow(/cycles/);
  });

  it('charge at the rate that is set', () => {
    // The definition of a C rate: 1C puts the constant-current share back in as much of an hour.
    external({ source: 'definition of a C rate', what: 'from 30 to 80 % at 1C', expected: 1800, got: chargeTime_s(5, 0.3, 0.8, 5), unit: 's', relative: 1e-9 });
    expect(chargeTime_s(5, 0.3, 1, 5)).toBeGreaterThan(chargeTime_s(5, 0.3, 0.9, 5));
    expect(chargeTime_s(5, 0.5, 0.5, 5)).toBe(0);
    expect(() => chargeTime_s(5, 0.9, 0.5, 5)).toThrow(/to:/);
  });
});
