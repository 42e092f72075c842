import { describe, expect, it } from 'vitest';
import {
  ALUMINIUM,
  COPPER,
  FINE_STRAND_LAY,
  conductorResistance_ohm,
  iec60228Maximum_ohm_per_km,
  iec60228TemperatureFactor,
  resistanceAt,
} from '../../src/physics/conductors.ts';
import { external } from '../external.ts';

describe('conductor resistance', () => {
  // NBS Handbook 100 rows, as diameter by ASTM B258 (0.005 in at No 36, 92 steps of the 39th root).
  it.each([
    [4, 0.8152],
    [8, 2.0609],
    [10, 3.277],
    [12, 5.2107],
    [14, 8.285],
    [18, 20.948],
    [24, 84.213],
    [30, 338.55],
  ])('gives the wire table at %i AWG', (gauge, ohm_km) => {
    const section_m2 = (Math.PI / 4) * (0.127e-3 * 92 ** ((36 - gauge) / 39)) ** 2;
    external({
      source: 'NBS Handbook 100 (1966), Copper Wire Tables; ASTM B258 diameters',
      what: `${gauge} AWG solid annealed copper at 20 °C`,
      expected: ohm_km,
      got: conductorResistance_ohm(section_m2, 1000, 20),
      unit: 'Ω/km',
      relative: 0.001,
    });
  });

  // A second table in Ω per 1000 ft; a third in circulation heads this column Ω/km and mistypes 8 and 10 AWG.
  it.each([
    [12, 1.588],
    [14, 2.525],
    [16, 4.016],
    [18, 6.385],
    [20, 10.15],
    [22, 16.14],
    [26, 40.81],
    [28, 64.9],
  ])('gives the second wire table at %i AWG', (gauge, ohm_1000ft) => {
    const section_m2 = (Math.PI / 4) * (0.127e-3 * 92 ** ((36 - gauge) / 39)) ** 2;
    external({
      source: 'published solid wire table in Ω/1000 ft, two agreeing copies',
      what: `${gauge} AWG solid copper at 20 °C, per 1000 ft`,
      expected: ohm_1000ft,
      got: conductorResistance_ohm(section_m2, 304.8, 20),
      unit: 'Ω',
      relative: 0.001,
    });
  });

  it('stays under the maxima for tinned stranded aircraft wire', () => {
    // FAA AC 43.13-1B Chg 1 (2001), table 11-9: [area in circular mils, largest Ω/1000 ft].
    const rows = [[475, 28.4], [755, 16.2], [1216, 9.88], [1900, 6.23], [3831, 3.06], [5874, 2.02], [9354, 1.26], [26818, 0.44]];
    for (const [cmil, maximum] of rows) {
      const section_m2 = cmil! * (Math.PI / 4) * 25.4e-6 ** 2;
      const ours = conductorResistance_ohm(section_m2, 304.8, 20, COPPER, 'fine');
      expect(ours).toBeLessThan(maximum!);
      // Tin and tolerance raise the maxima by at most 30 %: a slip of a unit would not pass.
      expect(ours).toBeGreaterThan(0.7 * maximum!);
    }
  });

  it('stays under the FAA voltage drops, with their two misprints undone', () => {
    // FAA AC 43.13-1B, tables 11-7 and 11-8, 20 A: [circular mils, feet, V]. 10 AWG over 19.5 ft is printed .366 V in the
    // official text; its own .00126 Ω/ft gives 0.491, and solid copper of that area cannot drop less than 0.42.
    const rows = [[26818, 107, 0.942], [42615, 90, 0.504], [3831, 100, 6.12], [5874, 88, 3.555], [9354, 156, 3.93], [9354, 273, 6.88], [9354, 19.5, 0.491]];
    for (const [cmil, feet, drop_V] of rows) {
      const section_m2 = cmil! * (Math.PI / 4) * 25.4e-6 ** 2;
      const ours = 20 * conductorResistance_ohm(section_m2, feet! * 0.3048, 20, COPPER, 'fine');
      expect(ours).toBeLessThan(drop_V!);
      expect(ours).toBeGreaterThan(0.8 * drop_V!);
    }
    expect(20 * conductorResistance_ohm(9354 * (Math.PI / 4) * 25.4e-6 ** 2, 19.5 * 0.3048, 20)).toBeGreaterThan(0.366);
  });

  it('gives the FAA temperature correction for copper', () => {
    // L2 = L1 · 254.5/(234.5 + T2); 15.5 ft at an estimated 181.6 °C is printed as 9.5 ft.
    external({
      source: 'FAA AC 43.13-1B (2001), p. 11-27, example 2',
      what: 'usable run, 15.5 ft at 20 °C and 181.6 °C',
      expected: 9.48,
      got: 15.5 / resistanceAt(1, 181.6),
      unit: 'ft',
      absolute: 0.005,
    });
  });

  it.each([
    [COPPER, 226],
    [ALUMINIUM, 148],
  ])('keeps $name consistent with the adiabatic constant', (metal, K) => {
    // IEC 60949: K² = volumetric heat capacity · (β + 20)/ρ20. Its heat capacities (3.45, 2.5 MJ/m³K) are rounded, ours are density times specific heat.
    const volumetric = metal.density_kg_m3 * metal.specificHeat_J_kgK;
    external({
      source: 'IEC 60949:1988, constant K from material properties',
      what: `K of ${metal.name} from density, specific heat, resistivity and β`,
      expected: K,
      got: 1e-6 * Math.sqrt((volumetric * (metal.zeroResistance_C + 20)) / metal.resistivity20_ohm_m),
      unit: 'A·s½/mm²',
      relative: 0.02,
    });
  });

  it('agrees with the conductivity standard on copper', () => {
    external({
      source: 'IACS, NBS Handbook 100 (1966)',
      what: 'conductivity of annealed copper at 20 °C',
      expected: 58,
      got: 1e-6 / COPPER.resistivity20_ohm_m,
      unit: 'MS/m',
      relative: 0.0002,
    });
    external({
      source: 'NBS Handbook 100 (1966); IEC 60028',
      what: 'temperature coefficient of copper at 20 °C',
      expected: 0.00393,
      got: COPPER.temperatureCoefficient_per_K,
      unit: '1/K',
      absolute: 0.000005,
      note: 'printed to three figures',
    });
  });

  it('adds the lay of fine strands, and stays below the maxima of IEC 60228', () => {
    for (const section_mm2 of [0.5, 1.5, 2.5, 4, 6, 10, 16, 25, 50]) {
      const solid = conductorResistance_ohm(section_mm2 * 1e-6, 1000, 20);
      const fine = conductorResistance_ohm(section_mm2 * 1e-6, 1000, 20, COPPER, 'fine');
      expect(fine / solid).toBeCloseTo(1 + FINE_STRAND_LAY, 12);
      const maximum = iec60228Maximum_ohm_per_km(section_mm2, 5);
      expect(fine).toBeLessThan(maximum);
      expect(fine).toBeGreaterThan(0.85 * maximum);
    }
  });

  it.each([0, -1, NaN, Infinity])('refuses a section of %d', (section) => {
    expect(() => conductorResistance_ohm(section, 1, 20)).toThrow(/section_m2: expected above 0 m²/);
  });
  it('refuses temperatures with no meaning', () => {
    expect(() => conductorResistance_ohm(1e-6, 1, NaN)).toThrow(RangeError);
    expect(() => resistanceAt(1, -234.5)).toThrow(RangeError);
  });
});

