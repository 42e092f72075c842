import { describe, expect, test } from 'vitest';
import { cableLump, longCurrent_A, SHORT_START_C, SPOILT_C } from '../../src/physics/cable-limit.ts';
import { jouleTemperature_C, jouleTime_s } from '../../src/physics/joule.ts';
import { external } from '../external.ts';

describe('a cable in a short', () => {
  // Source: IEC 60364-4-43, Table 43A: k = 115 A·s½/mm² for copper in PVC from 70 to 160 °C.
  // Tolerance 1.5 %: k has three figures, counted twice in its square; in a fifth of a second some heat leaves.
  test.each([
    [8.37, 2500],
    [3.31, 1000],
    [0.823, 400],
  ])('of %d mm² at %d A is spoilt after (kS/I)²', (section_mm2, current_A) => {
    external({
      source: 'IEC 60364-4-43, Table 43A, k = 115 for copper in PVC',
      what: `time to 160 °C of ${section_mm2} mm² at ${current_A} A from 70 °C`,
      expected: ((115 * section_mm2) / current_A) ** 2,
      got: jouleTime_s(cableLump(section_mm2, 40), SHORT_START_C, SPOILT_C, current_A),
      unit: 's',
      relative: 0.015,
    });
  });

  // Source: IEC 60949:1988, θ_end = (θ + β)·exp(I²t/(KS)²) − β with K = 226, β = 234.5; worked out with a calculator.
  test('of 3.31 mm² at 200 A for 3 s from 25 °C ends where IEC 60949 says', () => {
    external({ source: 'IEC 60949:1988, adiabatic heating', what: '3.31 mm² copper, 200 A, 3 s, from 25 °C', expected: 87.06, got: jouleTemperature_C({ ...cableLump(3.31, 25), conductance_W_K: 0 }, 25, 200, 3), unit: '°C', absolute: 0.3 });
  });

  test('at the current that it carries for long never gets there, at a little more it does', () => {
    const lump = cableLump(5.26, 40);
    const carries_A = longCurrent_A(5.26, 40);
    expect(jouleTime_s(lump, 40, SPOILT_C, 0.999 * carries_A)).toBe(Infinity);
    expect(jouleTime_s(lump, 40, SPOILT_C, 1.02 * carries_A)).toBeGreaterThan(60);
  });

  test('needs a section', () => {
    for (const section_mm2 of [0, -1, NaN]) expect(() => cableLump(section_mm2, 40)).toThrow(RangeError);
  });
});
