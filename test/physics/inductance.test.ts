import { describe, expect, it } from 'vitest';
import { coaxialInductance_H, layInductance_H, pairInductanceFast_H, pairInductance_H } from '../../src/physics/inductance.ts';
import { external } from '../external.ts';

const AWG10_M2 = 5.2612e-6;

describe('pair inductance', () => {
  it.each([
    ['in contact, jackets 5.5 mm', 0.0055, 0.6],
    ['20 mm apart', 0.02, 1.2],
    ['60 mm apart', 0.06, 1.6],
  ])('matches what the trade measures at 10 AWG: %s', (what, spacing_m, microhenry) => {
    external({
      source: 'common practice, no source',
      what: `loop inductance of a pair ${what}, per metre`,
      expected: microhenry,
      got: pairInductance_H(1, spacing_m, AWG10_M2) * 1e6,
      unit: 'µH/m',
      relative: 0.15,
      note: 'quoted to one or two figures, gauge not stated',
    });
  });

  it("follows Rosa's return circuit", () => {
    // L = 0.4 µH/m · (ln(d/ρ) + 1/4) for d = 100 mm, ρ = 1 mm: 0.4 · 4.85517.
    external({
      source: 'E. B. Rosa, Bulletin of the Bureau of Standards 4 (1908) 301, return circuit of two parallel wires',
      what: '1 m of 2 mm wires 100 mm apart',
      expected: 1.942068,
      got: pairInductance_H(1, 0.1, Math.PI * 1e-6) * 1e6,
      unit: 'µH',
      relative: 1e-6,
    });
  });

  it('lays: tied within the usual band, loose above it, coaxial the least', () => {
    for (const section of [0.5e-6, 2e-6, 8e-6, 16e-6]) {
      const [coaxial, tied, loose] = (['coaxial', 'tied', 'loose'] as const).map((lay) => layInductance_H(1, section, lay) * 1e6);
      // Common practice, no source: 0.6 to 1 µH/m tied; 1.3 µH/m loose, spread to 1.8.
      expect(tied).toBeGreaterThan(0.6);
      expect(tied).toBeLessThan(1);
      expect(loose).toBeGreaterThan(1);
      expect(loose).toBeLessThan(1.8);
      expect(coaxial).toBeLessThan(tied!);
    }
  });

  it('tends to the skin limit from above, and to it alone', () => {
    const far = pairInductance_H(1, 1, AWG10_M2) - pairInductanceFast_H(1, 1, AWG10_M2);
    // Far apart the two differ by the field inside both wires, μ0/4π per metre of pair.
    // What is left is a²/s², 2e-6 of a metre's spacing.
    expect(Math.abs(far / 1e-7 - 1)).toBeLessThan(1e-5);
    expect(pairInductanceFast_H(1, 2 * Math.sqrt(AWG10_M2 / Math.PI), AWG10_M2)).toBeLessThan(1e-12);
  });

  it('knows a coaxial cable', () => {
    external({
      source: 'RG-213 coaxial cable, catalogue figures: 50 Ω, velocity factor 0.66, inner 2.25 mm stranded, dielectric 7.25 mm',
      what: 'inductance per metre at high frequency, so without the field inside the inner conductor (0.05 µH/m)',
      expected: 0.2527,
      got: coaxialInductance_H(1, 1.125e-3, 3.625e-3) * 1e6 - 0.05,
      unit: 'µH/m',
      relative: 0.08,
      note: 'from memory; the stranded inner acts some 5 % thinner than its envelope',
    });
  });

  it('refuses wires that overlap and lengths that are none', () => {
    expect(() => pairInductance_H(1, 1e-3, AWG10_M2)).toThrow(/spacing_m/);
    expect(() => pairInductance_H(NaN, 0.1, AWG10_M2)).toThrow(/length_m/);
    expect(() => coaxialInductance_H(1, 2, 1)).toThrow(/outer_m/);
  });
});
