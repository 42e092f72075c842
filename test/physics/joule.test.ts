import { describe, expect, it } from 'vitest';
import { COPPER } from '../../src/physics/conductors.ts';
import { jouleEnd_C, jouleTemperature_C, jouleTime_s, type HeatedLump } from '../../src/physics/joule.ts';
import { external } from '../external.ts';

/** A metre of bare copper that loses no heat. */
const adiabatic = (section_mm2: number): HeatedLump => ({
  resistance_ohm: COPPER.resistivity20_ohm_m / (section_mm2 * 1e-6),
  reference_C: 20,
  coefficient_per_K: COPPER.temperatureCoefficient_per_K,
  capacity_J_K: COPPER.specificHeat_J_kgK * COPPER.density_kg_m3 * section_mm2 * 1e-6,
  conductance_W_K: 0,
  ambient_C: 25,
});

describe('warming by a current', () => {
  it.each([[200, 3.31, 3, 87.06], [100, 3.31, 10, 75.77], [300, 5.26, 5, 122.31], [500, 8.37, 2, 63.92]])('without cooling is the cable standard: %d A, %d mm², %d s', (amps, section, time, end) => {
    external({
      source: 'IEC 60949:1988, K = 226, β = 234.5', what: `rise over 25 °C of ${section} mm² copper, ${amps} A for ${time} s, by the balance of heat`,
      expected: end - 25, got: jouleTemperature_C(adiabatic(section), 25, amps, time) - 25, unit: 'K', relative: 0.015,
      note: "the standard's K holds a heat capacity 1.1 % above copper's at 25 °C",
    });
  });

  const lump: HeatedLump = { resistance_ohm: 0.01, reference_C: 20, coefficient_per_K: 0.00393, capacity_J_K: 20, conductance_W_K: 0.15, ambient_C: 25 };

  it('solves its own equation', () => {
    const h = 1e-3;
    for (const current of [0, 20, 40, 80])
      for (const t of [0.5, 30, 120]) {
        const at = (time: number): number => jouleTemperature_C(lump, 60, current, time);
        const slope = (at(t + h) - at(t - h)) / (2 * h);
        const balance = (current ** 2 * 0.01 * (1 + 0.00393 * (at(t) - 20)) - 0.15 * (at(t) - 25)) / 20;
        expect(Math.abs(slope - balance)).toBeLessThan(1e-6 * Math.max(1, Math.abs(balance)));
      }
  });

  it('ends where heat in and out agree, or runs away', () => {
    const end = jouleEnd_C(lump, 40);
    expect(40 ** 2 * 0.01 * (1 + 0.00393 * (end - 20))).toBeCloseTo(0.15 * (end - 25), 9);
    expect(jouleTemperature_C(lump, 25, 40, 1e5)).toBeCloseTo(end, 9);
    expect(jouleEnd_C(lump, 70)).toBe(Infinity);
    // At 61.78 A the resistance grows just as the cooling does: the rise is straight.
    const neutral = Math.sqrt(0.15 / (0.01 * 0.00393));
    const straight = jouleTemperature_C(lump, 25, neutral, 100) - 25;
    expect(jouleTemperature_C(lump, 25, neutral, 200) - 25).toBeCloseTo(2 * straight, 6);
    expect(() => jouleTemperature_C(lump, 25, NaN, 1)).toThrow(/current_A/);
  });

  it('says when a temperature is reached', () => {
    external({
      source: 'IEC 60949:1988, K = 226: t = (K·S/I)²·ln((250 + 234.5)/(90 + 234.5))', what: 'time of 1000 A in 10 mm² copper from 90 to 250 °C',
      expected: ((226 * 10) / 1000) ** 2 * Math.log(484.5 / 324.5), got: jouleTime_s(adiabatic(10), 90, 250, 1000), unit: 's', relative: 0.015,
      note: "the standard's K holds a heat capacity 1.1 % above copper's at 25 °C",
    });
    for (const current of [30, 45, 61.78, 80]) {
      const limit = Math.min(150, 0.9 * jouleEnd_C(lump, current));
      expect(jouleTemperature_C(lump, 25, current, jouleTime_s(lump, 25, limit, current))).toBeCloseTo(limit, 6);
    }
    expect(jouleTime_s(lump, 25, jouleEnd_C(lump, 30) + 0.1, 30)).toBe(Infinity);
    expect(jouleTime_s(lump, 80, 70, 30)).toBe(0);
    expect(() => jouleTime_s(lump, NaN, 70, 30)).toThrow(RangeError);
  });
});
