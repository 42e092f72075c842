import { describe, expect, it } from 'vitest';
import {
  CELL_LIMITS,
  OPEN_CIRCUIT,
  RESISTANCE_FACTORS,
  openCircuitSlope_V,
  openCircuit_V,
  resistanceFactor,
  socOf,
  type Chemistry,
} from '../../src/physics/cells.ts';
import { external } from '../external.ts';

const chemistries: readonly Chemistry[] = ['lipo', 'nca', 'nmc', 'lfp'];

describe('open-circuit voltage', () => {
  it.each([
    [0.022, 2.943],
    [0.198, 3.411],
    [0.499, 3.752],
    [0.75, 3.979],
    [1, 4.175],
  ])('passes through the measured NCA point at %d', (soc, volts) => {
    external({
      source: 'derlucae98/US18650VTC6_OCV_SOC_Curve (MIT): measured at C/20, mean of charge and discharge',
      what: `NCA rest voltage at ${soc * 100} %`,
      expected: volts,
      got: openCircuit_V('nca', soc),
      unit: 'V',
      absolute: 1e-9,
    });
  });

  it.each([
    [0, 2.499],
    [0.05, 3.109],
    [0.2, 3.485],
    [0.5, 3.751],
    [0.8, 4.042],
    [0.9, 4.097],
    [1, 4.2],
  ])('follows the published NMC fit at %d', (soc, volts) => {
    external({
      source: 'C.-H. Chen et al., J. Electrochem. Soc. 167 (2020) 080534, half-cell fits',
      what: `NMC rest voltage at ${soc * 100} %`,
      expected: volts,
      got: openCircuit_V('nmc', soc),
      unit: 'V',
      absolute: 0.0006,
      note: 'coefficients from memory; table to a millivolt',
    });
  });

  it('agrees between the measured cell and the fitted one within 80 mV at every tenth from 10 to 100 %', () => {
    // Two different cells; between the tenths, at the measured 15.1 %, they lie 85 mV apart.
    for (let tenth = 1; tenth <= 10; tenth++) {
      expect(Math.abs(openCircuit_V('nca', tenth / 10) - openCircuit_V('nmc', tenth / 10))).toBeLessThan(0.08);
    }
  });

  it.each(chemistries)('rises everywhere and inverts: %s', (chemistry) => {
    let previous = -Infinity;
    for (let k = 0; k <= 1000; k++) {
      const soc = k / 1000;
      const volts = openCircuit_V(chemistry, soc);
      expect(volts).toBeGreaterThan(previous);
      expect(openCircuitSlope_V(chemistry, soc)).toBeGreaterThan(0);
      // A flat stretch of 10 mV per 10 % turns a rounding of 4e-16 V into 4e-15 of charge; 1e-9 leaves room.
      expect(Math.abs(socOf(chemistry, volts) - soc)).toBeLessThan(1e-9);
      previous = volts;
    }
  });

  it.each(chemistries)('has the slope of its own curve: %s', (chemistry) => {
    const h = 1e-6;
    for (let soc = 0.0123; soc < 0.99; soc += 0.0317) {
      const difference = (openCircuit_V(chemistry, soc + h) - openCircuit_V(chemistry, soc - h)) / (2 * h);
      expect(Math.abs(openCircuitSlope_V(chemistry, soc) - difference)).toBeLessThan(1e-4 * (1 + difference));
    }
  });

  it.each(chemistries)('goes on past its ends without a jump, and reads them as full or empty: %s', (chemistry) => {
    expect(openCircuit_V(chemistry, 1 + 1e-9)).toBeCloseTo(openCircuit_V(chemistry, 1), 6);
    expect(openCircuit_V(chemistry, -1e-9)).toBeCloseTo(openCircuit_V(chemistry, 0), 6);
    expect(socOf(chemistry, 5)).toBe(1);
    expect(socOf(chemistry, 1)).toBe(0);
    expect(() => openCircuit_V(chemistry, NaN)).toThrow(RangeError);
    expect(() => socOf(chemistry, NaN)).toThrow(RangeError);
  });

  it('lies within the limits makers state, in order', () => {
    for (const chemistry of chemistries) {
      const { full_V, nominal_V, cutoff_V, storage_V } = CELL_LIMITS[chemistry];
      expect(cutoff_V).toBeLessThan(nominal_V);
      expect(nominal_V).toBeLessThan(storage_V);
      expect(storage_V).toBeLessThan(full_V);
      expect(openCircuit_V(chemistry, 1)).toBeLessThanOrEqual(full_V + 0.001);
      expect(OPEN_CIRCUIT[chemistry].source).not.toBe('');
      // Storage voltage means about half full: between a third and two thirds on sloping curves, common practice, no source.
      if (chemistry !== 'lfp') {
        expect(socOf(chemistry, storage_V)).toBeGreaterThan(0.33);
        expect(socOf(chemistry, storage_V)).toBeLessThan(0.67);
      }
    }
  });

  it('crosses 60 V between 14 and 15 full cells', () => {
    external({ source: 'cell makers: 4.20 V full', what: '14 cells full', expected: 58.8, got: 14 * CELL_LIMITS.lipo.full_V, unit: 'V', absolute: 1e-9 });
    expect(15 * CELL_LIMITS.lipo.full_V).toBeGreaterThan(60);
  });
});

describe('resistance and temperature', () => {
  it('passes through its points and falls all the way', () => {
    for (const { temperature_C, factor } of RESISTANCE_FACTORS) expect(resistanceFactor(temperature_C)).toBeCloseTo(factor, 12);
    for (let t = -30; t < 80; t++) expect(resistanceFactor(t + 1)).toBeLessThan(resistanceFactor(t));
    // Below 10 °C a pack shows double or more (hobby measurement, from memory); between the rows at 0 and 10 °C.
    expect(resistanceFactor(4)).toBeGreaterThan(1.8);
    expect(() => resistanceFactor(NaN)).toThrow(RangeError);
  });
});
