import { describe, expect, it } from 'vitest';
import { awgSection_m2, gaugeName, gaugeNumber, nearestGauge } from '../../src/quantity/awg.ts';
import { parseQuantity } from '../../src/quantity/parse.ts';

// Source: ASTM B258, nominal cross-sections of AWG sizes; the same areas are printed in NBS Handbook 100
// (1966), Copper Wire Tables. Values in mm². Tolerance: 0.1 %, what the last printed digit allows.
const ROWS: readonly (readonly [string, number])[] = [
  ['0000', 107.22], ['000', 85.029], ['00', 67.431], ['0', 53.475], ['1', 42.408], ['2', 33.631], ['3', 26.671], ['4', 21.151], ['5', 16.773],
  ['6', 13.302], ['7', 10.549], ['8', 8.3656], ['9', 6.6342], ['10', 5.2612], ['11', 4.1723], ['12', 3.3088], ['13', 2.624], ['14', 2.0809],
  ['15', 1.6502], ['16', 1.3087], ['17', 1.0378], ['18', 0.823], ['19', 0.6527], ['20', 0.5176], ['21', 0.4105], ['22', 0.3255], ['23', 0.2582],
  ['24', 0.2047], ['25', 0.1624], ['26', 0.1288], ['27', 0.1021], ['28', 0.081], ['29', 0.0642], ['30', 0.0509],
];

describe('American wire gauge', () => {
  it.each(ROWS)('%s AWG has %d mm²', (gauge, section_mm2) => {
    const parsed = parseQuantity(`${gauge} AWG`, 'area');
    expect(parsed.ok && Math.abs((parsed.quantity.value * 1e6) / section_mm2 - 1)).toBeLessThan(1e-3);
  });

  // Source: ASTM B258, the two defining diameters: 0.46 in at 0000 and 0.005 in at 36.
  it('meets its two defining diameters', () => {
    const section = (inch: number) => (Math.PI / 4) * (inch * 0.0254) ** 2;
    expect(awgSection_m2(-3) / section(0.46)).toBeCloseTo(1, 12);
    expect(awgSection_m2(36) / section(0.005)).toBeCloseTo(1, 12);
  });

  it('reads the ways a gauge is written, and no others', () => {
    expect(['4/0', '0000', '2/0', '00', '1/0', '0', '8', '40'].map(gaugeNumber)).toEqual([-3, -3, -1, -1, 0, 0, 8, 40]);
    for (const text of ['5/0', '00000', '41', '08', '8.5', '', '-1', '1e1']) expect(gaugeNumber(text)).toBeUndefined();
    for (const gauge of [-4, 41, 8.5, NaN, Infinity]) expect(() => awgSection_m2(gauge)).toThrow(RangeError);
  });

  it('finds and names the gauge of a section', () => {
    expect([107.22e-6, 67.43e-6, 8.37e-6].map((section) => gaugeName(nearestGauge(section) ?? 99))).toEqual(['4/0 AWG', '2/0 AWG', '8 AWG']);
    for (const section of [0, -1, NaN, Infinity, 1, 1e-12]) expect(nearestGauge(section)).toBeUndefined();
  });
});
