import { describe, expect, test } from 'vitest';
import { copperMass_kg, jacketMass_kg } from '../../src/physics/masses.ts';
import { awgSection_m2 } from '../../src/quantity/awg.ts';
import { external } from '../external.ts';

const LAY = 1.02;

describe('copper of a lead', () => {
  // Source: NBS Handbook 100 (1966), Copper Wire Tables: pounds for 1000 ft of solid wire (from memory); 1 lb/1000 ft = 1.48816 g/m.
  // Tolerance 0.5 %: the table's density is 8.89 g/cm³; ours may have another third figure.
  test.each([
    [8, 49.98],
    [10, 31.43],
    [12, 19.77],
    [18, 4.917],
  ])('of %d AWG weighs what the wire tables say, and 2 % for the lay', (gauge, pounds) => {
    external({ source: 'NBS Handbook 100 (1966), Copper Wire Tables', note: 'from memory', what: `${gauge} AWG, mass of a kilometre of solid copper`, expected: pounds * 1.48816, got: (1e3 * copperMass_kg(awgSection_m2(gauge), 1)) / LAY, unit: 'g/m', relative: 0.005 });
  });

  test('with its jacket 10 AWG weighs some 65 to 80 g a metre', () => {
    // Makers of silicone wire give 70 to 80 g/m for 10 AWG; common practice, no source.
    const grams = 1e3 * (copperMass_kg(awgSection_m2(10), 1) + jacketMass_kg(awgSection_m2(10), 1));
    expect(grams).toBeGreaterThan(62);
    expect(grams).toBeLessThan(85);
  });

  test('needs a section', () => {
    expect(() => copperMass_kg(NaN, 1)).toThrow(RangeError);
    expect(() => jacketMass_kg(0, 1)).toThrow(RangeError);
  });
});