describe('IEC 60228', () => {
  it.each([
    [0.5, 39.0, 40.1, 36.0],
    [2.5, 7.98, 8.21, 7.41],
    [10, 1.91, 1.95, 1.83],
    [70, 0.272, 0.277, 0.268],
  ])('lists its maxima at %d mm²', (section, plain, tinned, class2) => {
    const source = 'IEC 60228:2004, tables 2 and 3 (maxima)';
    const unit = 'Ω/km';
    external({ source, what: `class 5 plain, ${section} mm²`, expected: plain, got: iec60228Maximum_ohm_per_km(section, 5), unit, absolute: 0 });
    external({ source, what: `class 5 tinned, ${section} mm²`, expected: tinned, got: iec60228Maximum_ohm_per_km(section, 5, 'tinned'), unit, absolute: 0 });
    external({ source, what: `class 2 plain, ${section} mm²`, expected: class2, got: iec60228Maximum_ohm_per_km(section, 2), unit, absolute: 0 });
  });
  it('falls with section and is higher tinned than plain', () => {
    const sections = [0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70];
    for (const strands of [2, 5] as const) {
      const plain = sections.map((section) => iec60228Maximum_ohm_per_km(section, strands));
      expect(plain).toEqual([...plain].sort((a, b) => b - a));
      sections.forEach((section, k) => expect(iec60228Maximum_ohm_per_km(section, strands, 'tinned')).toBeGreaterThan(plain[k]!));
    }
  });
  it.each([
    [5, 1.064],
    [10, 1.042],
    [25, 0.98],
    [30, 0.962],
    [50, 0.893],
    [70, 0.833],
    [100, 0.758],
  ])('prints its temperature factor at %i °C', (temperature, factor) => {
    // 254.5/(234.5 + t) would give 0.895 at 50 °C and 0.761 at 100 °C: outside the tolerance.
    external({
      source: 'IEC 60228:2004, temperature correction table',
      what: `factor at ${temperature} °C`,
      expected: factor,
      got: iec60228TemperatureFactor(temperature),
      unit: '1',
      absolute: 0.0006,
    });
  });
  it('refuses a section outside the standard', () => {
    expect(() => iec60228Maximum_ohm_per_km(3, 5)).toThrow(/section_mm2: expected one of 0.5/);
  });
});
